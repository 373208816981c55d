/**
 * Forms of the project's tables, as the server describes them.
 */

import { el, folded, idOf } from "./build.js";
import { fieldOf, mistakeWords } from "./fields.js";
import { mistakesAt, otherMistakes } from "./mistakes.js";
import { change, present } from "./state.js";
import { ask } from "./talk.js";

let forms = [];
let isFetched = false;
let patterns = { patterns: [], palettes: [], sets: [] };

/** Fetches the forms once. */
export async function fetchForms() {
  if (isFetched) return;
  const [answer, known] = await Promise.all([ask("/forms"), ask("/patterns").catch(() => null)]);
  forms = Array.isArray(answer) ? answer : (answer.forms ?? []);
  isFetched = true;
  if (Array.isArray(known)) patterns = { ...patterns, patterns: known };
  else if (known) patterns = { ...patterns, ...known };
}

/** Whether the forms are here. */
export function haveForms() {
  return isFetched;
}

/** The form of a table, or none. */
export function formOf(table) {
  return forms.find((form) => form.table === table) ?? null;
}

/** All variants of a table: `shape` gives `shape:rectangle` and so on. */
export function variantsOf(table) {
  return forms.filter((form) => form.table.startsWith(`${table}:`)).map((form) => ({ name: form.table.slice(table.length + 1), ...form }));
}

/** Patterns that can be chosen. */
export function patternsKnown() {
  return patterns.patterns;
}

/** What stands at a path of the project; undefined if nothing. */
export function valueAt(at) {
  return at.reduce((value, step) => (value === null || value === undefined ? undefined : value[step]), present()?.doc);
}

/**
 * The fields of a table: the usual ones open, the others folded.
 *
 * @param {string} table name of the form
 * @param {(string|number)[]} at where it is in the project
 * @param {string} name what the table is called in words of undo, "Mat"
 * @param {{without?: string[], moreTitle?: string}} [how]
 */
export function tableOf(table, at, name, { without = [], moreTitle = "More to say" } = {}) {
  const form = formOf(table);
  if (!form) return [];
  const fields = form.fields.filter((field) => !without.includes(field.key));
  const shown = fields.filter((field) => field.group !== "more" || isGiven(at, field));
  const usual = shown.length ? shown : fields.slice(0, 4);
  const more = fields.filter((field) => !usual.includes(field));
  const exampleWord = table.startsWith("part:") ? "Usually" : "Such as";
  const build = (field) => fieldAt({ ...field, exampleWord }, at, name);
  return [
    el("div", { class: "fields" }, usual.map(build)),
    more.length ? folded(idOf("more", table, ...at), moreTitle, el("div", { class: "fields" }, more.map(build))) : null,
  ];
}

function isGiven(at, field) {
  const place = [...at, ...pathOf(field.key)];
  return valueAt(place) !== undefined || mistakesAt(place).length > 0;
}

/** The steps of a key that may be dotted. */
export function pathOf(key) {
  return key.split(".");
}

/** A field of the project at its place. */
export function fieldAt(field, at, name) {
  const place = [...at, ...pathOf(field.key)];
  return fieldOf({
    id: idOf("f", ...place),
    field: { ...field, choices: choicesOf(field) },
    value: valueAt(place),
    mistakes: mistakesAt(place),
    put: (value) => change(`the change of ${field.label} of ${name}`, [value === undefined ? { at: place, remove: true } : { at: place, set: value }]),
  });
}

function choicesOf(field) {
  const doc = present()?.doc ?? {};
  switch (field.kind) {
    case "stock":
      return (doc.stock ?? []).map(({ id, name }) => [id, name ?? id]);
    case "piece":
      return (present()?.pieces ?? []).map(({ id, name }) => [id, name]);
    case "picture":
      return (present()?.pictures ?? []).map((path) => [path, path]);
    case "pattern":
      return patterns.patterns.map(({ name, title }) => [name, title ?? name]);
    case "text":
      return field.key === "palette" && patterns.palettes.length ? patterns.palettes.map(({ name, title }) => [name, title ?? name]) : field.choices;
    case "face":
      return field.choices ?? [["front", "front"], ["back", "back"]];
    case "direction":
      return field.choices ?? [["top", "↑ top"], ["right", "→ right"], ["bottom", "↓ bottom"], ["left", "← left"]];
    default:
      return field.choices;
  }
}

/** What is said of a table but of none of its fields. */
export function otherMistakesOf(tables, at) {
  const own = tables.flatMap(({ table, under = [] }) => (formOf(table)?.fields ?? []).map((field) => [...under, ...pathOf(field.key)]));
  const others = otherMistakes(at, own);
  const wrong = others.filter(({ severity }) => severity === "error");
  const doubts = others.filter(({ severity }) => severity !== "error");
  return [wrong.length ? el("div", { class: "mistake" }, wrong.map(mistakeWords)) : null, doubts.length ? el("div", { class: "doubt" }, doubts.map(mistakeWords)) : null];
}
