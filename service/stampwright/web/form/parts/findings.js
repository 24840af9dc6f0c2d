// Findings as a list: those of one kind and weight together, with a button for each place that lights it up.

import { make } from "./dom.js";
import { mendsOf } from "./mends.js";

const SHOWN = 24; // places of a kind that have a button at once

export class Findings {
  /** `light(findings, options)` shows places; `mend(job, says)` takes another job. */
  constructor({ words, light, mend }) {
    this.words = words;
    this.light = light;
    this.mend = mend;
    this.element = make("div", { className: "findings" });
  }

  #pressed = null;

  /** Show the findings of a review, worst first, with what one click can do about each kind. */
  show(review, around) {
    this.#pressed = null;
    const kinds = kindsOf(review.findings);
    this.element.replaceChildren(...kinds.map((kind) => this.#kind(kind, around)));
    const rest = Object.entries(review.findings_left_out);
    if (rest.length) this.element.append(make("p", { className: "hint" }, this.#leftOut(rest)));
  }

  #kind(findings, around) {
    const [{ code, severity, says, remedy }] = findings;
    const weight = make("span", { className: `weight ${severity}` }, this.words.say(`severity.${severity}`));
    const sign = make("span", { className: `sign ${severity}`, "aria-hidden": "true" });
    const sentence = make("p", {}, says);
    const mends = mendsOf(findings, around).map((each) => this.#mend(each));
    return make("section", { className: "kind" },
      make("h3", {}, sign, this.#named(code), weight), sentence, this.#places(findings, sentence),
      make("p", { className: "remedy" }, this.#plain(remedy)), mends.length ? make("div", { className: "mends" }, mends) : null);
  }

  /** Buttons for the places; the sentence above them speaks of the one that is looked at. */
  #places(findings, sentence) {
    const placed = findings.filter((finding) => finding.at_mm);
    if (!placed.length) return null;
    const items = placed.map((finding, i) => make("li", { hidden: i >= SHOWN }, this.#place(finding, { number: i + 1, of: placed.length, sentence })));
    const list = make("ul", { className: "places", "aria-label": this.words.count("findings.places", placed.length) }, items);
    if (placed.length > SHOWN) list.append(make("li", {}, this.#more(list, placed.length - SHOWN)));
    return list;
  }

  #place(finding, { number, of, sentence }) {
    const says = of === 1 ? this.words.say("findings.show") : String(number);
    const button = make("button", { type: "button", className: "place", "aria-label": `${says}: ${finding.says}`, "aria-pressed": "false" }, says);
    const look = () => {
      sentence.textContent = finding.says;
      this.light([finding]);
    };
    button.addEventListener("focus", look);
    button.addEventListener("blur", () => this.#release(button));
    button.addEventListener("pointerenter", (event) => event.pointerType === "mouse" && !this.#pressed && look());
    button.addEventListener("pointerleave", () => !this.#pressed && button.getRootNode().activeElement !== button && this.light([]));
    button.addEventListener("click", () => this.#press(button, finding));
    return button;
  }

  /** A press looks closer, a second one steps back. */
  #press(button, finding) {
    const isPressed = this.#pressed === button;
    this.#release(this.#pressed);
    if (!isPressed) {
      this.#pressed = button;
      button.setAttribute("aria-pressed", "true");
    }
    this.light([finding], { closer: !isPressed });
  }

  #release(button) {
    button?.setAttribute("aria-pressed", "false");
    if (this.#pressed === button) this.#pressed = null;
    this.light([]);
  }

  #more(list, count) {
    const button = make("button", { type: "button", className: "more" }, this.words.count("findings.more", count));
    button.addEventListener("click", () => {
      const hidden = [...list.children].filter((item) => item.hidden);
      for (const item of hidden) item.hidden = false;
      button.parentElement.remove();
      hidden[0].firstChild.focus();
    });
    return button;
  }

  #mend({ name, values, job }) {
    const says = this.words.say(`mend.${name}`, values);
    return make("button", { type: "button", className: "mend", onclick: () => this.mend(job, says) }, says);
  }

  #named(code) {
    return this.words.sayOr(`finding.${code}`, code.replaceAll("-", " "));
  }

  /** A sentence of the service in which a field of the job is called as the form calls it. */
  #plain(sentence) {
    return sentence.replace(/`([\w.]+)`/g, (whole, path) => `“${this.words.sayOr(path, path)}”`);
  }

  #leftOut(rest) {
    return this.words.say("findings.beyond", { list: rest.map(([code, count]) => `${count} × ${this.#named(code)}`).join(", ") });
  }
}

/** Findings by code and weight, in the order in which the worst of each kind comes. */
export function kindsOf(findings) {
  const kinds = new Map();
  for (const finding of findings) {
    const name = `${finding.code} ${finding.severity}`;
    kinds.set(name, [...(kinds.get(name) ?? []), finding]);
  }
  return [...kinds.values()];
}
