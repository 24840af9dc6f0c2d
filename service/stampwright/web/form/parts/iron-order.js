// <iron-order>: the order form as one element. A page includes this script and writes the tag; see README.md.

import { make, merged, withValue } from "./dom.js";
import { GROUPS, Fields } from "./fields.js";
import { Findings } from "./findings.js";
import { MarkField } from "./mark-field.js";
import { larger } from "./mends.js";
import { notices, reasons } from "./notices.js";
import { figures } from "./quote.js";
import { Refused, Service } from "./service.js";
import { Stage } from "./stage.js";
import { readWords } from "./words.js";

const HERE = import.meta.url;
const TYPED_MS = 120; // after a key; other changes are asked about at once
const REST_MS = 250; // after the quick answer, before the whole job is asked for
const SLOW_MS = 250; // from here on it is said that something is under way
const LISTS = ["cutters", "metals", "substrates", "threads"];
const FILES = {
  bundle: ["v1/stamps", "application/zip", "zip"],
  stl: ["v1/solids", "model/stl", "stl"],
  threemf: ["v1/solids", "model/3mf", "3mf"],
  sheet: ["v1/sheets", "application/pdf", "pdf"],
};

class IronOrder extends HTMLElement {
  constructor() {
    super();
    this.attachShadow({ mode: "open" });
  }

  connectedCallback() {
    if (this.started) return;
    this.started = this.#start();
  }

  /** What stands: mark, fonts, job, and what the service answered so far. For a shop's own script. */
  get order() {
    const { mark, fonts, job, answer, stamp } = this;
    return { mark, fonts, job, digest: answer?.digest, verdict: answer?.verdict, review: answer?.review, stamp, price: stamp?.price };
  }

  /** One of the files of the order as a Blob: "bundle", "stl", "threemf" or "sheet". */
  async fetchFile(name, options) {
    const [path, accept] = FILES[name];
    return (await this.service.ask(path, this.#asked(), { accept, ...options })).blob();
  }

  /** Take a mark, and fonts, as if they had been dropped. */
  take(...files) {
    this.markField.take(files);
  }

  async #start() {
    const looks = make("link", { rel: "stylesheet", crossOrigin: "anonymous", href: new URL("iron-order.css", HERE).href });
    const looked = new Promise((done) => { looks.onload = looks.onerror = done; });
    this.shadowRoot.append(looks);
    try {
      const words = readWords(this.getAttribute("language") ?? document.documentElement.lang, this.getAttribute("words"));
      this.words = await words;
      this.service = new Service(new URL(this.getAttribute("service") ?? "../", this.hasAttribute("service") ? document.baseURI : HERE), this.key);
      const [defaults, ...found] = await Promise.all([this.#defaults(), ...LISTS.map((name) => this.service.list(name))]);
      this.lists = this.#allowed(Object.fromEntries(LISTS.map((name, i) => [name, found[i]])));
      this.job = this.#firstJob(defaults);
      await looked;
      this.#build();
    } catch (error) {
      this.shadowRoot.append(make("p", { role: "alert" }, `${this.words?.say("start.failed") ?? ""} ${error.message}`));
      throw error;
    }
  }

  async #defaults() {
    const answer = await fetch(new URL("defaults.json", HERE));
    return answer.json();
  }

  /** The catalogues, less what the page does not allow. */
  #allowed(lists) {
    const allowed = this.#json("choices") ?? {};
    return Object.fromEntries(Object.entries(lists).map(([name, list]) => {
      const keys = allowed[name];
      return [name, keys ? list.filter((each) => keys.includes(each.key ?? each.size)) : list];
    }));
  }

  #firstJob(defaults) {
    const job = merged(defaults, this.#json("job") ?? {});
    if (job.head.shape === "round") job.head = { shape: "round", diameter: job.head.diameter ?? job.head.width, thickness: job.head.thickness };
    const rates = this.#json("rates");
    return rates ? { ...job, rates } : job;
  }

  #json(name) {
    return this.hasAttribute(name) ? JSON.parse(this.getAttribute(name)) : null;
  }

  #build() {
    const { words } = this;
    const shown = (this.getAttribute("fields") ?? Object.keys(GROUPS).join(" ")).split(/\s+/).filter((name) => name in GROUPS);
    const around = { words, mend: (job, says) => this.#mend(job, says) };
    this.around = around;
    this.markField = new MarkField({ words, took: (files) => this.#took(files) });
    this.fields = new Fields({ words, lists: this.lists, shown, changed: (job, isTyped) => this.#change(job, isTyped) });
    this.fields.show(this.job);
    this.stage = new Stage({ words, fetchSolid: (kind, accept) => this.#solid(kind, accept), chosen: () => this.#look() });
    this.findings = new Findings({ words, mend: around.mend, light: (found, options) => this.stage.light(found, options) });
    this.parts = {
      state: make("p", { role: "status", className: "state" }, words.say("state.first")),
      busy: make("div", { className: "busy", hidden: true }, make("progress", { "aria-label": words.say("busy.label") }), this.doing = make("span"),
        make("button", { type: "button", onclick: () => this.#cancel() }, words.say("busy.cancel"))),
      verdict: make("div", { className: "verdict", hidden: true }),
      refused: make("div", { className: "refused", hidden: true }),
      drawing: make("div"),
      quote: make("section", { className: "quote", hidden: true }),
      take: make("section", { className: "take", hidden: true }, this.#takes()),
    };
    const { state, busy, verdict, refused, drawing, quote, take } = this.parts;
    const ask = make("form", { className: "ask", "aria-label": words.say("ask.label"), onsubmit: (event) => event.preventDefault() }, this.markField.element, this.fields.element);
    const answer = make("section", { className: "answer", "aria-label": words.say("answer.label") },
      state, busy, this.stage.element, verdict, refused, this.findings.element, drawing, quote, take);
    this.shadowRoot.append(make("div", { className: "order" }, ask, answer));
  }

  #takes() {
    const { words } = this;
    const files = Object.keys(FILES).map((name) => make("button", { type: "button", onclick: () => this.#save(name) }, words.say(`take.${name}`)));
    const order = this.hasAttribute("orders")
      ? make("button", { type: "button", className: "main", onclick: () => this.#order() }, this.getAttribute("orders") || words.say("take.order")) : null;
    this.ordering = order;
    this.digest = make("code");
    return [order, make("h3", {}, words.say("take.files")), make("div", { className: "files" }, files),
      make("p", { className: "hint" }, words.say("take.digest"), " ", this.digest)];
  }

  #took({ mark, fonts }) {
    if (mark !== this.mark) this.job = withValue(this.job, "artwork.ignore", []);
    Object.assign(this, { mark, fonts });
    this.fields.show(this.job);
    this.#answer();
  }

  #change(job, isTyped) {
    this.job = job;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#answer(), isTyped ? TYPED_MS : 0);
  }

  #mend(job, says) {
    this.said = says;
    this.fields.show(job);
    this.refocus = true;
    this.#change(job, false);
  }

  #asked(more = {}) {
    return { mark: this.mark, fonts: this.fonts, job: sendable({ ...this.job, ...more }) };
  }

  /** Ask about the order as it stands. What was asked before is called off, so the last answer wins. */
  async #answer() {
    if (!this.mark) return;
    this.turn?.abort();
    const turn = new AbortController();
    this.turn = turn;
    this.stamp = null;
    this.fields.refuse([]);
    try {
      await this.#quick(turn);
      await this.#whole(turn);
    } catch (error) {
      if (!turn.signal.aborted) this.#refused(error);
    } finally {
      if (this.turn === turn) this.#still();
    }
  }

  async #quick(turn) {
    const order = this.#asked();
    const options = this.#waiting(turn, "busy.review");
    const json = this.service.ask("v1/reviews", order, { accept: "application/json", ...options }).then((answer) => answer.json());
    const drawn = this.service.ask("v1/proofs?view=plain", order, { accept: "image/svg+xml", ...options }).then((answer) => answer.blob());
    const [answer, print] = await Promise.all([json, drawn]);
    turn.signal.throwIfAborted();
    this.answer = answer;
    await this.stage.show({ print, answer, job: order.job });
    this.#show(answer);
    this.dispatchEvent(new CustomEvent("iron:reviewed", { detail: this.order, bubbles: true, composed: true }));
  }

  /** The slower part: the solid when it is looked at, minutes, heat and price. */
  async #whole(turn) {
    await new Promise((done) => { setTimeout(done, REST_MS); });
    turn.signal.throwIfAborted();
    const options = this.#waiting(turn, "busy.whole");
    const [stamp] = await Promise.all([
      this.service.ask("v1/stamps", this.#asked(), { accept: "application/json", ...options }).then((answer) => answer.json()),
      this.stage.settle(),
    ]);
    turn.signal.throwIfAborted();
    this.stamp = stamp;
    this.parts.quote.replaceChildren(make("h3", {}, this.words.say("quote.title")), ...figures(stamp, this.words));
    this.parts.quote.hidden = false;
    this.dispatchEvent(new CustomEvent("iron:made", { detail: this.order, bubbles: true, composed: true }));
  }

  async #solid(kind, accept) {
    return this.service.ask("v1/solids", this.#asked({ solid: kind }), { accept, ...this.#waiting(this.turn, "busy.solid") });
  }

  /** Another view is looked at: fetch what it needs. */
  async #look() {
    if (!this.answer) return;
    if (!this.turn || this.turn.signal.aborted) this.turn = new AbortController();
    const { turn } = this;
    try {
      await this.stage.settle();
    } catch (error) {
      if (!turn.signal.aborted) this.#refused(error);
    } finally {
      if (this.turn === turn) this.#still();
    }
  }

  #show(answer) {
    const { words, parts, job, lists } = this;
    const around = { job, lists, face: answer.face };
    this.fields.made(answer.face);
    this.findings.show(answer.review, around);
    parts.refused.hidden = true;
    parts.verdict.hidden = false;
    parts.verdict.className = `verdict ${answer.verdict}`;
    parts.verdict.replaceChildren(...this.#verdict(answer, around));
    parts.drawing.replaceChildren(notices(answer.mark, { ...this.around, job }) ?? "");
    parts.quote.hidden = true;
    parts.take.hidden = false;
    this.digest.textContent = answer.digest.slice(0, 16);
    if (this.ordering) this.ordering.disabled = answer.verdict === "unmakeable";
    const count = words.count("findings.count", answer.review.findings.length);
    const done = this.said ? `${words.say("mend.done", { what: this.said })} ` : "";
    parts.state.textContent = `${done}${words.say(`verdict.${answer.verdict}`)} ${count}`;
    parts.state.classList.toggle("unseen", !this.said); // the verdict below says it to those who see it
    this.said = null;
    if (this.refocus) parts.verdict.querySelector("h2").focus(); // the button that was pressed is gone
    this.refocus = false;
  }

  #verdict(answer, around) {
    const { words } = this;
    const { face, review } = answer;
    const says = make("h2", { tabIndex: -1 }, words.say(`verdict.${answer.verdict}`));
    const size = [words.say("verdict.size", { width: face.width_mm, height: face.height_mm, relief: face.relief_mm })];
    if (face.land_min_mm) size.push(words.say("verdict.land", { width: face.land_min_mm }));
    if (face.gap_min_mm) size.push(words.say("verdict.gap", { width: face.gap_min_mm }));
    const enough = answer.verdict === "ready" ? null : larger(review.least_faithful_width_mm, around);
    const mend = enough && make("button", { type: "button", className: "mend",
      onclick: () => this.#mend(enough.job, words.say("mend.larger", enough.values)) }, words.say("verdict.faithful", enough.values));
    return [says, make("p", {}, words.say(`verdict.${answer.verdict}.more`)), make("p", { className: "hint" }, size.join(" ")), mend ?? ""];
  }

  #refused(error) {
    const { words, parts, job } = this;
    const isProblem = error instanceof Refused;
    const rest = isProblem ? this.fields.refuse(error.errors) : [];
    const says = isProblem && error.status < 500 ? words.sayOr(`refused.${error.slug}`, words.say("refused")) : words.say("refused.lost");
    const list = rest.length ? reasons(rest, { ...this.around, job }) : null;
    const detail = list || (isProblem && error.errors.length) ? null : make("p", {}, error.message);
    parts.refused.replaceChildren(...[make("h2", {}, says), list, detail, this.#again()].filter(Boolean));
    parts.refused.hidden = false;
    parts.verdict.hidden = true;
    parts.quote.hidden = true;
    parts.take.hidden = true;
    this.#say(says);
    parts.state.classList.add("unseen");
  }

  /** Say how things stand: seen, and read out. */
  #say(...says) {
    this.parts.state.replaceChildren(...says);
    this.parts.state.classList.remove("unseen");
  }

  #again() {
    return make("button", { type: "button", onclick: () => this.#answer() }, this.words.say("busy.again"));
  }

  /** Options of a request that say what is being waited for, once it takes a while. */
  #waiting(turn, name) {
    const { words, parts } = this;
    const slow = setTimeout(() => this.turn === turn && this.#busy(words.say(name)), SLOW_MS);
    turn.signal.addEventListener("abort", () => clearTimeout(slow));
    turn.slow = [...(turn.slow ?? []), slow];
    const waits = (seconds) => {
      this.#busy(words.say("busy.wait", { seconds }));
      this.#say(words.say("busy.wait", { seconds }));
    };
    return { signal: turn.signal, waits };
  }

  #busy(says) {
    this.doing.textContent = says;
    this.parts.busy.hidden = false;
  }

  #still() {
    for (const slow of this.turn?.slow ?? []) clearTimeout(slow);
    this.parts.busy.hidden = true;
  }

  #cancel() {
    this.turn?.abort();
    this.#still();
    this.#say(this.words.say("busy.cancelled"), " ", this.#again());
  }

  async #save(name) {
    const turn = this.turn?.signal.aborted === false ? this.turn : (this.turn = new AbortController());
    try {
      const blob = await this.fetchFile(name, this.#waiting(turn, "busy.file"));
      const address = URL.createObjectURL(blob);
      const stem = this.mark.name.replace(/\.[^.]*$/, "") || "mark";
      make("a", { href: address, download: `${stem}.${FILES[name][2]}` }).click();
      setTimeout(() => URL.revokeObjectURL(address), 10_000);
      this.#say(this.words.say("take.saved", { file: `${stem}.${FILES[name][2]}` }));
    } catch (error) {
      if (!turn.signal.aborted) this.#refused(error);
    } finally {
      if (this.turn === turn) this.#still();
    }
  }

  #order() {
    this.dispatchEvent(new CustomEvent("iron:ordered", { detail: this.order, bubbles: true, composed: true }));
    this.#say(this.words.say("take.ordered"));
  }
}

/** The job as it is sent: a round head has no sides, a rectangle no diameter. */
function sendable(job) {
  const { width, height, corner_radius: corner, diameter, ...head } = job.head;
  const size = head.shape === "round" ? { diameter: diameter ?? width } : { width: width ?? diameter, height: height ?? diameter, corner_radius: corner };
  return { ...job, head: { ...head, ...size } };
}

customElements.define("iron-order", IronOrder);
