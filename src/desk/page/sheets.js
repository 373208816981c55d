/**
 * Sheets: how all pieces lie on the paper, and the hand that moves one of them.
 */

import { add, button, el, fill, lines } from "./build.js";
import { capital, fieldOf, mistakeWords } from "./fields.js";
import { effort, fetchLayout, isCurrent, isLaying, layOut, layoutNow, clashesAt, put, setEffort, stop, unpin } from "./layout.js";
import { stepOf } from "./lengths.js";
import { noteOf, refill } from "./note.js";
import { homeOf, nameOf, sheetOf, showCarried, spotId } from "./sheet.js";
import { present, refused, say, workNow } from "./state.js";
import { foundLater, summary } from "./mistakes.js";

/** @type {any} the held piece: {id, placement, sheet, from, at, home, isMoved, clashes}, or null */
let held = null;
let askedTurn = 0;
let askTimer = 0;

/** Draws the view. */
export function draw(place) {
  fetchLayout(() => redraw(place));
  const layout = layoutNow();
  dropLost(layout);
  add(place, el("h1", {}, "Sheets"), summary("sheets-mistakes"), stuckPins(), bar(), el("div", { id: "sheets-work" }, working()));
  if (layout?.words?.length) add(place, words(layout));
  if (layout?.sheets?.length) add(place, el("p", { class: "lead" }, "Click a piece to move, turn or pin it; the others are laid out round it."));
  if (layout?.unplaced?.length) add(place, unplaced(layout));
  add(place, foundLater(layout?.diagnostics));
  add(place, bench(layout));
}

/** Shows how far the work has come. */
export function work(place) {
  const shown = document.getElementById("sheets-work");
  if (shown) fill(shown, working());
  if (!workNow() || workNow().what !== "layout") fetchLayout(() => redraw(place));
}

function redraw(place) {
  if (!place.classList.contains("view-sheets")) return;
  const focus = document.activeElement?.id;
  const scroll = [window.scrollX, window.scrollY];
  place.replaceChildren();
  draw(place);
  window.scrollTo(...scroll);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

function bar() {
  const field = { key: "effort", label: "Look for a layout", kind: "choice", needed: true, choices: [["quick", "a glance"], ["usual", "as usual"], ["thorough", "over a cup of tea"]] };
  const pins = (present().doc?.pin ?? []).length;
  return el(
    "div",
    { class: "lay-out" },
    fieldOf({ id: "effort", field, value: effort(), put: (value) => setEffort(value) }),
    button("Lay out again", async () => {
      setEffort(document.getElementById("effort").value);
      await layOut();
      work(document.getElementById("view"));
    }, { id: "lay-out", disabled: !present().is_sound }),
    pins ? button(pins === 1 ? "Let the pinned piece go" : `Let all ${pins} pinned pieces go`, () => unpin({ all: true }), { id: "unpin-all" }) : null,
  );
}

/** Pinned pieces that can no longer lie where they are, each with the way out. */
function stuckPins() {
  const positionOf = ({ key, severity }) => (severity === "error" ? /^pin\[(\d+)\]/.exec(key ?? "")?.[1] : undefined);
  const wrong = (present().diagnostics ?? []).filter((one) => positionOf(one) !== undefined);
  if (!wrong.length) return null;
  const one = (mistake) => {
    const position = Number(positionOf(mistake));
    return el("div", { class: "mistake" }, mistakeWords(mistake), button("Let this piece go", () => unpin({ position }), { id: `unpin-${position}` }));
  };
  return el("section", { class: "sheet-of-paper", "aria-label": "Pinned pieces that cannot stay" }, wrong.map(one));
}

function working() {
  if (!isLaying()) return null;
  const now = workNow();
  return el("div", { class: "sheet-of-paper working" }, el("p", { id: "work-said" }, now?.said ? `${now.said.charAt(0).toUpperCase()}${now.said.slice(1)}` : "Laying out"), el("progress", { max: 1, value: now?.share ?? 0, "aria-labelledby": "work-said" }), el("div", { class: "buttons" }, button("Stop and take the best so far", stop, { id: "stop" })));
}

function words(layout) {
  const toBuy = (layout.shopping ?? []).map((line) => capital(line.replace(/^to buy: /, "")));
  const costs = Array.isArray(layout.cost) ? layout.cost : (layout.cost ?? "").split("; ").filter(Boolean);
  return el(
    "section",
    { class: "sheet-of-paper in-words", "aria-label": "The sheets in words" },
    el("div", {}, el("h2", {}, "What it takes"), lines(layout.words.map(capital), "plain-words")),
    costs.length ? el("div", {}, el("h2", {}, "What it costs"), lines(costs.map(capital), "plain-words")) : null,
    toBuy.length ? el("div", {}, el("h2", {}, "To buy"), lines(toBuy, "plain-words")) : null,
  );
}

function unplaced(layout) {
  return el("div", { class: "mistakes mistake", role: "alert" }, el("p", {}, el("b", {}, "Not everything has found a place:")), lines(layout.unplaced.map(({ piece, count }) => `${count} x ${piece}`)));
}

function bench(layout) {
  const sheets = layout?.sheets ?? [];
  if (!sheets.length) return el("p", { class: "sheet-of-paper empty" }, isLaying() ? "The sheets come in a moment." : present().is_sound ? "Nothing is laid out yet." : "The pieces are laid out once nothing is wrong with them.");
  const isStale = !isCurrent();
  const isNarrow = matchMedia("(max-width: 62rem)").matches;
  const note = held ? noteOf(held, sheets, HANDS) : null;
  const figures = sheets.map((sheet) => [sheetOf(sheet, HANDS, { isLone: sheets.length === 1, isStale }), isNarrow && held?.sheet === sheet.number ? note : null]);
  return el(
    "div",
    { class: held && !isNarrow ? "bench with-note" : "bench", id: "bench" },
    el("div", {}, isStale && !isLaying() ? el("p", { class: "about" }, "These sheets are from before the last change.") : null, el("div", { class: "side-by-side" }, figures)),
    isNarrow ? null : note,
  );
}

/** A held piece that the newest layout does not have, or has elsewhere, is let go or taken from there. */
function dropLost(layout) {
  if (!held) return;
  const sheet = layout?.sheets?.find(({ placements }) => placements.some(({ id }) => id === held.id));
  const placement = sheet?.placements.find(({ id }) => id === held.id);
  if (!placement) held = null;
  else if (!held.isMoved) hold(placement, sheet);
}

function hold(placement, sheet) {
  const home = homeOf(placement);
  held = { id: placement.id, placement, sheet: sheet.number, from: sheet.number, at: home, home, isMoved: false, clashes: [] };
}

const HANDS = {
  chosen: () => held,
  choose(placement, sheet) {
    if (held?.id === placement.id) return;
    hold(placement, sheet);
    redrawBench(spotId(placement));
  },
  grab(placement, sheet) {
    const old = held && document.getElementById(spotId(held.placement));
    old?.classList.remove("chosen", "carried", "clashing");
    hold(placement, sheet);
  },
  carry(at) {
    if (!held) return;
    held = { ...held, at, isMoved: true, clashes: held.isMoved ? held.clashes : null };
    showCarried(held);
    refill(held);
    askSoon();
  },
  nudge(x, y) {
    const step = stepOf(present().units);
    HANDS.carry({ ...held.at, x: held.at.x + x * step, y: held.at.y + y * step });
  },
  turn() {
    HANDS.carry({ ...held.at, turn: (held.at.turn + 90) % 360 });
  },
  send(sheet) {
    held = { ...held, sheet, isMoved: true, clashes: null };
    redrawBench("note-sheet");
    askSoon();
  },
  async put(by, dropped) {
    if (!held || (!held.isMoved && held.placement.pinned)) return;
    if (dropped) landOn(dropped);
    const clashes = await looked();
    if (clashes.length) {
      say(`It may not lie there: ${clashes.map((one) => one.words).join("; ")}`);
      redrawBench(by === "button" ? "note-back" : spotId(held.placement));
      return;
    }
    const { id, placement, sheet, at } = held;
    held = { ...held, isMoved: false };
    if (await put(id, sheet, at)) say(`${nameOf(placement, at)}, is pinned`);
  },
  back() {
    if (!held) return;
    const { placement, from, home } = held;
    held = { ...held, sheet: from, at: home, isMoved: false, clashes: [] };
    redrawBench(spotId(placement));
    say(`${nameOf(placement)}, is back`);
  },
  away() {
    const id = held && spotId(held.placement);
    held = null;
    redrawBench(id);
  },
  unpin() {
    unpin({ id: held.id });
  },
};

/** If it was put down over another sheet of the same paper, it lies on that one now. */
function landOn({ event, grip }) {
  const figure = document.elementsFromPoint(event.clientX, event.clientY).map((node) => node.closest(".lying")).find(Boolean);
  const sheets = layoutNow().sheets;
  const target = sheets.find(({ number }) => figure?.id === `sheet-${number}`);
  const from = sheets.find(({ number }) => number === held.from);
  if (!target || target.number === held.sheet || target.stock !== from.stock) return;
  const toDrawing = figure.querySelector(".on-table > svg").getScreenCTM().inverse();
  const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(toDrawing);
  held = { ...held, sheet: target.number, at: { ...held.at, x: point.x - grip.x, y: point.y - grip.y } };
}

function redrawBench(focus) {
  const old = document.getElementById("bench");
  if (!old) return;
  old.replaceWith(bench(layoutNow()));
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

/** Asks what is in the way, not more often than the hand can follow. */
function askSoon() {
  clearTimeout(askTimer);
  askTimer = setTimeout(looked, 60);
}

/** What is in the way now; an answer that comes too late is let go. */
async function looked() {
  clearTimeout(askTimer);
  const turn = ++askedTurn;
  try {
    const clashes = await clashesAt(held.id, held.sheet, held.at);
    if (turn === askedTurn && held) {
      held = { ...held, clashes };
      showCarried(held);
      refill(held);
      if (clashes.length) say(clashes.map((one) => one.words).join("; "));
    }
    return clashes;
  } catch (error) {
    refused(error);
    return [{ words: error.message }];
  }
}
