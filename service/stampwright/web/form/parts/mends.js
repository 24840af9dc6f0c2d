// What one click may change: the numbers a finding carries, turned into another job.

import { valueAt, withValue } from "./dom.js";

const STEP_MM = 0.5; // heads are sawn to halves
const LARGEST_MM = 150; // a larger iron is not pressed by hand
const CORNER = 2 - Math.SQRT2; // what a box loses to a rounded corner on both sides, for each mm of radius

/** The changes that mend a kind of finding at all its places: each with its name, its numbers and the job it leads to. */
export function mendsOf(findings, { job, face, lists }) {
  const would = findings.map((finding) => finding.would_mend).filter(Boolean);
  const code = findings[0].code;
  const made = [
    would.some((each) => each.thicken) && thicker(job),
    larger(most(would, "mark_width_mm"), { job, face }),
    withCutter(finest(would, lists), { job, lists }),
    otherRelief(code === "shallow-relief" ? most(would, "relief_mm") : least(would, "relief_mm"), { job, lists }),
    thickerHead(most(would, "thickness_mm"), job),
    otherMetal(would.find((each) => each.metal)?.metal, { job, lists }),
    would.some((each) => each.reverse) && { name: "reverse", job: withValue(job, "placement.reverse", true) },
  ];
  return made.filter(Boolean);
}

/** A mark at least so wide, on a head that holds it. */
export function larger(widthMm, { job, face }) {
  if (!widthMm || widthMm <= face.width_mm) return null;
  const width = Math.ceil(widthMm * 10 + 0.5) / 10;
  const height = (width * face.height_mm) / face.width_mm;
  const head = headFor(width, height, job);
  if (Math.max(head.width ?? head.diameter, head.height ?? 0) > LARGEST_MM) return null;
  const isFitted = job.placement.fit === "contain";
  const placement = { ...job.placement, fit: isFitted ? "contain" : { width } };
  const size = head.shape === "round" ? `⌀ ${head.diameter}` : `${head.width} × ${head.height}`;
  return { name: "larger", values: { width, head: size }, job: { ...job, head, placement } };
}

function headFor(width, height, job) {
  const { head, placement } = job;
  const around = 2 * placement.margin;
  if (head.shape === "round") {
    return { ...head, diameter: Math.max(head.diameter, halves(Math.hypot(width, height) + around)) };
  }
  const corners = CORNER * Math.max((head.corner_radius ?? 0) - placement.margin, 0);
  const fits = (length) => halves(length + around + corners);
  return { ...head, width: Math.max(head.width, fits(width)), height: Math.max(head.height, fits(height)) };
}

function thicker(job) {
  return valueAt(job, "relief.thicken") ? null : { name: "thicken", job: withValue(job, "relief.thicken", true) };
}

function withCutter(cutter, { job }) {
  if (!cutter || job.cutters.includes(cutter.key)) return null;
  const values = { cutter: cutter.key, diameter: cutter.diameter_mm };
  return { name: "cutter", values, job: withValue(job, "cutters", [...job.cutters, cutter.key]) };
}

function otherRelief(reliefMm, { job, lists }) {
  const goods = lists.substrates.find((each) => each.key === job.substrate);
  if (!reliefMm || (goods && reliefMm < goods.relief_low_mm)) return null; // it would scorch the ground instead
  const relief = Math.round(reliefMm * 100) / 100;
  return { name: "relief", values: { relief }, job: withValue(job, "relief.height", relief) };
}

function thickerHead(thicknessMm, job) {
  if (!thicknessMm) return null;
  const thickness = halves(thicknessMm);
  return { name: "thickness", values: { thickness }, job: withValue(job, "head.thickness", thickness) };
}

function otherMetal(key, { job, lists }) {
  const metal = lists.metals.find((each) => each.key === key);
  return metal ? { name: "metal", values: { metal: metal.name }, job: withValue(job, "metal", key) } : null;
}

function finest(would, lists) {
  const keys = new Set(would.map((each) => each.cutter).filter(Boolean));
  const named = lists.cutters.filter((cutter) => keys.has(cutter.key));
  return named.sort((a, b) => a.diameter_mm - b.diameter_mm)[0];
}

const halves = (length) => Math.ceil(length / STEP_MM) * STEP_MM;
const numbers = (would, name) => would.map((each) => each[name]).filter((value) => value > 0);
const most = (would, name) => Math.max(0, ...numbers(would, name));

function least(would, name) {
  const found = numbers(would, name);
  return found.length ? Math.min(...found) : 0;
}
