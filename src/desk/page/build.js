/**
 * Builds elements without any text ever being taken for markup.
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element with attributes and children.
 *
 * `on...` properties become listeners, `true` an empty attribute, `false`, `null` and `undefined` none.
 *
 * @param {string} tag
 * @param {Record<string, any>} [attributes]
 * @param {...(Node|string|number|null|undefined|false|Array)} children
 * @returns {HTMLElement}
 */
export function el(tag, attributes = {}, ...children) {
  return dress(document.createElement(tag), attributes, children);
}

/**
 * The same in SVG.
 *
 * @returns {SVGElement}
 */
export function svg(tag, attributes = {}, ...children) {
  return dress(document.createElementNS(SVG, tag), attributes, children);
}

function dress(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "value") node.value = value;
    else if (name === "checked" || name === "selected") node[name] = true;
    else node.setAttribute(name, value === true ? "" : String(value));
  }
  add(node, children);
  return node;
}

/** Adds what there is to a node; nothing, `null` and the like add nothing. */
export function add(node, ...children) {
  node.append(...children.flat(Infinity).filter(isShown).map(asNode));
}

/** Puts what there is in the place of all that a node holds. */
export function fill(node, ...children) {
  node.replaceChildren();
  add(node, children);
}

function isShown(child) {
  return child !== null && child !== undefined && child !== false && child !== "";
}

function asNode(child) {
  return child instanceof Node ? child : document.createTextNode(String(child));
}

/** A button that does something; its label says what. */
export function button(label, act, attributes = {}) {
  return el("button", { type: "button", onclick: act, ...attributes }, label);
}

/**
 * A picture from the server, or an empty place where there is none.
 *
 * A picture that was on the page before the view is drawn anew is taken again, so that the old one stays to be seen until the
 * new one is here, and nothing jumps.
 */
export function picture(url, words, kind = "") {
  if (!url) return el("span", { class: `picture none ${kind}` }, "no picture yet");
  const key = `${url.split("?")[0]} ${kind} ${words}`;
  const known = pictures.get(key) ?? [];
  let image = known.find((one) => !one.isConnected && !taken.has(one));
  if (!image) {
    image = el("img", { alt: words, class: `picture ${kind}`, draggable: "false" });
    pictures.set(key, [...known.filter((one) => one.isConnected || taken.has(one)), image]);
  }
  if (image.getAttribute("src") !== url) image.src = url;
  if (!taken.size) queueMicrotask(() => taken.clear());
  taken.add(image);
  return image;
}

/** @type {Map<string, HTMLImageElement[]>} pictures that were shown, by what they show */
const pictures = new Map();
/** Those that the drawing under way has taken already. */
const taken = new Set();

/** A folded part of a form: a summary line and what is under it. It stays as it was left. */
export function folded(id, title, ...inside) {
  const box = el("details", { id, class: "folded" }, el("summary", {}, title), el("div", { class: "inside" }, inside));
  box.open = openOnes.has(id);
  box.addEventListener("toggle", () => (box.open ? openOnes.add(id) : openOnes.delete(id)));
  return box;
}

const openOnes = new Set();

/** Opens a folded part the next time it is built, and now if it is there. */
export function unfold(id) {
  openOnes.add(id);
  const box = document.getElementById(id);
  if (box) box.open = true;
}

/** Lines of words as a list, or nothing without any. */
export function lines(words, kind = "lines") {
  return words && words.length ? el("ul", { class: kind }, words.map((line) => el("li", {}, line))) : null;
}

/** "1 sheet", "3 sheets". */
export function counted(count, one, many = `${one}s`) {
  return `${count} ${count === 1 ? one : many}`;
}

/** An id for an element, from the words that say what it is. */
export function idOf(...words) {
  return words.flat().join("-").replace(/[^A-Za-z0-9_-]+/g, "_");
}

/** A size of a file in words. */
export function sizeOf(bytes) {
  if (!Number.isFinite(bytes)) return "";
  if (bytes < 1000) return counted(bytes, "byte");
  return bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}
