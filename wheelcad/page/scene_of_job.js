// The scene: one mesh a part, drawn only when something changed. Everything a mouse does, keys do as well.
import { THREE, OrbitControls } from "nicegui-scene";

const TOUCH_MM = 9; // radius of the striped mark on the metal round a place where parts touch
const MOST_TOUCHES = 4; // of them striped at once
const DRAG_SNAP = 20; // degrees within which a dragged sensor jumps to a place that is allowed
const SOFTWARE = /swiftshader|llvmpipe|softpipe|software|basic render/i; // drawn by the processor, not by a graphics chip
const FRAME_MS = 34; // a moving picture that takes longer is drawn coarser until it rests
const COARSEST = 0.3; // of the screen's dots, while moving
const REST_MS = 180; // without a change, after which it is drawn sharp again
const VIEWS = { front: [0, 0, 1], side: [1, 0, 0.001], above: [0, 1, 0.001], corner: [0.55, 0.35, 0.9] };

const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
const away = (a, b) => Math.abs(((a - b + 540) % 360) - 180);

// stripes of red and white on whatever metal lies near a place where parts touch: not by colour alone
function striped(material, touches) {
  material.onBeforeCompile = (shader) => {
    shader.uniforms.touchAt = touches;
    if (!material.defines?.TOUCHED) return;
    shader.vertexShader = shader.vertexShader
      .replace("#include <common>", "#include <common>\nvarying vec3 vPlace;")
      .replace("#include <project_vertex>", "#include <project_vertex>\nvPlace = (modelMatrix * vec4(transformed, 1.0)).xyz;");
    shader.fragmentShader = shader.fragmentShader
      .replace("#include <common>", `#include <common>\nvarying vec3 vPlace;\nuniform vec4 touchAt[${MOST_TOUCHES}];`)
      .replace("#include <dithering_fragment>", `#include <dithering_fragment>
        for (int i = 0; i < ${MOST_TOUCHES}; i++) {
          if (touchAt[i].w > 0.0 && distance(vPlace, touchAt[i].xyz) < touchAt[i].w) {
            float band = fract((gl_FragCoord.x + gl_FragCoord.y) / 12.0);
            gl_FragColor = vec4(band < 0.5 ? vec3(0.8, 0.05, 0.02) : vec3(1.0), 1.0);
          }
        }`);
  };
  return material;
}

export default {
  props: { label: String },
  template: `
    <div class="wc-scene" role="group" :aria-label="label">
      <div class="wc-scene-views" role="toolbar" aria-label="Look from">
        <button v-for="(to, name) in views" :key="name" type="button" @click="look(name)">{{ name }}</button>
        <button type="button" aria-label="nearer" @click="zoom(0.8)">+</button>
        <button type="button" aria-label="further" @click="zoom(1.25)">−</button>
        <button type="button" aria-label="turn the view left" @click="swing(-15, 0)">←</button>
        <button type="button" aria-label="turn the view right" @click="swing(15, 0)">→</button>
        <button type="button" aria-label="turn the view up" @click="swing(0, 15)">↑</button>
        <button type="button" aria-label="turn the view down" @click="swing(0, -15)">↓</button>
      </div>
      <div ref="box" class="wc-scene-box" role="img" :aria-label="picture">
        <canvas ref="canvas" aria-hidden="true"></canvas>
        <div v-for="tag in tags" :key="tag.id" class="wc-scene-tag" :class="tag.kind"
             :style="{ left: tag.x + 'px', top: tag.y + 'px' }" aria-hidden="true">{{ tag.words }}</div>
        <p v-if="trouble" class="wc-scene-trouble">{{ trouble }}</p>
        <p v-else-if="stale" class="wc-scene-trouble">Drawn without what cannot be made: see the faults.</p>
      </div>
      <ul v-if="touching.length" class="wc-scene-touches" aria-label="Parts that touch" aria-live="polite">
        <li v-for="touch in touching" :key="touch.words" :class="{ hits: touch.hits }">
          <span class="wc-scene-sign" aria-hidden="true">{{ touch.hits ? "✖" : "▲" }}</span>
          {{ touch.hits ? "TOUCHES" : "near" }}: {{ touch.words }}
          <button type="button" @click="lookAt(touch.at)">show</button>
        </li>
      </ul>
      <div class="wc-scene-rows">
        <label>Turn the crank
          <input type="range" min="0" max="719" step="1" v-model.number="crank" class="wc-scene-crank"
                 :aria-valuetext="crankWords" @input="turned" />
        </label>
        <output class="wc-scene-now">{{ crankWords }}</output>
        <svg v-if="strip" class="wc-scene-strip" viewBox="-120 0 240 74" role="img" :aria-label="stripWords">
          <g :transform="'translate(' + -crank + ' 0)'">
            <rect v-for="(gap, k) in gaps" :key="'g' + k" :x="gap[0]" y="4" :width="gap[1] - gap[0]" height="46" class="gap" />
            <path :d="iron" class="iron" />
            <path :d="trace" class="trace" />
            <path :d="timed" class="timed" />
            <g v-for="(mark, k) in tdcs" :key="'t' + k">
              <line :x1="mark[0]" :x2="mark[0]" y1="2" y2="60" class="tdc" />
              <text :x="mark[0] + 2" y="72">{{ mark[1] }} TDC</text>
            </g>
          </g>
          <path d="M0 0 V74 M-4 0 H4 L0 7 Z" class="now" />
        </svg>
        <p v-if="strip" class="wc-note">The thick line is now. Bars: teeth at the sensor; below: what the sensor puts out
          ({{ strip.square ? (strip.high_over_iron ? "high over iron" : "low over iron") : "falls through zero over each tooth" }}),
          {{ strip.solved ? "from the solved field" : "a sketch until the field is solved" }}; ticks: {{ strip.on }}, which are timed on;
          dashed box: the gap.</p>
        <template v-if="places">
          <label>Sensor at
            <input type="range" min="0" max="359" step="1" v-model.number="sensorAt" class="wc-scene-sensor"
                   :aria-valuetext="sensorWords" @input="preview" @change="settle" />
          </label>
          <output class="wc-scene-at" :class="{ bad: !fits(sensorAt) }">{{ sensorWords }}</output>
        </template>
      </div>
      <fieldset class="wc-scene-parts"><legend>Shown</legend>
        <label v-for="part in parts" :key="part.name">
          <input type="checkbox" :checked="part.shown" @change="toggle(part.name, $event.target.checked)" /> {{ part.words }}
        </label>
      </fieldset>
      <div v-if="legend" class="wc-scene-legend" role="note"><span aria-hidden="true" class="bar"></span>{{ legend }}</div>
    </div>`,
  data() {
    return {
      views: VIEWS, parts: [], touching: [], strip: null, places: null, sense: 1, crank: 0, sensorAt: 0, tags: [],
      stale: false, legend: "", trouble: "",
    };
  },
  computed: {
    picture() {
      const names = this.parts.filter((part) => part.shown).map((part) => part.words).join(", ");
      return `Picture of ${names || "nothing yet"}. ${this.touching.map((touch) => touch.words).join(". ")}`;
    },
    under() {
      if (!this.strip) return "";
      const at = this.crank % 360, on = (a, b) => (((at - a) % 360) + 360) % 360 < b - a;
      const tooth = this.strip.teeth.findIndex(([a, b]) => on(a, b));
      if (tooth >= 0) return `tooth ${tooth + 1} at the sensor`;
      return this.strip.gap && on(...this.strip.gap) ? "the gap at the sensor" : "a slot at the sensor";
    },
    crankWords() {
      return `${this.crank}° after TDC of cylinder 1${this.under ? ", " + this.under : ""}`;
    },
    stripWords() {
      return `Signal strip, ${this.crankWords}`;
    },
    sensorWords() {
      return `${this.sensorAt}°${this.fits(this.sensorAt) ? "" : ": no bracket can be made here"}`;
    },
    turns() {
      return [-360, 0, 360, 720];
    },
    gaps() {
      const gap = this.strip.gap;
      return gap ? this.turns.map((turn) => [gap[0] + turn, gap[1] + turn]) : [];
    },
    iron() {
      return this.turns.map((turn) => this.strip.teeth.map(([a, b]) => `M${a + turn} 6H${b + turn}V16H${a + turn}Z`).join("")).join("");
    },
    timed() {
      return this.turns.map((turn) => this.strip.timed.map((at) => `M${at + turn} 50V56`).join("")).join("");
    },
    trace() {
      const { trace, square } = this.strip, y = (v) => (square ? 46 - 24 * v : 34 - 9 * Math.max(-1.6, Math.min(1.6, v)));
      return this.turns.map((turn) => trace.map(([at, v], k) => `${k ? "L" : "M"}${(at + turn).toFixed(2)} ${y(v).toFixed(1)}`).join("")).join("");
    },
    tdcs() {
      return [-720, 0, 720].flatMap((cycle) => this.strip.tdc.map(([at, number]) => [at + cycle, number]));
    },
  },
  mounted() {
    this.three = { meshes: {}, objects: {}, pending: 0, touchAt: { value: [] }, shownAt: 0 };
    for (let k = 0; k < MOST_TOUCHES; k++) this.three.touchAt.value.push(new THREE.Vector4());
    try {
      this.begin();
    } catch (error) {
      this.trouble = "This browser draws no 3-D picture; everything else on the page works.";
    }
    window.wcScene = this; // for tests, and for whoever wants to look in the console
    setTimeout(() => this.$emit("ready"), 0);
  },
  unmounted() {
    const t = this.three;
    t.watcher?.disconnect();
    clearTimeout(t.resting);
    t.controls?.dispose();
    for (const name in t.objects) this.drop(name);
    t.renderer?.dispose();
    t.renderer?.forceContextLoss();
  },
  methods: {
    begin() {
      const t = this.three;
      t.slow = this.by_software();
      t.sharp = Math.min(window.devicePixelRatio || 1, t.slow ? 1 : 1.5);
      t.ratio = t.sharp;
      t.coarse = t.slow ? 0.6 * t.sharp : t.sharp; // what moves is drawn with; found by how long it takes
      t.renderer = new THREE.WebGLRenderer({ canvas: this.$refs.canvas, antialias: !t.slow, alpha: false });
      t.renderer.setPixelRatio(t.ratio);
      t.scene = new THREE.Scene();
      t.scene.background = new THREE.Color(document.body.classList.contains("body--dark") ? 0x2a3138 : 0xe3e8ed);
      t.turning = new THREE.Group();
      t.standing = new THREE.Group();
      t.signs = new THREE.Group();
      t.scene.add(t.turning, t.standing, t.signs, new THREE.HemisphereLight(0xffffff, 0x70757c, 1.9));
      const sun = new THREE.DirectionalLight(0xffffff, 1.8);
      sun.position.set(-0.5, 0.9, 1);
      t.scene.add(sun);
      t.camera = new THREE.PerspectiveCamera(32, 1, 1, 5000);
      t.controls = new OrbitControls(t.camera, this.$refs.canvas);
      t.controls.addEventListener("change", this.draw);
      t.watcher = new ResizeObserver(this.fitBox);
      t.watcher.observe(this.$refs.box);
      const canvas = this.$refs.canvas;
      canvas.addEventListener("pointerdown", this.grab, { capture: true }); // before the controls turn the view
      canvas.addEventListener("pointermove", this.drag);
      canvas.addEventListener("pointerup", this.drop_sensor);
      canvas.addEventListener("pointercancel", this.drop_sensor);
      canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
      canvas.addEventListener("webglcontextrestored", this.draw);
    },
    by_software() {
      const probe = document.createElement("canvas").getContext("webgl"), told = probe?.getExtension("WEBGL_debug_renderer_info");
      const name = told ? probe.getParameter(told.UNMASKED_RENDERER_WEBGL) : "";
      probe?.getExtension("WEBGL_lose_context")?.loseContext();
      return SOFTWARE.test(name);
    },
    fitBox() {
      const t = this.three, wide = this.$refs.box.clientWidth, tall = this.$refs.box.clientHeight;
      if (!wide || !tall || !t.renderer) return;
      t.renderer.setSize(wide, tall, false);
      t.camera.aspect = wide / tall;
      t.camera.updateProjectionMatrix();
      if (!t.looked && Object.keys(t.objects).length) this.look("corner");
      this.draw();
    },
    // --- what is drawn, in numbers: drawing by numbers is how tests see
    state() {
      const t = this.three, objects = t.objects;
      const drawn = Object.keys(objects).filter((name) => objects[name].group.visible);
      const triangles = drawn.reduce((sum, name) => sum + objects[name].group.children[0].geometry.index.count / 3, 0);
      return {
        drawn, triangles, turned: t.turning ? (t.turning.rotation.z * 180) / Math.PI : 0, dragging: Boolean(t.dragging),
        ratio: t.ratio, software: t.slow, striped: t.touchAt.value.filter((v) => v.w > 0).length, frames: t.frames || 0, shownAt: t.shownAt, tookMs: t.tookMs,
      };
    },
    // a dot of the screen at which a part is the first thing seen, null where it is hidden
    on_screen(name) {
      const t = this.three, box = this.$refs.canvas.getBoundingClientRect(), geometry = t.objects[name].group.children[0].geometry;
      const places = geometry.getAttribute("position"), index = geometry.index;
      t.scene.updateMatrixWorld();
      t.camera.updateMatrixWorld(); // the view may have been turned since the last picture
      for (let k = 0; k < index.count; k += 3 * Math.ceil(index.count / 600)) {
        const at = new THREE.Vector3();
        for (let c = 0; c < 3; c++) at.add(new THREE.Vector3().fromBufferAttribute(places, index.getX(k + c)));
        at.divideScalar(3).applyMatrix4(t.objects[name].group.matrixWorld).project(t.camera);
        if (this.seen_at(new THREE.Vector2(at.x, at.y))?.object.name === name)
          return [box.left + ((at.x + 1) / 2) * box.width, box.top + ((1 - at.y) / 2) * box.height];
      }
      return null;
    },
    // what is seen first at a point of the picture, ghosts left out
    seen_at(point) {
      const t = this.three, ray = new THREE.Raycaster();
      ray.setFromCamera(point, t.camera);
      const bodies = Object.values(t.objects).filter((o) => o.group.visible).map((o) => o.group.children[0]).filter((b) => b.material.opacity === 1);
      const first = ray.intersectObjects(bodies, false)[0];
      return first && { object: first.object, point: first.point, ray: ray.ray };
    },
    // how many whole pictures a second this browser draws while the crank turns
    async measure(pictures) {
      const t = this.three, began = performance.now();
      for (let k = 0; k < pictures; k++) {
        t.turning.rotation.z += 0.03;
        this.pace(performance.now());
        t.renderer.render(t.scene, t.camera);
        const one = new Uint8Array(4), gl = t.renderer.getContext();
        gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, one); // waits until it is really drawn
        await new Promise((done) => requestAnimationFrame(done));
      }
      return (pictures * 1000) / (performance.now() - began);
    },
    // --- what the server tells
    show(told) {
      const began = performance.now();
      if ("sense" in told) this.sense = told.sense;
      if ("stale" in told) this.stale = told.stale;
      if ("parts" in told) {
        const named = new Set(["coloured", ...told.parts.map((part) => part.name)]);
        for (const name in this.three.objects) if (!named.has(name)) this.drop(name);
        told.parts.forEach(this.take);
        this.forget();
        this.parts = told.parts.map(({ data, ...part }) => part);
      }
      if ("part" in told) {
        this.take(told.part);
        const { data, ...part } = told.part;
        this.parts = this.parts.map((old) => (old.name === part.name ? part : old));
      }
      if ("coloured" in told) this.takeColours(told.coloured);
      if ("touching" in told) this.takeTouching(told.touching);
      if ("strip" in told) this.strip = told.strip;
      if ("places" in told) {
        this.places = told.places;
        if (told.places && !this.three.dragging) this.sensorAt = Math.round(told.places.at) % 360;
        for (const name of ["sensor", "sensor-fasteners"]) {
          const object = this.three.objects[name];
          if (object && !this.three.dragging) object.group.rotation.z = 0;
        }
      }
      if ("arrow" in told) this.takeArrow(told.arrow);
      this.turned();
      if (!this.three.looked) this.look("corner");
      this.three.tookMs = performance.now() - began;
    },
    take(part) {
      const t = this.three;
      if (!t.scene) return;
      if (part.data) t.meshes[part.mesh] = this.geometry(part.data);
      const old = t.objects[part.name];
      if (old && old.mesh === part.mesh && part.shown) {
        old.group.visible = !old.hidden;
        return;
      }
      if (!part.shown) {
        if (old) old.group.visible = false;
        return;
      }
      this.drop(part.name);
      const { solid, lines } = t.meshes[part.mesh] || {};
      if (!solid) return;
      const group = new THREE.Group(), colour = new THREE.Color(...part.colour);
      const material = striped(new THREE.MeshLambertMaterial({
        color: colour, flatShading: true, transparent: part.ghost, opacity: part.ghost ? 0.22 : 1, depthWrite: !part.ghost,
        side: part.name === "coloured" ? THREE.DoubleSide : THREE.FrontSide, vertexColors: solid.hasAttribute("color"),
        polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
      }), t.touchAt);
      if (t.touched) material.defines = { ...material.defines, TOUCHED: 1 };
      const body = new THREE.Mesh(solid, material);
      body.name = part.name;
      const edge = new THREE.LineSegments(lines, new THREE.LineBasicMaterial({
        color: part.ghost ? 0x6b7076 : 0x14171a, transparent: true, opacity: part.ghost ? 0.3 : 0.55 }));
      group.add(body, edge);
      group.renderOrder = part.ghost ? 2 : 0;
      (part.turns ? t.turning : t.standing).add(group);
      t.objects[part.name] = { group, mesh: part.mesh, hidden: false, ghost: part.ghost };
    },
    geometry(data) {
      const solid = new THREE.BufferGeometry(), lines = new THREE.BufferGeometry();
      solid.setAttribute("position", new THREE.BufferAttribute(new Float32Array(bytes(data.points)), 3));
      solid.setIndex(new THREE.BufferAttribute(new Uint32Array(bytes(data.triangles)), 1));
      if (data.colours) solid.setAttribute("color", new THREE.BufferAttribute(new Uint8Array(bytes(data.colours)), 3, true));
      lines.setAttribute("position", new THREE.BufferAttribute(new Float32Array(bytes(data.lines)), 3));
      return { solid, lines };
    },
    drop(name) {
      const t = this.three, old = t.objects[name];
      if (!old) return;
      old.group.parent?.remove(old.group);
      old.group.children.forEach((child) => child.material.dispose());
      delete t.objects[name];
    },
    // meshes that nothing is drawn with any more
    forget() {
      const t = this.three, used = new Set(Object.values(t.objects).map((object) => object.mesh));
      for (const id in t.meshes) {
        if (used.has(id)) continue;
        t.meshes[id].solid.dispose();
        t.meshes[id].lines.dispose();
        delete t.meshes[id];
      }
    },
    takeColours(told) {
      const plate = this.three.objects.bracket;
      this.drop("coloured");
      this.legend = told ? told.legend : "";
      if (plate) {
        plate.hidden = Boolean(told);
        plate.group.visible = !plate.hidden;
      }
      this.forget();
      if (told) this.take({ name: "coloured", mesh: told.mesh, data: told.data, shown: true, turns: false, ghost: false, colour: [1, 1, 1] });
    },
    takeTouching(touching) {
      this.touching = touching;
      const hits = touching.filter((touch) => touch.hits);
      const t = this.three;
      t.touchAt.value.forEach((v, k) => (hits[k] ? v.set(...hits[k].at, TOUCH_MM) : v.set(0, 0, 0, 0)));
      if (Boolean(t.touched) === hits.length > 0) return;
      t.touched = hits.length > 0; // the stripes cost time in every dot: they are left out where nothing touches
      for (const { group } of Object.values(t.objects)) {
        const material = group.children[0].material;
        material.defines = { ...material.defines };
        if (t.touched) material.defines.TOUCHED = 1;
        else delete material.defines.TOUCHED;
        material.needsUpdate = true;
      }
    },
    takeArrow(arrow) {
      const t = this.three;
      this.arrow = arrow;
      if (!t.scene) return;
      if (t.arrow) {
        t.arrow.parent?.remove(t.arrow);
        t.arrow.traverse((child) => { child.geometry?.dispose(); child.material?.dispose(); });
        t.arrow = null;
      }
      if (!arrow) return;
      const points = arrow.points.map((p) => new THREE.Vector3(...p)), group = new THREE.Group();
      const paint = { depthTest: false, transparent: true };
      const long = points.slice(1).reduce((sum, p, k) => sum + p.distanceTo(points[k]), 0), thick = Math.max(0.5, Math.min(1.4, long / 60));
      const path = new THREE.CurvePath();
      for (let k = 1; k < points.length; k++) path.add(new THREE.LineCurve3(points[k - 1], points[k]));
      group.add(new THREE.Mesh(new THREE.TubeGeometry(path, Math.max(2, points.length * 2), thick, 6), new THREE.MeshBasicMaterial({ color: 0xffb000, ...paint })));
      const ends = [[points[points.length - 1], points[points.length - 2]]];
      if (!arrow.one_way) ends.push([points[0], points[1]]);
      for (const [tip, before] of ends) {
        const way = tip.clone().sub(before).normalize(), tall = Math.max(1.2, Math.min(7, long / 3));
        const head = new THREE.Mesh(new THREE.ConeGeometry(tall * 0.38, tall, 12), new THREE.MeshBasicMaterial({ color: 0xd05a00, ...paint }));
        head.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), way);
        head.position.copy(tip).addScaledVector(way, -tall / 2);
        group.add(head);
      }
      group.renderOrder = 5;
      group.children.forEach((child) => (child.renderOrder = 5));
      (arrow.turns ? t.turning : t.standing).add(group);
      t.arrow = group;
    },
    // --- drawing
    draw() {
      const t = this.three;
      if (!t.renderer || t.pending) return;
      t.pending = requestAnimationFrame((now) => {
        t.pending = 0;
        this.pace(now);
        t.renderer.render(t.scene, t.camera);
        t.frames = (t.frames || 0) + 1;
        t.shownAt = performance.now();
        this.place_tags();
      });
    },
    // one change after another is a moving picture: as coarse as it must be to follow, and sharp again when it rests
    pace(now) {
      const t = this.three, since = now - (t.drawnAt || 0);
      t.drawnAt = now;
      clearTimeout(t.resting);
      if (since < 1000 && since > 0 && t.moving) {
        if (since > FRAME_MS) t.coarse = Math.max(COARSEST * t.sharp, t.coarse * 0.85);
        else if (since < FRAME_MS / 2) t.coarse = Math.min(t.sharp, t.coarse * 1.05);
      }
      t.moving = since < 1000;
      this.dots(t.moving ? t.coarse : t.sharp);
      // longer than a picture takes, or what is slow would be drawn sharp each time and be slower still
      if (t.ratio < t.sharp) t.resting = setTimeout(this.rest, Math.max(REST_MS, Math.min(3 * since, 1500)));
    },
    rest() {
      const t = this.three;
      t.moving = false;
      t.drawnAt = 0;
      this.draw();
    },
    dots(ratio) {
      const t = this.three;
      if (Math.abs(ratio - t.ratio) < 0.02 && !(ratio === t.sharp && t.ratio !== t.sharp)) return;
      t.ratio = ratio;
      t.renderer.setPixelRatio(ratio);
      const still = ratio > 0.75 * t.sharp;
      for (const { group, ghost } of Object.values(t.objects)) {
        group.children[1].visible = still; // edges
        if (ghost) group.children[0].visible = still || !t.slow; // what is seen through is drawn twice over
      }
    },
    place_tags() {
      const t = this.three, wide = this.$refs.box.clientWidth, tall = this.$refs.box.clientHeight, out = [];
      const put = (id, words, at, kind, turning) => {
        const v = new THREE.Vector3(...at);
        if (turning) v.applyEuler(t.turning.rotation);
        v.project(t.camera);
        if (v.z < 1) out.push({ id, words, kind, x: Math.min(Math.max((v.x + 1) / 2 * wide, 8), wide - 8), y: Math.min(Math.max((1 - v.y) / 2 * tall, 12), tall - 12) });
      };
      if (t.reach) put("tdc", "TDC", [0, t.reach * 1.06, t.front], "tdc", true);
      this.touching.filter((touch) => touch.hits).slice(0, MOST_TOUCHES).forEach((touch, k) => put("touch" + k, "✖ touches", touch.at, "touch", false));
      if (this.arrow) put("arrow", this.arrow.label, this.arrow.points[Math.floor(this.arrow.points.length / 2)].map((v, k) => this.arrow.points.length > 2 ? v : (v + this.arrow.points[0][k]) / 2), "arrow", this.arrow.turns);
      if (t.dragging) put("sensor", this.sensorWords, t.at_sensor, this.fits(this.sensorAt) ? "arrow" : "touch", false);
      this.tags = out;
    },
    turned() {
      const t = this.three;
      if (!t.turning) return;
      t.turning.rotation.z = (-this.sense * this.crank * Math.PI) / 180;
      this.draw();
    },
    box() {
      const t = this.three, box = new THREE.Box3();
      const names = ["wheel", "found", "bracket", "coloured", "sensor"].filter((name) => t.objects[name]);
      (names.length ? names : Object.keys(t.objects)).forEach((name) => box.expandByObject(t.objects[name].group));
      return box;
    },
    look(name) {
      const t = this.three;
      if (!t.scene || !Object.keys(t.objects).length) return;
      const box = this.box(), sphere = box.getBoundingSphere(new THREE.Sphere());
      const tall = (t.camera.fov * Math.PI) / 360, least = Math.min(tall, Math.atan(Math.tan(tall) * t.camera.aspect));
      t.controls.target.copy(sphere.center);
      t.camera.position.copy(sphere.center).addScaledVector(new THREE.Vector3(...VIEWS[name]).normalize(), (sphere.radius * 0.92) / Math.sin(least));
      t.looked = true;
      this.pointer_line();
      t.controls.update();
      this.draw();
    },
    // the TDC line of the wheel: from the axis upwards with cylinder 1 at top dead centre
    pointer_line() {
      const t = this.three, wheel = t.objects.wheel || t.objects.found;
      if (!wheel) return;
      const box = new THREE.Box3().setFromBufferAttribute(wheel.group.children[0].geometry.getAttribute("position"));
      t.reach = box.max.y * 1.15;
      t.front = box.max.z + 1;
      t.line?.parent?.remove(t.line);
      const ends = new THREE.BufferGeometry().setFromPoints([new THREE.Vector3(0, 0, t.front), new THREE.Vector3(0, t.reach, t.front)]);
      t.line = new THREE.LineSegments(ends, new THREE.LineDashedMaterial({ color: 0x0a4a82, dashSize: 6, gapSize: 3 }));
      t.line.computeLineDistances();
      t.turning.add(t.line);
    },
    lookAt(at) {
      const t = this.three;
      if (!t.scene) return;
      t.controls.target.set(...at);
      const way = t.camera.position.clone().sub(t.controls.target).setLength(140);
      t.camera.position.copy(t.controls.target).add(way);
      t.controls.update();
      this.draw();
    },
    zoom(by) {
      const t = this.three;
      if (!t.camera) return;
      t.camera.position.sub(t.controls.target).multiplyScalar(by).add(t.controls.target);
      t.controls.update();
      this.draw();
    },
    swing(right, up) {
      const t = this.three;
      if (!t.camera) return;
      const s = new THREE.Spherical().setFromVector3(t.camera.position.clone().sub(t.controls.target));
      s.theta += (right * Math.PI) / 180;
      s.phi = Math.min(Math.PI - 0.01, Math.max(0.01, s.phi - (up * Math.PI) / 180));
      t.camera.position.setFromSpherical(s).add(t.controls.target);
      t.controls.update();
      this.draw();
    },
    toggle(name, shown) {
      const object = this.three.objects[name];
      if (object) object.group.visible = shown && !object.hidden;
      const coloured = this.three.objects.coloured;
      if (name === "bracket" && coloured) coloured.group.visible = shown;
      this.parts = this.parts.map((part) => (part.name === name ? { ...part, shown } : part));
      this.draw();
      this.$emit("need", { name, shown });
    },
    // --- the sensor
    fits(at) {
      const allowed = this.places?.allowed;
      return !allowed || allowed[((Math.round(at) % 360) + 360) % 360];
    },
    snapped(at) {
      const whole = ((Math.round(at) % 360) + 360) % 360;
      if (this.fits(whole)) return whole;
      for (let off = 1; off <= DRAG_SNAP; off++) {
        for (const near of [whole - off, whole + off]) if (this.fits(near)) return (near + 360) % 360;
      }
      return whole;
    },
    point_of(event) {
      const box = this.$refs.canvas.getBoundingClientRect();
      return new THREE.Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2);
    },
    grab(event) {
      const t = this.three, sensor = t.objects.sensor;
      if (!sensor || !this.places) return;
      const first = this.seen_at(this.point_of(event));
      if (!first || !["sensor", "sensor-fasteners"].includes(first.object.name)) return;
      t.dragging = true;
      t.at_sensor = first.point.toArray();
      t.plane = new THREE.Plane(new THREE.Vector3(0, 0, 1), -first.point.z);
      t.controls.enabled = false;
      this.$refs.canvas.setPointerCapture(event.pointerId);
      const hit = first.ray.intersectPlane(t.plane, new THREE.Vector3());
      t.off = hit ? this.places.at - this.angle(hit) : 0;
    },
    angle(point) {
      return ((Math.atan2(this.sense * point.x, point.y) * 180) / Math.PI + 360) % 360;
    },
    drag(event) {
      const t = this.three;
      if (!t.dragging) return;
      const ray = new THREE.Raycaster(), hit = new THREE.Vector3();
      ray.setFromCamera(this.point_of(event), t.camera);
      if (!ray.ray.intersectPlane(t.plane, hit)) return;
      this.sensorAt = this.snapped(this.angle(hit) + t.off);
      t.at_sensor = hit.toArray();
      this.preview();
    },
    drop_sensor() {
      const t = this.three;
      if (!t.dragging) return;
      t.dragging = false;
      t.controls.enabled = true;
      this.settle();
    },
    // the sensor shown where it would go, before the job hears of it
    preview() {
      const t = this.three;
      for (const name of ["sensor", "sensor-fasteners"]) {
        const object = t.objects[name];
        if (object) object.group.rotation.z = (-this.sense * (this.sensorAt - this.places.at) * Math.PI) / 180;
      }
      this.draw();
    },
    settle() {
      if (away(this.sensorAt, this.places.at) < 0.5) return this.preview();
      this.$emit("sensor", { at: this.sensorAt });
    },
  },
};
