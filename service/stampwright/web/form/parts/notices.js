// What is said of the drawing itself: why it cannot be used, what will not print, what was changed, what to ask.

import { make, valueAt, withValue } from "./dom.js";

const FONT = "text-not-outlined";
const LEAVE_OUT = / To go on without it, name `[\w-]+` in artwork\.ignore\./; // said to machines; people get a button

/** Why the service refused: each reason with its place, and what one click can do about it. */
export function reasons(errors, { words, job, mend, chooseFonts }) {
  return make("ul", { className: "reasons" }, errors.map((error) => {
    const element = error.element ? make("code", {}, error.element) : null;
    const leave = LEAVE_OUT.test(error.detail) ? without(error.code, { words, job, mend }) : null;
    const fonts = error.code === FONT ? make("button", { type: "button", className: "mend", onclick: chooseFonts }, words.say("fonts.choose")) : null;
    const mends = fonts || leave ? make("div", { className: "mends" }, [fonts, leave]) : null;
    return make("li", {}, make("span", {}, error.detail.replace(LEAVE_OUT, "")), element, mends);
  }));
}

function without(code, { words, job, mend }) {
  const ignored = valueAt(job, "artwork.ignore") ?? [];
  const says = words.say("notice.leave_out");
  const next = withValue(job, "artwork.ignore", [...ignored, code]);
  return make("button", { type: "button", className: "mend", onclick: () => mend(next, says) }, says);
}

/** Notices of a mark that was read, lost ink first; null when there are none. */
export function notices(mark, { words, job, mend }) {
  const told = ["left_out", "hints", "repaired"].flatMap((kind) => mark[kind].map((notice) => told1(kind, notice, { words, job, mend })));
  if (!told.length) return null;
  return make("details", { className: "notices", open: mark.left_out.length + mark.hints.length > 0 },
    make("summary", {}, words.count("notices", told.length)), make("ul", {}, told));
}

function told1(kind, notice, { words, job, mend }) {
  const weight = make("strong", {}, words.say(`notice.${kind}`));
  const element = notice.element ? make("code", {}, notice.element) : null;
  const light = withValue(job, "artwork.ink", "light");
  const turn = notice.code === "dark-plate" && job.artwork.ink !== "light"
    ? make("button", { type: "button", className: "mend", onclick: () => mend(light, words.say("notice.light")) }, words.say("notice.light"))
    : null;
  return make("li", {}, weight, ` ${notice.says} ${notice.remedy} `, element, turn);
}
