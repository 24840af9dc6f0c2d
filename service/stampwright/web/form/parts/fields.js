// The fields of an order: which there are, how they are drawn, and how they and the job keep in step.

import { make, valueAt, withValue } from "./dom.js";

/** Groups in the order in which a customer thinks: the block, the mark on it, what it burns, how it is cut. */
export const GROUPS = {
  head: ["head.shape", "head.width", "head.height", "head.diameter", "head.thickness", "head.corner_radius", "head.edge_break"],
  placement: ["placement.fit", "placement.fit.width", "placement.margin", "placement.turn_deg"],
  goods: ["substrate", "metal", "thread"],
  relief: ["relief.height", "relief.draft_deg", "relief.thicken"],
  cutters: ["cutters"],
  drawing: ["artwork.ink", "name"],
};

const FIRST = new Set(["head", "goods"]); // open from the start where there is room

const KINDS = {
  "head.shape": { kind: "choice", of: ["rectangle", "round"] },
  "head.width": { kind: "number", least: 5, most: 500, step: 0.5 },
  "head.height": { kind: "number", least: 5, most: 500, step: 0.5 },
  "head.diameter": { kind: "number", least: 5, most: 500, step: 0.5 },
  "head.thickness": { kind: "number", least: 3, most: 150, step: 0.5 },
  "head.corner_radius": { kind: "number", least: 0, most: 250, step: 0.5 },
  "head.edge_break": { kind: "number", least: 0, most: 10, step: 0.1 },
  "placement.fit": { kind: "choice", of: ["contain", "actual_size", "sized"] },
  "placement.fit.width": { kind: "number", least: 1, most: 500, step: 0.5 },
  "placement.margin": { kind: "number", least: 0, most: 250, step: 0.5 },
  "placement.turn_deg": { kind: "number", least: -360, most: 360, step: 15 },
  substrate: { kind: "list", of: "substrates", group: "kind" },
  metal: { kind: "list", of: "metals" },
  thread: { kind: "list", of: "threads", none: true },
  "relief.height": { kind: "number", least: 0.1, most: 50, step: 0.1, isFree: true },
  "relief.draft_deg": { kind: "number", least: 0, most: 45, step: 1 },
  "relief.thicken": { kind: "check" },
  cutters: { kind: "checks", of: "cutters" },
  "artwork.ink": { kind: "choice", of: ["dark", "painted", "light"] },
  name: { kind: "text", most: 200 },
};

export class Fields {
  /** `lists`: the catalogues; `shown`: names of groups; `changed(job, isTyped)` is called with each new job. */
  constructor({ words, lists, shown, changed }) {
    this.words = words;
    this.lists = lists;
    this.changed = changed;
    this.drawn = {};
    this.element = make("div", { className: "groups" }, shown.map((group) => this.#group(group)));
  }

  /** Show a job; what the customer is typing just now is left alone. */
  show(job) {
    this.job = job;
    for (const [path, field] of Object.entries(this.drawn)) field.show(valueAt(job, path));
    const isRound = job.head.shape === "round";
    for (const name of ["width", "height", "corner_radius"]) this.#hide(`head.${name}`, isRound);
    this.#hide("head.diameter", !isRound);
    this.#hide("placement.fit.width", fitWord(job.placement.fit) !== "sized");
    for (const group of Object.keys(GROUPS)) this.#summarise(group);
  }

  /** Keep what the service made of the job: the relief it chose where that is left open, the width of the mark. */
  made(face) {
    this.widthMm = Math.round(face.width_mm * 10) / 10;
    const input = this.drawn["relief.height"]?.input;
    if (input) input.placeholder = this.words.say("relief.chosen", { relief: face.relief_mm });
  }

  /** Put refusals beside the fields they point at; hands back those that point nowhere here. */
  refuse(errors) {
    for (const field of Object.values(this.drawn)) field.fault("");
    return errors.filter((error) => {
      const path = (error.pointer ?? "").replace(/^#?\/job\//, "").replaceAll("/", ".");
      const isOf = (known) => path === known || path.startsWith(`${known}.`);
      const [name] = Object.keys(this.drawn).filter(isOf).sort((a, b) => b.length - a.length);
      if (!name) return true;
      this.drawn[name].fault(error.detail);
      this.drawn[name].element.closest("details").open = true;
      return false;
    });
  }

  #take(path, value, isTyped) {
    this.drawn[path].fault("");
    this.show(sized(withValue(this.job, path, value)));
    this.changed(this.job, isTyped);
  }

  #group(name) {
    const paths = GROUPS[name];
    const fields = paths.map((path) => this.#field(path).element);
    const summary = make("span", { className: "now" });
    this.drawn[paths[0]].summary = summary;
    const head = make("summary", {}, make("span", { className: "name" }, this.words.say(`group.${name}`)), summary);
    return make("details", { open: FIRST.has(name) && matchMedia("(min-width: 60rem)").matches }, head, make("div", { className: "fields" }, fields));
  }

  #field(path) {
    const made = DRAWN[KINDS[path].kind];
    const take = (value, isTyped = false) => this.#take(path, value, isTyped);
    this.drawn[path] = made({ path, of: KINDS[path], words: this.words, lists: this.lists, take, fields: this });
    return this.drawn[path];
  }

  #hide(path, hidden) {
    if (this.drawn[path]) this.drawn[path].element.hidden = hidden;
  }

  #summarise(group) {
    const field = this.drawn[GROUPS[group][0]];
    if (field) field.summary.textContent = summaryOf(group, this.job, this);
  }
}

/** A head that changes its shape keeps its size. */
function sized(job) {
  const { head } = job;
  if (head.shape === "round") return head.diameter ? job : withValue(job, "head.diameter", Math.max(head.width, head.height));
  if (head.width) return job;
  return { ...job, head: { ...head, width: head.diameter, height: head.diameter } };
}

/** What a closed group says of itself. */
function summaryOf(group, job, { words, lists }) {
  const { head, placement, relief } = job;
  const named = (list, key) => lists[list].find((each) => each.key === key)?.name ?? key;
  const says = {
    head: () => words.say(`now.${head.shape}`, head),
    placement: () => `${words.say(`placement.fit.${fitWord(placement.fit)}`)}, ${words.say("now.margin", placement)}`,
    goods: () => `${named("substrates", job.substrate)}, ${named("metals", job.metal)}`,
    relief: () => (relief.height ? words.say("now.relief", relief) : words.say("now.relief.free")),
    cutters: () => words.count("now.cutters", job.cutters.length),
    drawing: () => words.say(`artwork.ink.${job.artwork.ink}`),
  };
  return says[group]();
}

const fitWord = (fit) => (typeof fit === "string" ? fit : "sized");

let count = 0;

/** A field with its label above, its fault below, and the two tied to it for those who listen. */
function framed(input, { path, words, hint }) {
  count += 1;
  input.id = `field-${count}`;
  const fault = make("p", { className: "fault", id: `${input.id}-fault`, hidden: true });
  const more = hint ? make("p", { className: "hint", id: `${input.id}-hint` }, hint) : null;
  input.setAttribute("aria-describedby", [fault.id, more?.id].filter(Boolean).join(" "));
  const label = make("label", { htmlFor: input.id }, words.say(path));
  return { input, element: make("div", { className: "field" }, label, input, more, fault), fault: faulty(input, fault) };
}

function faulty(input, place) {
  return (says) => {
    place.textContent = says;
    place.hidden = !says;
    if (says) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };
}

/** Fields of radio buttons or boxes: a group with a legend. */
function grouped(className, options, { path, words }) {
  count += 1;
  const fault = make("p", { className: "fault", id: `field-${count}-fault`, hidden: true });
  const legend = make("legend", {}, words.say(path));
  const element = make("fieldset", { className, "aria-describedby": fault.id }, legend, make("div", {}, options), fault);
  return { element, fault: faulty(element, fault), name: `choice-${count}` };
}

const DRAWN = {
  number({ path, of, words, take }) {
    const read = () => (input.value === "" && of.isFree ? null : input.valueAsNumber);
    const input = make("input", {
      type: "number", min: of.least, max: of.most, step: of.step, inputMode: "decimal",
      oninput: () => Number.isNaN(read()) || take(read(), true),
    });
    const hint = words.sayOr(`${path}.hint`, null);
    const field = framed(input, { path, words, hint });
    const show = (value) => {
      if (value !== read()) input.value = value ?? "";
    };
    return { ...field, show };
  },

  text({ path, of, words, take }) {
    const input = make("input", { type: "text", maxLength: of.most, oninput: () => take(input.value, true) });
    const show = (value) => {
      if (value !== input.value) input.value = value ?? "";
    };
    return { ...framed(input, { path, words }), show };
  },

  check({ path, words, take }) {
    const input = make("input", { type: "checkbox", onchange: () => take(input.checked) });
    const field = framed(input, { path, words, hint: words.sayOr(`${path}.hint`, null) });
    field.element.classList.add("check");
    return { ...field, show: (value) => { input.checked = Boolean(value); } };
  },

  choice({ path, of, words, take, fields }) {
    const inputs = new Map();
    const options = of.of.map((word) => {
      const value = () => (word === "sized" ? { width: fields.widthMm ?? 30 } : word);
      const input = make("input", { type: "radio", value: word, onchange: () => take(value()) });
      inputs.set(word, input);
      return make("label", {}, input, words.say(`${path}.${word}`));
    });
    const field = grouped("choice", options, { path, words });
    for (const input of inputs.values()) input.name = field.name;
    const show = (value) => {
      inputs.get(fitWord(value)).checked = true;
    };
    return { ...field, show };
  },

  list({ path, of, words, lists, take }) {
    const options = optionsOf(lists[of.of], of, words);
    if (of.none) options.unshift(make("option", { value: "" }, words.say(`${path}.none`)));
    const input = make("select", { onchange: () => take(of.none ? threadOf(input.value) : input.value) }, options);
    const show = (value) => { input.value = (of.none ? value?.size : value) ?? ""; };
    return { ...framed(input, { path, words }), show };
  },

  checks({ path, of, words, lists, take }) {
    const inputs = lists[of.of].map((each) => {
      const taken = () => inputs.filter((input) => input.checked).map((input) => input.value);
      const input = make("input", { type: "checkbox", value: each.key, onchange: () => take(taken()) });
      return input;
    });
    const options = lists[of.of].map((each, i) => make("label", {}, inputs[i], cutterSays(each, words)));
    const show = (keys) => { for (const input of inputs) input.checked = keys.includes(input.value); };
    return { ...grouped("checks", options, { path, words }), show };
  },
};

const threadOf = (size) => (size ? { size } : null);

function cutterSays(cutter, words) {
  const values = { diameter: cutter.diameter_mm, angle: 2 * cutter.half_angle_deg, tip: cutter.tip_mm };
  return words.say(`cutter.${cutter.shape}`, values);
}

function optionsOf(list, of, words) {
  const option = (each) => make("option", { value: each.key ?? each.size }, each.name ?? each.size);
  if (!of.group) return list.map(option);
  return [...groupedBy(list, of.group)].map(([name, some]) => make("optgroup", { label: words.say(`kind.${name}`) }, some.map(option)));
}

function groupedBy(list, name) {
  const groups = new Map();
  for (const each of list) groups.set(each[name], [...(groups.get(each[name]) ?? []), each]);
  return groups;
}
