"use strict";
// The assembly, turned by hand: binary glTF from the page itself to WebGL triangles. No library, no network.
// Flat shading: each triangle's normal is worked out here, so that files with and without normals look alike.
const SIZES = { 5121: Uint8Array, 5123: Uint16Array, 5125: Uint32Array, 5126: Float32Array };

function readGlb(buffer) {
  const view = new DataView(buffer);
  if (view.getUint32(0, true) !== 0x46546c67) throw new Error("no glb");
  const length = view.getUint32(12, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
  return { head, binary: 20 + length + 8, buffer };
}

function numbers(glb, index, each) {
  const accessor = glb.head.accessors[index], part = glb.head.bufferViews[accessor.bufferView];
  const Kind = SIZES[accessor.componentType], wide = Kind.BYTES_PER_ELEMENT;
  const start = glb.binary + (part.byteOffset || 0) + (accessor.byteOffset || 0), stride = part.byteStride || each * wide;
  const out = new Float64Array(accessor.count * each);
  for (let i = 0; i < accessor.count; i++)
    out.set(new Kind(glb.buffer.slice(start + i * stride, start + i * stride + each * wide)), i * each);
  return out;
}

function times(a, b) { // 4 x 4, columns one after another
  const out = new Array(16).fill(0);
  for (let c = 0; c < 4; c++) for (let r = 0; r < 4; r++) for (let k = 0; k < 4; k++) out[4 * c + r] += a[4 * k + r] * b[4 * c + k];
  return out;
}

function placeOf(node) {
  if (node.matrix) return node.matrix;
  const [x, y, z, w] = node.rotation || [0, 0, 0, 1], [sx, sy, sz] = node.scale || [1, 1, 1], t = node.translation || [0, 0, 0];
  return [
    sx * (1 - 2 * (y * y + z * z)), sx * 2 * (x * y + w * z), sx * 2 * (x * z - w * y), 0,
    sy * 2 * (x * y - w * z), sy * (1 - 2 * (x * x + z * z)), sy * 2 * (y * z + w * x), 0,
    sz * 2 * (x * z + w * y), sz * 2 * (y * z - w * x), sz * (1 - 2 * (x * x + y * y)), 0,
    t[0], t[1], t[2], 1,
  ];
}

function triangles(glb) { // nine floats a corner: place, normal, colour
  const out = [], head = glb.head;
  const walk = (index, above) => {
    const node = head.nodes[index], at = times(above, placeOf(node));
    for (const shape of node.mesh === undefined ? [] : head.meshes[node.mesh].primitives) add(shape, at);
    for (const child of node.children || []) walk(child, at);
  };
  const add = (shape, m) => {
    const raw = numbers(glb, shape.attributes.POSITION, 3);
    const order = shape.indices === undefined ? raw.map((_, i) => i).subarray(0, raw.length / 3) : numbers(glb, shape.indices, 1);
    const paint = (head.materials || [])[shape.material] || {};
    const colour = ((paint.pbrMetallicRoughness || {}).baseColorFactor || [0.7, 0.7, 0.7]).slice(0, 3);
    for (let i = 0; i + 2 < order.length; i += 3) {
      const p = [0, 1, 2].map((k) => {
        const [x, y, z] = raw.subarray(3 * order[i + k], 3 * order[i + k] + 3);
        return [0, 1, 2].map((r) => m[r] * x + m[4 + r] * y + m[8 + r] * z + m[12 + r]);
      });
      const [u, v] = [1, 2].map((k) => p[k].map((value, r) => value - p[0][r]));
      const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      const long = Math.hypot(...n) || 1;
      for (const corner of p) out.push(...corner, n[0] / long, n[1] / long, n[2] / long, ...colour);
    }
  };
  for (const root of head.scenes[head.scene || 0].nodes) walk(root, [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
  return new Float32Array(out);
}

function bounds(data) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < data.length; i += 9) for (let r = 0; r < 3; r++) {
    low[r] = Math.min(low[r], data[i + r]);
    high[r] = Math.max(high[r], data[i + r]);
  }
  return { middle: low.map((v, r) => (v + high[r]) / 2), radius: Math.hypot(...low.map((v, r) => high[r] - v)) / 2 };
}

const VERTEX = `attribute vec3 at, normal, colour; uniform mat3 turn; uniform vec3 middle; uniform vec2 scale; varying vec3 shade;
void main() { vec3 p = turn * (at - middle); vec3 n = turn * normal;
  float lit = 0.38 + 0.62 * max(dot(n, normalize(vec3(0.45, 0.35, 0.82))), 0.0);
  shade = colour * lit; gl_Position = vec4(p.xy * scale, -p.z * min(scale.x, scale.y) * 0.5, 1.0); }`;
const FRAGMENT = `precision mediump float; varying vec3 shade; void main() { gl_FragColor = vec4(sqrt(shade), 1.0); }`;

function show(canvas, data) {
  const gl = canvas.getContext("webgl", { antialias: true, alpha: true });
  if (!gl) throw new Error("no WebGL");
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  gl.useProgram(program);
  gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
  ["at", "normal", "colour"].forEach((name, k) => {
    const place = gl.getAttribLocation(program, name);
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 36, 12 * k);
  });
  gl.enable(gl.DEPTH_TEST);
  const box = bounds(data), uniform = (name) => gl.getUniformLocation(program, name);
  const view = { right: -35, above: 25, near: 1.0 };
  const draw = () => {
    const high = canvas.height = Math.round(canvas.clientHeight * devicePixelRatio);
    const wide = canvas.width = Math.round(canvas.clientWidth * devicePixelRatio);
    const [a, b] = [view.right, view.above].map((deg) => (deg * Math.PI) / 180), size = (view.near * Math.min(wide, high)) / box.radius;
    const [ca, sa, cb, sb] = [Math.cos(a), Math.sin(a), Math.cos(b), Math.sin(b)];
    gl.viewport(0, 0, wide, high);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.uniformMatrix3fv(uniform("turn"), false, [ca, -sb * sa, cb * sa, 0, cb, sb, -sa, -sb * ca, cb * ca]);
    gl.uniform3fv(uniform("middle"), box.middle);
    gl.uniform2f(uniform("scale"), size / wide, size / high);
    gl.drawArrays(gl.TRIANGLES, 0, data.length / 9);
  };
  const turn = (right, above) => {
    view.right += right;
    view.above = Math.max(-90, Math.min(90, view.above + above));
    draw();
  };
  const KEYS = { ArrowLeft: [10, 0], ArrowRight: [-10, 0], ArrowUp: [0, 10], ArrowDown: [0, -10] };
  canvas.addEventListener("pointermove", (event) => {
    if (event.buttons) turn(-event.movementX * 0.5, event.movementY * 0.5);
  });
  canvas.addEventListener("pointerdown", (event) => canvas.setPointerCapture(event.pointerId));
  canvas.addEventListener("keydown", (event) => {
    if (!KEYS[event.key]) return;
    event.preventDefault();
    turn(...KEYS[event.key]);
  });
  for (const [id, by] of [["nearer", 1.25], ["farther", 0.8]])
    document.getElementById(id).addEventListener("click", () => { view.near = Math.max(0.4, Math.min(12, view.near * by)); draw(); });
  addEventListener("resize", draw);
  draw();
  return view;
}

const held = document.getElementById("assembly");
if (held) try {
  const text = atob(held.textContent.trim()), bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  const box = document.getElementById("turning");
  box.hidden = false;
  window.shown = show(box.querySelector("canvas"), triangles(readGlb(bytes.buffer)));
  document.getElementById("still").hidden = true;
} catch (error) { // the picture stays
  document.getElementById("turning").hidden = true;
}
