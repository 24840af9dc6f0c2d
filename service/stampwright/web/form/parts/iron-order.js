// <iron-order>: the order form as one element. A page includes this script and writes the tag; see README.md.

import { AnswerView } from "./answer-view.js";
import { make, merged, withValue } from "./dom.js";
import { GROUPS, Fields } from "./fields.js";
import { MarkField } from "./mark-field.js";
import { Refused, Service } from "./service.js";
import { readWords } from "./words.js";

const HERE = import.meta.url;
const TYPED_MS = 60; // after a key; other changes are asked about at once
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
    this.started ??= this.#start();
  }

  /** What stands: mark, fonts, job, and what the service answered so far. For a shop's own script. */
  get order() {
    const { mark, fonts, job, answer, stamp } = this;
    return { mark, fonts, job, digest: answer?.digest, verdict: answer?.verdict, review: answer?.review, stamp, price: stamp?.price };
  }

  /** Take a mark, and fonts, as if they had been dropped. */
  take(...files) {
    this.markField.take(files);
  }

  /** One of the files of the order as a Blob: "bundle", "stl", "threemf" or "sheet". */
  async fetchFile(name, options) {
    const [path, accept] = FILES[name];
    return (await this.service.ask(path, this.#asked(), { accept, ...options })).blob();
  }

  async #start() {
    const opening = make("p", { role: "status" });
    const looked = this.#looks();
    this.shadowRoot.append(opening);
    try {
      this.words = await readWords(this.getAttribute("language") ?? document.documentElement.lang, this.getAttribute("words"));
      opening.textContent = this.words.say("start.loading");
      const waits = (seconds) => { opening.textContent = this.words.say("busy.wait", { seconds }); };
      const [defaults, ...found] = await Promise.all([this.#defaults(), ...LISTS.map((name) => this.#home().list(name, { waits }))]);
      this.lists = this.#allowed(Object.fromEntries(LISTS.map((name, i) => [name, found[i]])));
      this.job = this.#firstJob(defaults);
      await looked;
      this.#build();
      opening.remove();
    } catch (error) {
      opening.textContent = `${this.words?.say("start.failed") ?? ""} ${error.message}`;
      throw error;
    }
  }

  /** The element's looks, from where its script came; resolves when they are there. */
  #looks() {
    const link = make("link", { rel: "stylesheet", crossOrigin: "anonymous", href: new URL("iron-order.css", HERE).href });
    this.shadowRoot.append(link);
    return new Promise((done) => { link.onload = link.onerror = done; });
  }

  #home() {
    const named = this.getAttribute("service");
    const base = named ? new URL(named, document.baseURI) : new URL("../", HERE);
    this.service ??= new Service(base, this.key);
    return this.service;
  }

  async #defaults() {
    return (await fetch(new URL("defaults.json", HERE))).json();
  }

  /** The catalogues, less what the page does not allow. */
  #allowed(lists) {
    const allowed = this.#json("choices") ?? {};
    const kept = ([name, list]) => [name, allowed[name] ? list.filter((each) => allowed[name].includes(each.key ?? each.size)) : list];
    return Object.fromEntries(Object.entries(lists).map(kept));
  }

  #firstJob(defaults) {
    const rates = this.#json("rates");
    const job = merged(defaults, this.#json("job") ?? {});
    return rates ? { ...job, rates } : job;
  }

  #json(name) {
    return this.hasAttribute(name) ? JSON.parse(this.getAttribute(name)) : null;
  }

  #build() {
    const { words, lists } = this;
    const wanted = (this.getAttribute("fields") ?? Object.keys(GROUPS).join(" ")).split(/\s+/);
    this.markField = new MarkField({ words, took: (files) => this.#took(files) });
    this.fields = new Fields({ words, lists, shown: wanted.filter((name) => name in GROUPS), changed: (job, isTyped) => this.#change(job, isTyped) });
    this.fields.show(this.job);
    const does = {
      mend: (job, says) => this.#mend(job, says),
      again: () => { this.refocus = true; this.#ask(); },
      cancel: () => { this.turn?.abort(); this.saving?.abort(); this.view.cancelled(); },
      sample: () => this.#sample(),
      chooseFonts: () => this.markField.chooseFonts(),
      look: () => this.#during(this.#standing(), (turn) => this.#settle(turn)),
      save: (name) => this.#during(this.saving = new AbortController(), (turn) => this.#save(name, turn)), // outlives a change
      order: () => { this.#tell("iron:ordered"); this.view.say(words.say("take.ordered")); },
    };
    const fetchSolid = (solid, accept) => this.service.ask("v1/solids", this.#asked({ solid }), { accept, ...this.#waiting(this.turn, "busy.solid") });
    this.view = new AnswerView({ words, lists, fetchSolid, does, files: Object.keys(FILES), orders: this.getAttribute("orders") });
    const form = make("form", { className: "ask", "aria-label": words.say("ask.label"), onsubmit: (event) => event.preventDefault() },
      this.markField.element, this.fields.element);
    this.shadowRoot.append(make("div", { className: "order" }, form, this.view.element), this.view.peek.element);
  }

  #took({ mark, fonts }) {
    if (mark !== this.mark) this.job = withValue(this.job, "artwork.ignore", []);
    Object.assign(this, { mark, fonts });
    this.fields.show(this.job);
    this.view.begin();
    this.#ask();
  }

  async #sample() {
    const drawing = await (await fetch(new URL("sample.svg", HERE))).blob();
    this.refocus = true;
    this.take(new File([drawing], "sample.svg", { type: drawing.type }));
  }

  #change(job, isTyped) {
    this.job = job;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#ask(), isTyped ? TYPED_MS : 0);
  }

  #mend(job, says) {
    this.done = says;
    this.refocus = true;
    this.fields.show(job);
    this.#change(job, false);
  }

  #asked(more = {}) {
    return { mark: this.mark, fonts: this.fonts, job: sendable({ ...this.job, ...more }) };
  }

  /** Ask about the order as it stands. What was asked before is called off, so the last answer wins. */
  async #ask() {
    if (!this.mark) return;
    this.turn?.abort();
    this.turn = null;
    this.stamp = null;
    this.fields.refuse([]);
    await this.#during(this.#standing(), async (turn) => {
      await this.#quick(turn);
      await this.#whole(turn);
    });
  }

  /** The turn that stands, or a new one. */
  #standing() {
    if (!this.turn || this.turn.signal.aborted) this.turn = new AbortController();
    return this.turn;
  }

  /** Do something that asks the service; show what went wrong, and when it is over. */
  async #during(turn, act) {
    if (!this.mark) return;
    try {
      await act(turn);
    } catch (error) {
      if (!turn.signal.aborted) this.#refused(error);
    } finally {
      for (const slow of turn.slow ?? []) clearTimeout(slow);
      if (this.#stands(turn)) this.view.still();
    }
  }

  #stands(turn) {
    return turn === this.turn || turn === this.saving;
  }

  async #quick(turn) {
    const order = this.#asked();
    const options = this.#waiting(turn, "busy.review");
    const found = await this.service.ask("v1/reviews?drawn=plain", order, { accept: "application/json", ...options });
    const { print_svg: drawn, ...answer } = await found.json();
    turn.signal.throwIfAborted();
    const print = new Blob([drawn], { type: "image/svg+xml" });
    this.answer = answer;
    this.fields.made(answer.face);
    await this.view.show({ print, answer, job: order.job, done: this.done });
    if (this.refocus) this.view.focus();
    this.done = this.refocus = null;
    this.#tell("iron:reviewed");
  }

  /** The slower part: the solid when it is looked at, minutes, heat and price. */
  async #whole(turn) {
    await new Promise((done) => { setTimeout(done, REST_MS); });
    turn.signal.throwIfAborted();
    const options = this.#waiting(turn, "busy.whole");
    const stamp = this.service.ask("v1/stamps", this.#asked(), { accept: "application/json", ...options }).then((found) => found.json());
    const [found] = await Promise.all([stamp, this.#settle(turn)]);
    turn.signal.throwIfAborted();
    this.stamp = found;
    this.view.figures(found);
    this.#tell("iron:made");
  }

  async #settle(turn) {
    if (this.answer) await this.view.stage.settle(turn.signal);
  }

  #refused(error) {
    this.answer = null;
    const rest = error instanceof Refused ? this.fields.refuse(error.errors) : [];
    this.view.refuse(error, { rest, job: this.job });
    if (this.refocus) this.view.focus();
    this.done = this.refocus = null;
  }

  /** Options of a request that say what is being waited for, once it takes a while. */
  #waiting(turn, name) {
    const slow = setTimeout(() => this.#stands(turn) && this.view.wait(this.words.say(name)), SLOW_MS);
    turn.slow = [...(turn.slow ?? []), slow];
    turn.signal.addEventListener("abort", () => clearTimeout(slow));
    const waits = (seconds) => {
      this.view.wait(this.words.say("busy.waiting"));
      this.view.say(this.words.say("busy.wait", { seconds }));
    };
    return { signal: turn.signal, waits };
  }

  async #save(name, turn) {
    const blob = await this.fetchFile(name, this.#waiting(turn, "busy.file"));
    const address = URL.createObjectURL(blob);
    const file = `${this.mark.name.replace(/\.[^.]*$/, "") || "mark"}.${FILES[name][2]}`;
    make("a", { href: address, download: file }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
    this.view.say(this.words.say("take.saved", { file }));
  }

  #tell(name) {
    this.dispatchEvent(new CustomEvent(name, { detail: this.order, bubbles: true, composed: true }));
  }
}

/** The job as it is sent: a round head has no sides, a rectangle no diameter. */
function sendable(job) {
  const { width, height, corner_radius: corner, diameter, ...head } = job.head;
  const size = head.shape === "round" ? { diameter: diameter ?? width } : { width: width ?? diameter, height: height ?? diameter, corner_radius: corner };
  return { ...job, head: { ...head, ...size } };
}

customElements.define("iron-order", IronOrder);
