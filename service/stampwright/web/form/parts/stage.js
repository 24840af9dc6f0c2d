// The picture side of the form: the print, and the solid as drawn or as cut, one at a time.

import { make } from "./dom.js";
import { PrintView } from "./print-view.js";
import "./iron-solid.js";

const VIEWS = ["print", "as_drawn", "as_cut"];
const METALS = { brass: [0.83, 0.66, 0.33], copper: [0.78, 0.45, 0.3], aluminium: [0.74, 0.76, 0.78], steel: [0.55, 0.57, 0.6], stainless: [0.66, 0.67, 0.68] };

export class Stage {
  /** `fetchSolid(kind, accept)` hands back a response; `chosen(view)` is called when the customer looks at another view. */
  constructor({ words, fetchSolid, chosen }) {
    this.words = words;
    this.fetchSolid = fetchSolid;
    this.print = new PrintView(words);
    this.solid = make("iron-solid", { hidden: true });
    this.shaded = make("img", { className: "shaded", alt: "", hidden: true });
    this.turning = make("div", { className: "turning", hidden: true }, this.#buttons());
    this.view = "print";
    this.choice = make("fieldset", { className: "choice views", hidden: true },
      make("legend", { className: "unseen" }, words.say("views")), make("div", {}, VIEWS.map((view) => this.#option(view, chosen))));
    this.caption = make("figcaption", { className: "hint" });
    this.element = make("figure", {}, this.choice, this.print.element, this.solid, this.shaded, this.turning, this.caption);
  }

  /** Show what a review found: the print at once, the solid when it is looked at. */
  async show({ print, answer, job }) {
    this.answer = answer;
    this.job = job;
    this.held = {};
    this.choice.hidden = false;
    const { width_mm: width, height_mm: height } = answer.face;
    await this.print.show(print, { face: answer.face, says: this.words.say("print.alt", { width, height }) });
    this.#arrange();
  }

  /** Fetch and show the solid when that is what is looked at. */
  async settle(signal) {
    const { view, held } = this;
    if (view === "print" || this.held.shown === view) return;
    held[view] ??= await (await this.fetchSolid(view, this.withoutGl ? "image/png" : "model/stl")).blob();
    signal.throwIfAborted();
    if (this.held !== held || this.view !== view) return; // it has become the solid of another order, or of no interest
    if (this.withoutGl) this.#shade(held[view]);
    else await this.#turn(view, held[view]);
    held.shown = view;
    this.#arrange();
  }

  /** Light up the places of findings, in whichever view is shown. */
  light(findings, options) {
    if (this.view === "print") this.print.light(findings, options);
    else this.solid.light(findings);
  }

  async #turn(view, stl) {
    const metal = METALS[this.job.metal.split("-")[0]];
    if (this.solid.show(await stl.arrayBuffer(), { metal, relief: this.answer.face.relief_mm })) return;
    this.withoutGl = true;
    this.held[view] = await (await this.fetchSolid(view, "image/png")).blob();
    this.#shade(this.held[view]);
  }

  /** The picture that stands in where this browser draws no solids. */
  #shade(picture) {
    URL.revokeObjectURL(this.shaded.src);
    this.shaded.src = URL.createObjectURL(picture);
    this.shaded.alt = this.words.say(`view.${this.view}.picture`);
  }

  #arrange() {
    const isPrint = this.view === "print";
    this.print.element.hidden = !isPrint;
    this.solid.hidden = isPrint || this.withoutGl === true;
    this.solid.toggleAttribute("stale", this.held.shown !== this.view);
    if (!isPrint) this.solid.label = this.words.say(`view.${this.view}.alt`);
    this.turning.hidden = this.solid.hidden;
    this.shaded.hidden = isPrint || !this.withoutGl || this.held.shown !== this.view;
    this.caption.textContent = this.words.say(`view.${this.view}.says`);
  }

  #option(view, chosen) {
    const choose = () => {
      this.view = view;
      this.#arrange();
      chosen(view);
    };
    const input = make("input", { type: "radio", name: "view", value: view, checked: view === "print", onchange: choose });
    return make("label", {}, input, this.words.say(`view.${view}`));
  }

  #buttons() {
    const button = (name, does) => make("button", { type: "button", onclick: does }, this.words.say(`turn.${name}`));
    return [
      button("front", () => this.solid.turnTo("front")),
      button("slant", () => this.solid.turnTo("slant")),
      button("back", () => this.solid.turnTo("back")),
      button("closer", () => this.solid.closer(1.25)),
      button("further", () => this.solid.closer(0.8)),
    ];
  }
}
