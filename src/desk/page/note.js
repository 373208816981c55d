/**
 * The note beside the sheets: the chosen piece by its name, where it lies, and what can be done with it.
 */

import { button, el, lines } from "./build.js";
import { sentence } from "./fields.js";
import { written, millimetresOf, spoken } from "./lengths.js";
import { stockName } from "./sheet.js";
import { present } from "./state.js";

/**
 * Draws the note of a held piece.
 *
 * @param {any} held {placement, sheet, from, at, home, isMoved, clashes}
 * @param {any[]} sheets of the layout
 * @param {object} hands what can be done: carry, put, back, away, unpin, send
 */
export function noteOf(held, sheets, hands) {
  const { placement } = held;
  const piece = present().pieces.find((one) => one.id === placement.piece);
  const way = piece ? `#pieces/${piece.list}/${piece.position}${piece.list === "part" ? `/${encodeURIComponent(piece.id)}` : ""}` : "#pieces";
  return el(
    "aside",
    { class: "sheet-of-paper note", "aria-labelledby": "note-title", id: "note", onkeydown: (event) => event.key === "Escape" && hands.back() },
    el("h2", { id: "note-title" }, `${piece?.name ?? placement.piece}, copy ${placement.copy}`),
    el("p", { id: "note-how" }, howWords(held)),
    el("div", { id: "note-clashes", "aria-live": "polite" }, clashWords(held)),
    el("p", {}, el("a", { href: way }, "Its particulars")),
    el("div", { class: "fields" }, field("note-x", "From the left", held.at.x, (mm) => hands.carry({ ...held.at, x: mm })), field("note-y", "From the top", held.at.y, (mm) => hands.carry({ ...held.at, y: mm })), sheets.length > 1 ? onSheet(held, sheets, hands) : null),
    arrows(held, hands),
    el(
      "div",
      { class: "buttons" },
      button(placement.pinned && !held.isMoved ? "It is pinned" : "Pin it here", () => hands.put("button"), { class: "main", id: "note-pin", disabled: mayNotPin(held) }),
      button("Put it back", hands.back, { id: "note-back", disabled: !held.isMoved }),
      placement.pinned ? button("Let it go", hands.unpin, { id: "note-unpin" }) : null,
      button("Done", hands.away, { id: "note-away" }),
    ),
    keys(),
  );
}

function howWords(held) {
  if (held.isMoved) return "You are moving it; nothing is changed until it is pinned.";
  return held.placement.pinned ? "It is pinned here; the others are laid out round it." : "It lies here by the layout.";
}

/** It is pinned already, or something is in its way. */
function mayNotPin(held) {
  return held.isMoved ? Boolean(held.clashes?.length) : held.placement.pinned;
}

/** What is in its way, in words; it changes while the piece is carried. */
export function clashWords(held) {
  if (!held.isMoved) return null;
  if (held.clashes === null) return el("p", { class: "about" }, "Looking whether it may lie there …");
  if (!held.clashes.length) return el("p", { class: "fine" }, "It may lie here.");
  return el("div", { class: "clash" }, lines(held.clashes.map(({ words }) => sentence(words))));
}

function field(id, label, mm, carry) {
  const { units } = present();
  const node = el("input", {
    id,
    type: "text",
    autocomplete: "off",
    spellcheck: "false",
    value: nice(mm, units),
    "aria-describedby": `${id}-wrong`,
    onchange: () => {
      const typed = millimetresOf(node.value, units);
      node.setAttribute("aria-invalid", String(typed === null));
      document.getElementById(`${id}-wrong`).replaceChildren(typed === null ? el("p", {}, el("b", {}, `A length, such as ${units === "mm" ? "12 mm" : "1 3/8 in"}.`)) : "");
      if (typed !== null) carry(typed);
    },
  });
  return el("div", { class: "field" }, el("label", { for: id }, label), node, el("div", { class: "mistake", id: `${id}-wrong` }));
}

/** As it would be written if that is what it is to a tenth of a millimetre, else as a decimal. */
function nice(mm, units) {
  const text = written(mm, units);
  return Math.abs(millimetresOf(text, units) - mm) < 0.1 ? text : spoken(mm, units);
}

/** Fills the fields while the piece is carried. */
export function refill(held) {
  const { units } = present();
  for (const [id, mm] of [["note-x", held.at.x], ["note-y", held.at.y]]) {
    const node = document.getElementById(id);
    if (node && node !== document.activeElement) node.value = nice(mm, units);
  }
  const how = document.getElementById("note-how");
  if (how) how.textContent = howWords(held);
  document.getElementById("note-clashes")?.replaceChildren(clashWords(held) ?? "");
  const pin = document.getElementById("note-pin");
  if (pin) {
    pin.disabled = mayNotPin(held);
    pin.textContent = held.placement.pinned && !held.isMoved ? "It is pinned" : "Pin it here";
  }
  const back = document.getElementById("note-back");
  if (back) back.disabled = !held.isMoved;
}

function onSheet(held, sheets, hands) {
  const node = el(
    "select",
    { id: "note-sheet", onchange: () => hands.send(Number(node.value)) },
    sheets.filter(({ stock }) => stock === sheets.find(({ number }) => number === held.from).stock).map(({ number, stock }) => el("option", { value: number, selected: number === held.sheet }, `Sheet ${number}: ${stockName(stock)}`)),
  );
  return el("div", { class: "field wide" }, el("label", { for: "note-sheet" }, "On"), node);
}

function arrows(held, hands) {
  const go = (x, y) => () => hands.nudge(x, y);
  return el(
    "div",
    { class: "arrows", role: "group", "aria-label": "Move it by a little" },
    button("↑", go(0, -1), { class: "up", id: "nudge-up", "aria-label": "Up" }),
    button("←", go(-1, 0), { class: "left", id: "nudge-left", "aria-label": "Left" }),
    button("↻", hands.turn, { class: "turn", id: "nudge-turn", "aria-label": "Turn by a quarter" }),
    button("→", go(1, 0), { class: "right", id: "nudge-right", "aria-label": "Right" }),
    button("↓", go(0, 1), { class: "down", id: "nudge-down", "aria-label": "Down" }),
  );
}

function keys() {
  const step = present().units === "mm" ? "1 mm" : "1/16 in";
  return el(
    "dl",
    { class: "keys" },
    el("dt", {}, "Arrows"),
    el("dd", {}, `by ${step}, with Shift by ten times as much`),
    el("dt", {}, "R"),
    el("dd", {}, "turns by a quarter"),
    el("dt", {}, "Enter"),
    el("dd", {}, "pins it"),
    el("dt", {}, "Escape"),
    el("dd", {}, "puts it back"),
  );
}
