// A drawing of our own that changes while somebody types: told to this element alone.
export default {
  props: { svg: String },
  template: `<div v-html="now"></div>`,
  data() {
    return { now: this.svg };
  },
  watch: {
    svg(svg) {
      this.now = svg;
    },
  },
  methods: {
    show(svg) {
      this.now = svg;
    },
  },
};
