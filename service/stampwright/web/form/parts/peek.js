// On a narrow screen the fields push the picture away: a strip at the foot shows it small, with the verdict.

import { make } from "./dom.js";

export class Peek {
  /** `picture` and `text` are what the strip stands for: it hides while one of them is seen, and leads there. */
  constructor({ words, picture, text }) {
    this.small = make("img", { alt: "" });
    this.says = make("span");
    const go = () => {
      picture.scrollIntoView({ block: "start" });
      text.querySelector("h2")?.focus({ preventScroll: true });
    };
    const button = make("button", { type: "button", onclick: go }, this.small, this.says, make("span", { className: "unseen" }, words.say("peek")));
    this.element = make("div", { className: "peek", hidden: true }, button);
    this.seen = new Set();
    const watch = new IntersectionObserver((changes) => {
      for (const { target, isIntersecting } of changes) this.seen[isIntersecting ? "add" : "delete"](target);
      this.#arrange();
    }, { threshold: 0.3 });
    watch.observe(picture);
    watch.observe(text);
  }

  /** The picture's address, or null, and a few words. */
  show(address, says) {
    this.small.hidden = !address;
    if (address) this.small.src = address;
    this.says.textContent = says;
    this.#arrange();
  }

  #arrange() {
    this.element.hidden = !this.says.textContent || this.seen.size > 0;
  }
}
