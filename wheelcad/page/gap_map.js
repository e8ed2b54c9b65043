// The gap map: click a place, or walk to it with the arrow keys and press Enter.
export default {
  props: { label: String },
  template: `
    <div class="wc-map" role="group" :aria-label="label">
      <p v-if="!map" class="wc-note">{{ why }}</p>
      <template v-else>
        <svg ref="svg" viewBox="-40 -18 414 218" tabindex="0" role="slider" aria-label="Where the gap passes the sensor"
             aria-valuemin="0" aria-valuemax="359" :aria-valuenow="at" :aria-valuetext="words"
             @pointermove="hover" @click="click" @keydown="key">
          <defs><pattern id="wc-bad" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <rect width="2" height="6" fill="#9c1408" opacity=".45" /></pattern></defs>
          <rect v-for="(band, k) in bad" :key="k" :x="band[0]" y="0" :width="band[1] - band[0]" height="120" fill="url(#wc-bad)" />
          <path :d="margin" class="curve" /><path :d="clear" class="curve" />
          <line x1="0" x2="359" :y1="y(1)" :y2="y(1)" class="limit" /><line x1="0" x2="359" :y1="z(0)" :y2="z(0)" class="limit" />
          <text x="-38" :y="y(1) + 4">syncs</text><text x="-38" :y="z(0) + 4">clear</text>
          <g v-for="d in 12" :key="'d' + d"><text :x="(d - 1) * 30" y="197" text-anchor="middle">{{ (d - 1) * 30 }}</text></g>
          <line :x1="map.here" :x2="map.here" y1="0" y2="184" class="here" /><line :x1="map.best" :x2="map.best" y1="0" y2="184" class="best" />
          <line :x1="at" :x2="at" y1="0" y2="184" class="pointed" />
          <text :x="map.here" y="-5" text-anchor="middle">now</text>
          <text v-if="away(map.here, map.best) > 26" :x="map.best" y="-5" text-anchor="middle">best</text>
        </svg>
        <p class="wc-note">Across: degrees of crank after TDC of cylinder 1 at which the gap passes the sensor. Upper curve: sync
          margin, above the dashed line the gap is found. Lower curve: degrees clear of the coils' work. Hatched: not found,
          or in a coil's work. Dotted: the best place. Click a place, or walk with the arrow keys and press Enter.</p>
        <output aria-live="polite">{{ words }}</output>
        <div>
          <button type="button" @click="choose(at)">Put the gap here</button>
          <button type="button" @click="choose(map.best)">Take the best place: {{ map.best }}°</button>
        </div>
      </template>
    </div>`,
  data: () => ({ map: null, why: "Being worked out.", at: 0 }),
  computed: {
    words() {
      const m = this.map, k = this.at, clear = m.clear[k];
      const sync = m.margin[k] === null ? "no gap to find" : m.margin[k] > 1 ? `found, margin ${m.margin[k].toFixed(2)}` : `not found, margin ${m.margin[k].toFixed(2)}`;
      const coil = clear === null ? "" : clear < 0 ? `, ${(-clear).toFixed(0)}° into a coil's work` : `, ${clear.toFixed(0)}° clear of the coils`;
      return `Gap passes ${k}° after TDC: ${sync}${coil}; spark off by up to ${m.error[k].toFixed(1)}° on the starter`;
    },
    top() {
      return Math.max(1.2, ...this.map.margin.map((v) => v || 0));
    },
    widest() {
      return Math.max(1, ...this.map.clear.map((v) => Math.abs(v || 0)));
    },
    margin() {
      return this.map.margin.map((v, k) => `${k ? "L" : "M"}${k} ${this.y(v || 0).toFixed(1)}`).join("");
    },
    clear() {
      return this.map.clear.map((v, k) => `${k ? "L" : "M"}${k} ${this.z(v || 0).toFixed(1)}`).join("");
    },
    bad() {
      const out = [];
      this.map.margin.forEach((v, k) => {
        if (v !== null && v > 1 && !(this.map.clear[k] < 0)) return;
        if (out.length && out[out.length - 1][1] === k) out[out.length - 1][1] = k + 1;
        else out.push([k, k + 1]);
      });
      return out;
    },
  },
  mounted() {
    setTimeout(() => this.$emit("ready"), 0);
  },
  methods: {
    show(told) {
      this.why = told.why || this.why;
      this.map = told.map;
      if (told.map) this.at = told.map.here;
    },
    y(v) {
      return 120 - (110 * v) / this.top;
    },
    z(v) {
      return 156 - (24 * v) / this.widest;
    },
    away(a, b) {
      return Math.abs(a - b);
    },
    place(event) {
      const m = this.$refs.svg.getScreenCTM().inverse();
      return Math.min(359, Math.max(0, Math.round(event.clientX * m.a + m.e)));
    },
    hover(event) {
      if (event.pointerType === "mouse") this.at = this.place(event);
    },
    click(event) {
      this.at = this.place(event);
      this.choose(this.at);
    },
    key(event) {
      const by = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[event.key];
      if (by) this.at = (this.at + by + 360) % 360;
      else if (event.key === "Home") this.at = 0;
      else if (event.key === "End") this.at = 359;
      else if (event.key === "Enter" || event.key === " ") this.choose(this.at);
      else return;
      event.preventDefault();
    },
    choose(at) {
      this.$emit("choose", { at });
    },
  },
};
