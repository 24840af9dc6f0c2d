// <iron-solid>: a solid that turns. WebGL 2, no library; drawn when something changes, never on its own.

import { draw, make } from "./dom.js";
import { readStl } from "./stl.js";

const VIEWS = { front: [0, 0], slant: [-0.5, -0.65], back: [Math.PI + 0.5, -0.5] };
const STEP = Math.PI / 24;
const NEAREST = 8;
const FILLED = 0.92; // of the picture by the solid

const VERTEX = `#version 300 es
in vec3 place;
uniform mat4 turned;
uniform mat4 seen;
out vec3 at;
out float height;
void main() {
  vec4 turnedPlace = turned * vec4(place, 1.0);
  at = turnedPlace.xyz;
  height = place.z;
  gl_Position = seen * turnedPlace;
}`;

// Flat faces: the normal comes from neighbouring pixels. Two lamps, a gloss, and ground that lies in shade.
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 at;
in float height;
uniform vec3 metal;
uniform float relief;
out vec4 colour;
void main() {
  vec3 normal = normalize(cross(dFdx(at), dFdy(at)));
  vec3 eye = vec3(0.0, 0.0, 1.0);
  vec3 lamp = normalize(vec3(-0.45, 0.65, 0.75));
  vec3 window = normalize(vec3(0.8, -0.1, 0.35));
  float lit = 0.30 + 0.55 * max(dot(normal, lamp), 0.0) + 0.20 * max(dot(normal, window), 0.0);
  float gloss = pow(max(dot(normal, normalize(lamp + eye)), 0.0), 24.0);
  float raised = smoothstep(-relief, 0.0, height);
  vec3 shade = metal * lit * mix(0.58, 1.08, raised) + 0.22 * gloss * raised;
  colour = vec4(pow(shade, vec3(1.0 / 1.6)), 1.0);
}`;

class IronSolid extends HTMLElement {
  constructor() {
    super();
    this.attachShadow({ mode: "open" });
    this.metal = [0.8, 0.62, 0.32];
    this.relief = 1.5;
    this.places = [];
  }

  connectedCallback() {
    if (this.canvas) return;
    this.canvas = make("canvas", { tabIndex: 0, role: "img" });
    this.marks = draw("svg", { class: "lights", "aria-hidden": "true", part: "lights" });
    this.shadowRoot.append(this.canvas, this.marks);
    this.shadowRoot.adoptedStyleSheets = [sheet()];
    this.#listen();
    this.turnTo("slant");
    new ResizeObserver(() => this.#paint()).observe(this);
  }

  /** What is read out of the picture, and how it is turned. */
  set label(text) {
    this.canvas.setAttribute("aria-label", text);
  }

  /** Show the solid of a binary STL; whether this browser can. */
  show(buffer, { metal, relief } = {}) {
    const isFirst = !this.solid;
    this.solid = readStl(buffer);
    this.metal = metal ?? this.metal;
    this.relief = relief ?? this.relief;
    this.#prepare();
    if (!this.gl) return false;
    const { gl } = this;
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffer);
    gl.bufferData(gl.ARRAY_BUFFER, this.solid.vertices, gl.STATIC_DRAW);
    if (isFirst) this.#fit();
    this.#paint();
    return true;
  }

  /** Turn to "front", "slant" or "back". */
  turnTo(view) {
    [this.yaw, this.pitch] = VIEWS[view];
    this.#fit();
    this.#paint();
  }

  /** Come closer (above 1) or step back (below 1). */
  closer(factor) {
    this.closeness = Math.min(NEAREST, Math.max(0.5, this.closeness * factor));
    this.#paint();
  }

  /** Light up places of the face: they lie in the tops of the lands, where z is 0. */
  light(findings) {
    this.places = findings.filter((finding) => finding.at_mm);
    this.#mark();
  }

  #listen() {
    this.canvas.addEventListener("pointerdown", (event) => this.canvas.setPointerCapture(event.pointerId));
    this.canvas.addEventListener("pointermove", (event) => {
      if (!this.canvas.hasPointerCapture(event.pointerId)) return;
      this.#turn(event.movementX * 0.01, event.pointerType === "touch" ? 0 : event.movementY * 0.01);
    });
    this.canvas.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && this.shadowRoot.activeElement !== this.canvas) return; // the page scrolls on
      event.preventDefault();
      this.closer(event.deltaY < 0 ? 1.1 : 1 / 1.1);
    }, { passive: false });
    this.canvas.addEventListener("keydown", (event) => this.#key(event));
    this.canvas.addEventListener("webglcontextlost", () => this.dispatchEvent(new Event("lost")));
  }

  #key(event) {
    const does = {
      ArrowLeft: () => this.#turn(-STEP, 0),
      ArrowRight: () => this.#turn(STEP, 0),
      ArrowUp: () => this.#turn(0, -STEP),
      ArrowDown: () => this.#turn(0, STEP),
      "+": () => this.closer(1.2),
      "-": () => this.closer(1 / 1.2),
      Home: () => this.turnTo("front"),
    }[event.key];
    if (!does || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    does();
  }

  #turn(yaw, pitch) {
    this.yaw += yaw;
    this.pitch = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, this.pitch + pitch));
    this.#paint();
  }

  #prepare() {
    if (this.gl !== undefined) return;
    this.gl = this.canvas.getContext("webgl2", { antialias: true, alpha: true, preserveDrawingBuffer: true });
    if (!this.gl) return;
    const { gl } = this;
    this.program = linked(gl);
    this.at = Object.fromEntries(["turned", "seen", "metal", "relief"].map((name) => [name, gl.getUniformLocation(this.program, name)]));
    this.buffer = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffer);
    const place = gl.getAttribLocation(this.program, "place");
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, 3, gl.FLOAT, false, 0, 0);
    gl.enable(gl.DEPTH_TEST);
    gl.enable(gl.CULL_FACE);
  }

  #paint() {
    if (!this.gl || !this.solid || !this.clientWidth) return;
    const { gl, canvas } = this;
    const scale = Math.min(devicePixelRatio || 1, 2);
    canvas.width = Math.round(this.clientWidth * scale);
    canvas.height = Math.round(this.clientHeight * scale);
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.useProgram(this.program);
    gl.uniformMatrix4fv(this.at.turned, false, this.#turned());
    gl.uniformMatrix4fv(this.at.seen, false, this.#seen());
    gl.uniform3fv(this.at.metal, this.metal);
    gl.uniform1f(this.at.relief, this.relief);
    gl.drawArrays(gl.TRIANGLES, 0, this.solid.vertices.length / 3);
    this.#mark();
  }

  /** The solid about the middle of its box, turned by yaw and then pitch; by columns. */
  #turned() {
    const [cy, sy, cp, sp] = [Math.cos(this.yaw), Math.sin(this.yaw), Math.cos(this.pitch), Math.sin(this.pitch)];
    const rows = [[cy, 0, sy], [sy * sp, cp, -cy * sp], [-sy * cp, sp, cy * cp]];
    const middle = this.solid.low.map((low, i) => (low + this.solid.high[i]) / 2);
    const moved = rows.map((row) => -row.reduce((sum, value, i) => sum + value * middle[i], 0));
    return [0, 1, 2].flatMap((i) => [rows[0][i], rows[1][i], rows[2][i], 0]).concat([...moved, 1]);
  }

  /** Parallel projection that holds the whole solid however it is turned. */
  #seen() {
    const reach = Math.hypot(...this.solid.low.map((low, i) => this.solid.high[i] - low)) / 2;
    const aspect = this.clientWidth / this.clientHeight;
    const half = (0.9 * reach) / this.closeness;
    const [x, y] = aspect > 1 ? [half * aspect, half] : [half, half / aspect];
    return [1 / x, 0, 0, 0, 0, 1 / y, 0, 0, 0, 0, -1 / (2 * reach), 0, 0, 0, 0, 1];
  }

  /** Come as close as the whole solid, turned as it is, allows. */
  #fit() {
    this.closeness = 1;
    if (!this.solid || !this.clientWidth) return;
    const [turned, seen] = [this.#turned(), this.#seen()];
    const reach = (row) => [0, 1, 2].reduce((sum, i) => sum + Math.abs(turned[4 * i + row]) * (this.solid.high[i] - this.solid.low[i]), 0) / 2;
    this.closeness = FILLED / Math.max(reach(0) * seen[0], reach(1) * seen[5]);
  }

  #mark() {
    if (!this.marks || !this.solid || !this.gl) return;
    const [turned, seen] = [this.#turned(), this.#seen()];
    const [width, height] = [this.clientWidth, this.clientHeight];
    this.marks.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.marks.replaceChildren(...this.places.flatMap(({ at_mm: [x, y], severity }) => {
      const u = turned[0] * x + turned[4] * y + turned[12];
      const v = turned[1] * x + turned[5] * y + turned[13];
      const at = { cx: (width * (1 + u * seen[0])) / 2, cy: (height * (1 - v * seen[5])) / 2, r: 12 };
      return [draw("circle", { class: "rim", ...at }), draw("circle", { class: `glow ${severity}`, ...at })];
    }));
  }
}

function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader));
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  return program;
}

function sheet() {
  const made = new CSSStyleSheet();
  made.replaceSync(`
    :host { display: block; position: relative; }
    canvas { display: block; width: 100%; height: 100%; touch-action: pan-y; cursor: grab; border-radius: inherit; }
    canvas:active { cursor: grabbing; }
    canvas:focus-visible { outline: 3px solid currentColor; outline-offset: -3px; }
    svg { position: absolute; inset: 0; width: 100%; height: 100%; pointer-events: none; }
    circle { fill: none; stroke-width: 2.5; stroke: var(--glow, #e4572e); }
    circle.rim { stroke: #fff; stroke-width: 5.5; }
  `);
  return made;
}

customElements.define("iron-solid", IronSolid);
