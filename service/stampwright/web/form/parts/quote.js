// How long it takes, how it is used and what it costs: a list of terms and figures.

import { make } from "./dom.js";

const A_MINUTE_S = 60;

/** The figures of a stamp as a description list, the price last when the job has rates. */
export function figures(stamp, words) {
  const { plan, use, price, solid } = stamp;
  const rows = [
    ["quote.work", words.say("quote.minutes", { minutes: Math.ceil(plan.total_min) })],
    ["quote.cutters", [...new Set(plan.operations.filter((step) => step.side === "face" && /^(flat|ball|pointed)/.test(step.cutter)).map((step) => step.cutter))].join(", ")],
    ["quote.weight", words.say("quote.grams", { grams: Math.round(solid.mass_g) })],
    ["quote.heat", words.say("quote.heat_up", { minutes: Math.max(1, Math.round(use.heat_up_s / A_MINUTE_S)), low: Math.round(use.face_target_c[0]), high: Math.round(use.face_target_c[1]) })],
    ["quote.press", words.say("quote.pressing", { low: Math.round(use.press_force_n[0]), high: Math.round(use.press_force_n[1]), from: use.dwell_s[0], to: use.dwell_s[1] })],
    ["quote.prints", words.count("quote.print", use.prints_per_heat)],
  ];
  const list = rows.filter(([, value]) => value).map(([name, value]) => row(words.say(name), value));
  const element = make("dl", { className: "figures" }, list);
  return price ? [element, bill(price, words)] : [element];
}

function row(term, value) {
  return make("div", {}, make("dt", {}, term), make("dd", {}, value));
}

/** The price list: items and their sum. */
function bill(price, words) {
  const money = (amount) => words.money(amount, price.currency);
  const items = price.items.map((item) => make("tr", {}, make("th", { scope: "row" }, item.says), make("td", {}, money(item.amount))));
  const total = make("tr", { className: "total" }, make("th", { scope: "row" }, words.say("quote.total")), make("td", {}, money(price.total)));
  return make("table", { className: "bill" }, make("caption", {}, words.say("quote.price")), make("tbody", {}, items, total));
}
