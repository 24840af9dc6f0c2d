// Makes elements. Words and answers only ever become text or attributes, never markup.

const SVG = "http://www.w3.org/2000/svg";

/** An element with properties (or attributes, where a name has a dash) and children: nodes, texts, or nothing. */
export function make(tag, given = {}, ...children) {
  return dress(document.createElement(tag), given, children);
}

/** The same for a drawing of ours; all that is given are attributes. */
export function draw(tag, given = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(given)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

function dress(element, given, children) {
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined || value === null) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name in element) element[name] = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== ""));
  return element;
}

/** The value at a path such as "head.width". */
export function valueAt(tree, path) {
  return path.split(".").reduce((found, name) => found?.[name], tree);
}

/** A copy of a tree with another value at a path; undefined takes it away. */
export function withValue(tree, path, value) {
  const [name, ...rest] = path.split(".");
  const copy = { ...tree };
  if (rest.length) copy[name] = withValue(copy[name] ?? {}, rest.join("."), value);
  else if (value === undefined) delete copy[name];
  else copy[name] = value;
  return copy;
}

/** Two trees in one, the second before the first; lists and values are taken whole. */
export function merged(first, second) {
  const isTree = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
  if (!isTree(first) || !isTree(second)) return second === undefined ? first : second;
  const both = { ...first };
  for (const [name, value] of Object.entries(second)) both[name] = merged(first[name], value);
  return both;
}
