// The side of the form that answers: how things stand, the picture, the verdict, findings, figures, files.

import { make } from "./dom.js";
import { Findings } from "./findings.js";
import { larger } from "./mends.js";
import { notices, reasons } from "./notices.js";
import { Peek } from "./peek.js";
import { figures } from "./quote.js";
import { Refused } from "./service.js";
import { Stage } from "./stage.js";

export class AnswerView {
  /** `does`: what the buttons do (mend, again, cancel, look, save, order); `files`: names of files; `orders`: words, or null. */
  constructor({ words, lists, fetchSolid, does, files, orders }) {
    Object.assign(this, { words, lists, does });
    this.stage = new Stage({ words, fetchSolid, chosen: does.look });
    this.findings = new Findings({ words, mend: does.mend, light: (found, options) => this.stage.light(found, options) });
    this.state = make("p", { role: "status", className: "state" });
    this.empty = make("div", { className: "empty" }, make("p", {}, words.say("state.first")),
      make("button", { type: "button", onclick: does.sample }, words.say("state.sample")));
    this.busy = this.#busy();
    this.verdict = make("div", { className: "verdict", hidden: true });
    this.refused = make("div", { className: "refused", hidden: true });
    this.drawing = make("div");
    this.quote = make("section", { className: "quote", hidden: true });
    this.take = make("section", { className: "take", hidden: true }, this.#takes(files, orders));
    this.element = make("section", { className: "answer", "aria-label": words.say("answer.label") },
      this.state, this.busy, this.empty, this.stage.element, this.verdict, this.refused, this.findings.element, this.drawing, this.quote, this.take);
    this.peek = new Peek({ words, picture: this.stage.element, text: this.verdict });
  }

  /** Show the quick answer to a job; `done` is what a press has just changed. */
  async show({ print, answer, job, done }) {
    await this.stage.show({ print, answer, job });
    this.stage.element.classList.remove("old");
    const around = { job, lists: this.lists, face: answer.face };
    this.findings.show(answer.review, around);
    this.refused.hidden = true;
    this.quote.hidden = true;
    this.take.hidden = false;
    this.verdict.hidden = false;
    this.verdict.className = `verdict ${answer.verdict}`;
    this.verdict.replaceChildren(...this.#verdict(answer, around));
    this.drawing.replaceChildren(notices(answer.mark, { words: this.words, mend: this.does.mend, job }) ?? "");
    this.digest.textContent = answer.digest.slice(0, 16);
    if (this.ordering) this.ordering.disabled = true; // until the price is known
    this.#tell(answer, done);
    this.peek.show(this.stage.print.address, this.words.say(`verdict.${answer.verdict}`));
  }

  /** Show minutes, heat, pressing and price. */
  figures(stamp) {
    this.quote.replaceChildren(make("h3", {}, this.words.say("quote.title")), ...figures(stamp, this.words));
    this.quote.hidden = false;
    if (this.ordering) this.ordering.disabled = stamp.verdict === "unmakeable";
  }

  /** Show why there is no answer; `rest` are the reasons that stand beside no field. */
  refuse(error, { rest, job }) {
    const { words } = this;
    const isProblem = error instanceof Refused && error.status < 500;
    const says = isProblem ? words.sayOr(`refused.${error.slug}`, words.say("refused")) : words.say("refused.lost");
    const list = rest.length ? reasons(rest, { words, mend: this.does.mend, chooseFonts: this.does.chooseFonts, job }) : null;
    const detail = error.errors?.length ? null : make("p", {}, error.message);
    const again = isProblem ? null : this.#again();
    this.refused.replaceChildren(...[make("h2", { tabIndex: -1 }, says), list, detail, again].filter(Boolean));
    this.refused.hidden = false;
    for (const part of [this.verdict, this.quote, this.take]) part.hidden = true;
    this.stage.element.classList.add("old");
    this.findings.element.replaceChildren();
    this.drawing.replaceChildren();
    this.say(says);
    this.state.classList.add("unseen"); // the heading below says it to those who see it
    this.peek.show(null, says);
  }

  /** Put the focus on what has come of a press whose button is gone. */
  focus() {
    (this.refused.hidden ? this.verdict : this.refused).querySelector("h2")?.focus();
  }

  /** The first drawing is here. */
  begin() {
    this.empty.hidden = true;
  }

  /** Say how things stand: seen, and read out. */
  say(...says) {
    this.state.replaceChildren(...says);
    this.state.classList.remove("unseen");
  }

  /** Say what is under way. */
  wait(says) {
    this.doing.textContent = says;
    this.busy.hidden = false;
  }

  /** Nothing is under way any more. */
  still() {
    this.busy.hidden = true;
  }

  /** Say that what was under way has been called off. */
  cancelled() {
    this.still();
    this.say(this.words.say("busy.cancelled"), " ", this.#again());
  }

  #tell(answer, done) {
    const { words } = this;
    const what = done ? `${words.say("mend.done", { what: done })} ` : "";
    this.say(`${what}${words.say(`verdict.${answer.verdict}`)} ${words.count("findings.count", answer.review.findings.length)}`);
    this.state.classList.toggle("unseen", !done); // the verdict below says it to those who see it
  }

  #verdict(answer, around) {
    const { words } = this;
    const { face, review, verdict } = answer;
    const size = [words.say("verdict.size", { width: face.width_mm, height: face.height_mm, relief: face.relief_mm })];
    if (face.land_min_mm) size.push(words.say("verdict.land", { width: face.land_min_mm }));
    if (face.gap_min_mm) size.push(words.say("verdict.gap", { width: face.gap_min_mm }));
    const enough = verdict === "ready" ? null : larger(review.least_faithful_width_mm, around);
    return [
      make("h2", { tabIndex: -1 }, words.say(`verdict.${verdict}`)),
      make("p", {}, words.say(`verdict.${verdict}.more`)),
      make("p", { className: "hint" }, size.join(" ")),
      enough ? this.#enough(enough) : "",
    ];
  }

  #enough({ values, job }) {
    const press = () => this.does.mend(job, this.words.say("mend.larger", values));
    return make("button", { type: "button", className: "mend", onclick: press }, this.words.say("verdict.faithful", values));
  }

  #again() {
    return make("button", { type: "button", onclick: this.does.again }, this.words.say("busy.again"));
  }

  #busy() {
    const { words } = this;
    this.doing = make("span");
    const cancel = make("button", { type: "button", onclick: this.does.cancel }, words.say("busy.cancel"));
    return make("div", { className: "busy", hidden: true }, make("progress", { "aria-label": words.say("busy.label") }), this.doing, cancel);
  }

  #takes(files, orders) {
    const { words } = this;
    const file = (name) => make("button", { type: "button", onclick: () => this.does.save(name) }, words.say(`take.${name}`));
    const order = () => make("button", { type: "button", className: "main", onclick: this.does.order }, orders || words.say("take.order"));
    this.ordering = orders === null ? null : order();
    this.digest = make("code");
    return [
      this.ordering,
      make("h3", {}, words.say("take.files")),
      make("div", { className: "files" }, files.map(file)),
      make("p", { className: "hint" }, words.say("take.digest"), " ", this.digest),
    ];
  }
}
