// What is wrong, as a list: told to this element alone, so that the page is not rendered anew while somebody types.
export default {
  props: { items: Array, row: Boolean },
  template: `
    <ul class="wc-list" :class="{ 'wc-empty': !now.length }">
      <li v-for="(item, k) in now" :key="k" :class="'wc-' + item.kind" :data-kind="item.kind">
        <div class="wc-mark">{{ item.sign }}</div>
        <div>{{ item.text }}</div>
        <button v-if="item.go" type="button" class="wc-plain wc-go" @click="$emit('go', item)">go to {{ item.go }}</button>
        <button v-if="item.mend" type="button" class="wc-plain wc-mend" :aria-label="'mend it: ' + item.mend"
                @click="$emit('mend', item)">✓ {{ item.mend }}</button>
      </li>
    </ul>`,
  data() {
    return { now: this.items };
  },
  watch: {
    items(items) {
      this.now = items;
    },
    now() {
      this.mark();
    },
  },
  mounted() {
    this.mark();
  },
  methods: {
    show(items) {
      this.now = items;
    },
    // the field of a row with faults looks and reads so
    mark() {
      const row = this.row && this.$el.closest(".wc-row");
      if (!row) return;
      row.classList.toggle("wc-has-fault", this.now.length > 0);
      row.querySelector("input")?.setAttribute("aria-invalid", String(this.now.length > 0));
    },
  },
};
