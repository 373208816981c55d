/**
 * One field: its label, its control, what it is about, and what is wrong with what it holds.
 *
 * What is typed is kept as a draft until the project says the same, so that nothing is lost while it is wrong, when another
 * window was quicker, or over a reload.
 */

import { button, el, idOf } from "./build.js";
import { draftOf, dropDraft, keepDraft } from "./drafts.js";

/**
 * @typedef {object} Field
 * @property {string} key
 * @property {string} label
 * @property {string} kind
 * @property {[string, string][]} [choices] value and label
 * @property {string} [about]
 * @property {string} [example]
 * @property {string} [exampleWord] what leads to the example: "Such as", or "Usually" where it is what is taken without
 * @property {boolean} [needed]
 */

/**
 * Builds a field.
 *
 * @param {object} what
 * @param {string} what.id of the control and of its draft; unique on the page and the same each time it is drawn
 * @param {Field} what.field
 * @param {any} what.value in the project; undefined if it says nothing
 * @param {(value: any, words: string) => Promise<any>} what.put called with what to set; undefined to remove it
 * @param {{message: string, hints: string[]}[]} [what.mistakes] what is wrong with it
 */
export function fieldOf({ id, field, value, put, mistakes = [] }) {
  const said = textOf(value, field.kind);
  const draft = draftOf(id);
  if (draft !== null && draft === said) dropDraft(id);
  const shown = draft ?? said;
  const isApart = draft !== null && draft !== said;
  const ids = { about: `${id}-about`, wrong: `${id}-wrong`, apart: `${id}-apart` };
  const send = (text) => {
    if (text === textOf(value, field.kind)) {
      dropDraft(id);
      return Promise.resolve(true);
    }
    keepDraft(id, text);
    return Promise.resolve(put(valueOf(text, field.kind), field.label));
  };
  const describedBy = [hasAbout(field) ? ids.about : "", mistakes.length ? ids.wrong : "", isApart ? ids.apart : ""].filter(Boolean).join(" ");
  const shared = { id, "aria-describedby": describedBy || null, "aria-invalid": mistakes.length ? "true" : null };
  return el(
    "div",
    { class: `field kind-${field.kind}${mistakes.length ? " wrong" : ""}` },
    controlOf(field, shared, shown, send, id),
    aboutOf(field, ids.about),
    mistakes.length ? el("div", { id: ids.wrong, class: "mistake" }, mistakes.map(mistakeWords)) : null,
    isApart ? apartOf(ids.apart, said, draft, send, id) : null,
  );
}

/** A mistake in words: what is wrong, then what to do. */
export function mistakeWords(mistake) {
  return el("p", {}, el("b", {}, sentence(mistake.message)), (mistake.hints ?? []).map((hint) => el("span", {}, ` ${sentence(hint)}`)));
}

/** Begins with a capital, unless it begins with the name of a piece. */
export function capital(words) {
  if (/^\S*[#/:]\S/.test(words)) return words;
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** Begins with a capital and ends with a full stop. */
export function sentence(words) {
  const begun = capital(words.trim());
  return /[.!?:]$/.test(begun) ? begun : `${begun}.`;
}

function aboutOf(field, id) {
  if (!hasAbout(field)) return null;
  return el("p", { id, class: "about" }, field.about ? sentence(field.about) : "", exampleOf(field));
}

function hasAbout(field) {
  return Boolean(field.about) || exampleOf(field) !== "";
}

/** An example helps where something is typed whose spelling is not plain. */
function exampleOf(field) {
  const word = field.exampleWord ?? "Such as";
  const isPlain = word === "Such as" && (["flag", "number", "choice"].includes(field.kind) || field.choices?.length);
  return field.example && !isPlain ? ` ${word} ${field.example}` : "";
}

/** What is typed but not in the project, seen beside what the project says. */
function apartOf(id, said, draft, send, fieldId) {
  return el(
    "div",
    { id, class: "apart" },
    el("p", {}, said === "" ? "Not in the project yet." : `Not in the project yet: there it says ${said}.`),
    el(
      "div",
      { class: "buttons" },
      button("Put it in", () => send(draft), { id: `${fieldId}-put` }),
      button(said === "" ? "Forget it" : `Take ${said}`, () => {
        dropDraft(fieldId);
        const control = document.getElementById(fieldId);
        control.value = said;
        control.focus();
        document.getElementById(id)?.remove();
      }, { id: `${fieldId}-take` }),
    ),
  );
}

function controlOf(field, shared, shown, send, id) {
  const label = el("label", { for: id }, field.label);
  if (field.kind === "flag") return flag(field, shared, shown, send);
  if (field.kind === "colour") return [label, colour(field, shared, shown, send, id)];
  if (field.choices && field.choices.length) return [label, choice(field, shared, shown, send)];
  return [label, typed(field, shared, shown, send, id)];
}

function typed(field, shared, shown, send, id) {
  const isLong = field.kind === "words" || shown.includes("\n");
  const node = el(isLong ? "textarea" : "input", {
    ...shared,
    type: isLong ? null : "text",
    rows: isLong ? 3 : null,
    inputmode: field.kind === "number" ? "decimal" : null,
    autocomplete: "off",
    spellcheck: "false",
    required: field.needed || null,
    oninput: () => keepDraft(id, node.value),
    onchange: () => send(node.value.trim() === "" ? "" : node.value),
    value: shown,
  });
  return node;
}

function choice(field, shared, shown, send) {
  const known = field.choices.map(([value]) => String(value));
  const all = [...(field.needed && shown !== "" ? [] : [["", "as usual"]]), ...field.choices.map(([value, label]) => [String(value), label])];
  if (shown !== "" && !known.includes(shown)) all.push([shown, shown]);
  const node = el(
    "select",
    { ...shared, onchange: () => send(node.value) },
    all.map(([value, label]) => el("option", { value, selected: value === shown }, label)),
  );
  return node;
}

function flag(field, shared, shown, send) {
  const node = el("input", { ...shared, type: "checkbox", checked: shown === "yes", onchange: () => send(node.checked ? "yes" : "no") });
  return el("label", { class: "flag", for: shared.id }, node, el("span", {}, field.label));
}

function colour(field, shared, shown, send, id) {
  const words = typed(field, shared, shown, send, id);
  const wheel = el("input", {
    type: "color",
    id: idOf(id, "wheel"),
    "aria-label": `${field.label}, chosen by eye`,
    value: /^#[0-9a-f]{6}$/i.test(shown) ? shown : "#cfdcbb",
    onchange: () => send(wheel.value),
  });
  return el("div", { class: "pair" }, words, wheel);
}

/** A value of the project as it is typed. */
export function textOf(value, kind) {
  if (value === undefined || value === null) return kind === "flag" ? "no" : "";
  if (value === true) return "yes";
  if (value === false) return "no";
  if (Array.isArray(value)) return value.map((item) => textOf(item, "text")).join(", ");
  if (typeof value === "object") return Object.entries(value).map(([key, item]) => `${key} ${textOf(item, "text")}`).join(", ");
  return String(value);
}

/** What is typed as a value of the project; undefined to remove it. */
export function valueOf(text, kind) {
  if (text === "") return undefined;
  switch (kind) {
    case "flag":
      return text === "yes" ? true : undefined;
    case "number":
      return /^-?\d+([.,]\d+)?$/.test(text.trim()) ? Number(text.trim().replace(",", ".")) : text;
    case "lengths":
    case "texts":
      return text.split(text.includes(";") ? ";" : /,(?=\s)|,(?!\d)/).map((part) => part.trim()).filter(Boolean);
    default:
      return text.trim();
  }
}



