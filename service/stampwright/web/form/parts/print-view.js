// The print as a picture, and lights on it: rings around the places of which a finding speaks.

import { draw, make } from "./dom.js";

const AROUND_MM = 3; // ground around the head in the plain print
const LEAST_RING_MM = 1.2;
const CLOSER = 3;

export class PrintView {
  constructor(words) {
    this.words = words;
    this.picture = make("img", { alt: "", hidden: true });
    this.lights = draw("svg", { class: "lights", "aria-hidden": "true" });
    this.sheet = make("div", { className: "sheet" }, this.picture, this.lights);
    this.element = make("div", { className: "print", hidden: true }, this.sheet);
  }

  /** Show the drawing in `blob`: as a picture, in which nothing runs and from which nothing is fetched. */
  async show(blob, { face, says }) {
    const address = URL.createObjectURL(blob);
    const fresh = make("img", { src: address, alt: says });
    await fresh.decode();
    URL.revokeObjectURL(this.address);
    this.address = address;
    this.picture.replaceWith(fresh);
    this.picture = fresh;
    this.#measure(face);
  }

  #measure(face) {
    const [x0, y0, x1, y1] = face.head_bounds_mm;
    this.half = [(x1 - x0) / 2 + AROUND_MM, (y1 - y0) / 2 + AROUND_MM];
    const [halfX, halfY] = this.half;
    this.lights.setAttribute("viewBox", `${-halfX} ${-halfY} ${2 * halfX} ${2 * halfY}`);
    this.sheet.style.aspectRatio = `${halfX} / ${halfY}`;
    this.light([]);
  }

  /** Light up places of the face; `closer` enlarges the first of them. The print is the face seen from behind. */
  light(findings, { closer = false } = {}) {
    const placed = findings.filter((finding) => finding.at_mm);
    this.lights.replaceChildren(...placed.flatMap(ring));
    this.sheet.classList.toggle("lit", placed.length > 0);
    const { style } = this.sheet;
    style.transform = closer && placed.length ? `scale(${CLOSER})` : "";
    if (closer && placed.length) style.transformOrigin = this.#share(placed[0].at_mm);
  }

  #share([x, y]) {
    const [halfX, halfY] = this.half;
    return `${(50 * (halfX - x)) / halfX}% ${(50 * (halfY - y)) / halfY}%`;
  }
}

/** A ring of two rims, dark and pale, which shows on wood and on char. */
function ring(finding) {
  const [x, y] = finding.at_mm;
  const r = Math.max(LEAST_RING_MM, (finding.length_mm ?? finding.measured_mm ?? 0) / 2 + 0.4);
  const circle = (className) => draw("circle", { class: className, cx: -x, cy: -y, r });
  return [circle("rim"), circle(`glow ${finding.severity}`)];
}
