/**
 * As text: the whole project file, with its mistakes by line. Everything that has no form is reached here.
 */

import { add, button, el } from "./build.js";
import { dropDraft, draftOf, keepDraft } from "./drafts.js";
import { sentence } from "./fields.js";
import { changeText, present, say } from "./state.js";

const ID = "whole-text";

/** Draws the view. */
export function draw(place) {
  const state = present();
  const draft = draftOf(ID);
  if (draft === state.text) dropDraft(ID);
  const shown = draft ?? state.text;
  add(
    place,
    el("h1", {}, "The project as text"),
    el("p", { class: "lead" }, "What the other views show and change is this text. Comments and order stay as you write them."),
    el("div", { class: "text-desk" }, editor(shown, state), mistakes(state)),
  );
  number();
  goToLine();
}

function editor(shown, state) {
  const area = el("textarea", {
    id: ID,
    spellcheck: "false",
    wrap: "off",
    autocomplete: "off",
    "aria-label": "Text of the project",
    "aria-describedby": "text-how",
    value: shown,
    oninput: () => {
      keepDraft(ID, area.value);
      number();
      drawButtons();
    },
    onscroll: () => {
      document.getElementById("line-numbers").scrollTop = area.scrollTop;
    },
    onkeydown: (event) => {
      if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) put();
    },
  });
  return el(
    "div",
    { class: "sheet-of-paper editor" },
    el("div", { class: "numbered" }, el("pre", { id: "line-numbers", "aria-hidden": "true" }), area),
    el("p", { id: "text-how", class: "about" }, "Control and Enter puts the text in. The Tab key leaves the field."),
    el("div", { class: "buttons", id: "text-buttons" }, buttons(state)),
  );
}

function buttons(state) {
  const draft = draftOf(ID);
  const isApart = draft !== null && draft !== state.text;
  return [
    button("Put the text in", put, { class: isApart ? "main" : "", disabled: !isApart, id: "text-put" }),
    button("Back to what the project says", back, { disabled: !isApart, id: "text-back" }),
  ];
}

function drawButtons() {
  document.getElementById("text-buttons").replaceChildren(...buttons(present()));
}

async function put() {
  const draft = draftOf(ID);
  if (draft === null) return;
  if (await changeText(draft)) {
    const wrong = present().diagnostics.filter(({ severity }) => severity === "error").length;
    say(wrong ? `Put in; ${wrong} mistakes` : "Put in; nothing is wrong");
  }
}

function back() {
  dropDraft(ID);
  const area = document.getElementById(ID);
  area.value = present().text;
  number();
  drawButtons();
  area.focus();
}

function number() {
  const area = document.getElementById(ID);
  const wrong = new Set(present().diagnostics.map(({ line }) => line));
  const count = area.value.split("\n").length;
  const rows = Array.from({ length: count }, (_, index) => el("span", { class: wrong.has(index + 1) ? "marked" : "" }, `${index + 1}\n`));
  document.getElementById("line-numbers").replaceChildren(...rows);
}

function mistakes(state) {
  const all = state.diagnostics;
  return el(
    "section",
    { class: "text-mistakes", "aria-labelledby": "text-mistakes-title" },
    el("h2", { id: "text-mistakes-title" }, all.length ? "Line by line" : "Nothing is wrong"),
    all.length ? el("ul", { class: "by-line" }, all.map(mistake)) : el("p", { class: "about" }, "The pieces can be laid out and made."),
  );
}

function mistake(one) {
  return el(
    "li",
    { class: one.severity },
    one.line ? button(`Line ${one.line}`, () => select(one.line), { class: "line-link" }) : null,
    el("p", {}, el("b", {}, sentence(one.message)), (one.hints ?? []).map((hint) => ` ${sentence(hint)}`)),
    (one.related ?? []).map((other) => el("p", { class: "about" }, `${sentence(other.message)} `, other.line ? button(`Line ${other.line}`, () => select(other.line), { class: "line-link" }) : null)),
  );
}

function goToLine() {
  const line = Number(location.hash.split("/")[1]);
  if (!Number.isInteger(line) || line < 1) return;
  history.replaceState(null, "", "#text");
  requestAnimationFrame(() => select(line));
}

/** Selects a line and brings it into sight. */
function select(line) {
  const area = document.getElementById(ID);
  const rows = area.value.split("\n");
  const begin = rows.slice(0, line - 1).reduce((sum, row) => sum + row.length + 1, 0);
  area.focus();
  area.setSelectionRange(begin, begin + (rows[line - 1] ?? "").length);
  const height = parseFloat(getComputedStyle(area).lineHeight);
  area.scrollTop = Math.max(0, (line - 4) * height);
}
