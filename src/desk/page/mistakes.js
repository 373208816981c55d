/**
 * Mistakes of the project: where each belongs, and the way there.
 */

import { el, lines } from "./build.js";
import { mistakeWords } from "./fields.js";
import { present } from "./state.js";

/**
 * Key of a place, as diagnostics name it: `piece[0].shape.width`.
 *
 * @param {(string|number)[]} at
 */
export function keyOf(at) {
  return at.reduce((key, step) => (typeof step === "number" ? `${key}[${step}]` : key === "" ? step : `${key}.${step}`), "");
}

/** What is wrong at exactly that place or inside the value there. */
export function mistakesAt(at) {
  const key = keyOf(at);
  return (present()?.diagnostics ?? []).filter(({ key: of, severity }) => severity === "error" && of && (of === key || of.startsWith(`${key}[`) || of.startsWith(`${key}.`)));
}

/** Everything said of a table and what is in it, but not at the keys that have a field of their own. */
export function otherMistakes(at, ownKeys) {
  const key = keyOf(at);
  const own = ownKeys.map((path) => keyOf([...at, ...path]));
  return (present()?.diagnostics ?? []).filter(({ key: of }) => {
    if (!of || !(of === key || of.startsWith(`${key}.`) || of.startsWith(`${key}[`))) return false;
    return !own.some((field) => of === field || of.startsWith(`${field}[`) || of.startsWith(`${field}.`));
  });
}

/** Whether anything is wrong at a place or under it. */
export function isWrong(at) {
  return mistakesAt(at).length > 0;
}

/** The view in which a place is set right: its route. */
export function routeOf(key) {
  const table = (key ?? "").split(/[.[]/)[0];
  const index = /^[a-z_]+\[(\d+)\]/.exec(key ?? "")?.[1];
  switch (table) {
    case "piece":
    case "part":
      return index === undefined ? "pieces" : `pieces/${table}/${index}`;
    case "stock":
      return "paper";
    case "job":
      return "paper/job";
    case "pin":
      return "sheets";
    default:
      return "text";
  }
}

/**
 * A summary of all mistakes, each leading to where it is set right.
 *
 * @param {string} id
 */
export function summary(id) {
  const all = present()?.diagnostics ?? [];
  const wrong = all.filter(({ severity }) => severity === "error");
  const doubts = all.filter(({ severity }) => severity !== "error");
  if (!wrong.length && !doubts.length) return null;
  return el(
    "section",
    { class: "mistakes", "aria-labelledby": `${id}-title` },
    wrong.length ? [el("h2", { id: `${id}-title` }, wrong.length === 1 ? "One thing is wrong" : `${wrong.length} things are wrong`), lines(wrong.map(wayTo), "wrong-ones")] : null,
    doubts.length ? el("details", { class: "folded doubts", open: false }, el("summary", { id: wrong.length ? null : `${id}-title` }, doubts.length === 1 ? "One thing to know" : `${doubts.length} things to know`), el("div", { class: "inside" }, lines(doubts.map(wayTo), "lines"))) : null,
  );
}

/** What was found later than by reading the project: mistakes first, then what is to be known; nothing twice. */
export function foundLater(diagnostics) {
  const known = new Set((present()?.diagnostics ?? []).map(({ message }) => message));
  const others = (diagnostics ?? []).filter(({ message }) => !known.has(message));
  const wrong = others.filter(({ severity }) => severity === "error");
  const doubts = others.filter(({ severity }) => severity !== "error");
  return [wrong.length ? el("div", { class: "mistake found" }, wrong.map(mistakeWords)) : null, doubts.length ? el("div", { class: "doubt found" }, doubts.map(mistakeWords)) : null];
}

function wayTo(diagnostic) {
  const words = [diagnostic.message.charAt(0).toUpperCase() + diagnostic.message.slice(1), ...(diagnostic.hints ?? [])].join("; ");
  const route = routeOf(diagnostic.key);
  const href = route === "text" ? `#text/${diagnostic.line ?? 1}` : `#${route}`;
  return el("a", { href }, words);
}
