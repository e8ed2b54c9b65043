// A text or a drawing of our own that changes while somebody types: told to this element alone, so that the page is not
// rendered anew for it.
export default {
  props: { text: String, markup: Boolean },
  template: `<div v-if="markup" v-html="now"></div><div v-else>{{ now }}</div>`,
  data() {
    return { now: this.text };
  },
  watch: {
    text(said) {
      this.now = said;
    },
  },
  methods: {
    // a class of something round this text
    class_around(around, name, on) {
      this.$el.closest(around)?.classList.toggle(name, on);
    },
    show(said) {
      this.now = said;
    },
  },
};
