// A text that changes while somebody types: told to this element alone, so that the page is not rendered anew for it.
export default {
  props: { text: String },
  template: `<div>{{ now }}</div>`,
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
    say(said) {
      this.now = said;
    },
  },
};
