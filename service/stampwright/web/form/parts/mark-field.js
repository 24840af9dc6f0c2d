// Where the drawing comes in: dropped or chosen, with the fonts it needs.

import { make } from "./dom.js";

const DRAWINGS = ".svg,.svgz,.pdf,.dxf,image/svg+xml,application/pdf,image/vnd.dxf";
const FONTS = ".ttf,.otf,.woff,.woff2,font/ttf,font/otf,font/woff,font/woff2";
const MOST_FONTS = 4;
const IS_FONT = /\.(ttf|otf|woff2?)$/i;

export class MarkField {
  /** `took({mark, fonts})` is called with what came in. */
  constructor({ words, took }) {
    this.words = words;
    this.took = took;
    this.fonts = [];
    const mark = make("input", { type: "file", id: "mark", accept: DRAWINGS, className: "unseen", onchange: () => this.#take(mark) });
    const fonts = make("input", { type: "file", id: "fonts", accept: FONTS, multiple: true, className: "unseen", onchange: () => this.#take(fonts) });
    this.says = make("p", { className: "hint", id: "mark-hint" }, words.say("mark.hint"));
    mark.setAttribute("aria-describedby", "mark-hint");
    this.element = make("section", { className: "drop" },
      make("div", {}, mark, make("label", { htmlFor: "mark", className: "main" }, words.say("mark.choose")), " ",
        make("span", { className: "or" }, words.say("mark.or"))),
      this.says,
      make("div", { className: "fonts" }, fonts, make("label", { htmlFor: "fonts" }, words.say("fonts.choose")), " ",
        this.named = make("span", { className: "hint" }, words.say("fonts.hint"))));
    this.#drop();
  }

  /** Take files as if they had been chosen. */
  take(files) {
    const fonts = files.filter((file) => IS_FONT.test(file.name));
    const [mark] = files.filter((file) => !IS_FONT.test(file.name));
    if (mark) this.mark = mark;
    const names = fonts.map((font) => font.name);
    this.fonts = [...this.fonts.filter((font) => !names.includes(font.name)), ...fonts].slice(-MOST_FONTS);
    this.#say();
    if (this.mark) this.took({ mark: this.mark, fonts: this.fonts });
  }

  /** Open the browser's own window for choosing fonts. */
  chooseFonts() {
    this.element.querySelector("#fonts").click();
  }

  #take(input) {
    this.take([...input.files]);
    input.value = ""; // so that the same file, changed on disk, can be chosen again
  }

  #say() {
    const { words } = this;
    if (this.mark) this.says.textContent = words.say("mark.taken", { name: this.mark.name, size: Math.ceil(this.mark.size / 1000) });
    this.named.textContent = this.fonts.length ? this.fonts.map((font) => font.name).join(", ") : words.say("fonts.hint");
  }

  #drop() {
    const { element } = this;
    const over = (isOver) => element.classList.toggle("over", isOver);
    element.addEventListener("dragover", (event) => { event.preventDefault(); over(true); });
    element.addEventListener("dragleave", () => over(false));
    element.addEventListener("drop", (event) => {
      event.preventDefault();
      over(false);
      if (event.dataTransfer.files.length) this.take([...event.dataTransfer.files]);
    });
  }
}
