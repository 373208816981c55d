/**
 * The desk: reads the route, draws the view, keeps focus and caret where they were.
 */

import { drawHead, drawNotices, drawTabs, saveAsked, VIEWS } from "./frame.js";
import { isUnsaved, listen, notice, present, redo, refresh, say, settle, undo, watch, workNow } from "./state.js";
import * as start from "./start.js";
import * as pieces from "./pieces.js";
import * as paper from "./paper.js";
import * as sheets from "./sheets.js";
import * as measure from "./measure.js";
import * as make from "./make.js";
import * as text from "./text.js";

/** Each has `draw(place)`, which fills an empty place, and may have `work(place)`, called while work runs. */
const PARTS = { start, pieces, paper, sheets, measure, make, text };

let drawnRoute = "";
/** Whether a button of the mouse or a finger is down: what is under it must not be drawn anew, or its click would be lost. */
let isPressed = false;
let isDue = false;
let saidAt = 0;

/** Progress is said to screen readers no more often than that, in milliseconds. */
const SAY_EVERY_MS = 3000;

function route() {
  const wanted = location.hash.slice(1).split("/")[0];
  const view = VIEWS.find(([name]) => name === wanted);
  const isOpen = present() && present().name !== null;
  if (!view) return isOpen ? "pieces" : "start";
  return view[2] && !isOpen ? "start" : wanted;
}

/** Draws everything anew. Nothing is lost by it: half-typed fields are drafts, the focus is found by its id. */
function draw() {
  const name = route();
  const title = VIEWS.find(([view]) => view === name)[1];
  const opened = present()?.name;
  document.title = opened ? `${title}: ${opened}` : `${title}: sheetwright`;
  const held = heldFocus();
  const scroll = [window.scrollX, window.scrollY];
  drawHead();
  drawTabs(name);
  drawNotices();
  const place = document.getElementById("view");
  const isAnother = name !== drawnRoute;
  place.className = `view view-${name}`;
  document.getElementById("head").dataset.revision = present()?.revision ?? "";
  place.replaceChildren();
  PARTS[name].draw(place);
  drawnRoute = name;
  if (isAnother) return;
  window.scrollTo(...scroll);
  giveFocus(held);
}

function heldFocus() {
  const element = document.activeElement;
  if (!element || element === document.body) return null;
  const caret = typeof element.selectionStart === "number" ? [element.selectionStart, element.selectionEnd] : null;
  return { id: element.id, tag: element.tagName, words: wordsOf(element), caret, scroll: element.scrollTop };
}

function wordsOf(element) {
  return element.getAttribute("aria-label") ?? element.textContent;
}

/** Gives the focus to what has the same id, or else the same words. */
function giveFocus(held) {
  if (!held) return;
  const alike = () => [...document.querySelectorAll(held.tag)].find((other) => wordsOf(other) === held.words);
  const element = held.id ? document.getElementById(held.id) : alike();
  if (!element || element === document.activeElement) return;
  element.focus({ preventScroll: true });
  if (held.caret) element.setSelectionRange(...held.caret);
  element.scrollTop = held.scroll;
}

function turned() {
  settle("refused");
  draw();
  window.scrollTo(0, 0);
  const heading = document.querySelector("#view h1");
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

function onKey(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const isTyping = event.target.matches("input, textarea, select");
  const letter = event.key.toLowerCase();
  if (letter === "s") {
    event.preventDefault();
    if (present()?.name) finishTyping().then(saveAsked);
  } else if (letter === "z" && !isTyping && present()?.name) {
    event.preventDefault();
    if (event.shiftKey) redo();
    else undo();
  }
}

/** Lets a field that is being typed in send what it holds. */
async function finishTyping() {
  const element = document.activeElement;
  if (element?.matches("input, textarea")) element.dispatchEvent(new Event("change", { bubbles: true }));
  await Promise.resolve();
}

function onChange(what) {
  if (what === "state") {
    if (isPressed) isDue = true;
    else draw();
  }
  if (what === "notices") drawNotices();
  if (what === "work") {
    if (workNow() && Date.now() - saidAt > SAY_EVERY_MS) {
      saidAt = Date.now();
      say(workNow().said);
    }
    PARTS[drawnRoute]?.work?.(document.getElementById("view"));
  }
}

function onPress() {
  isPressed = true;
}

/** The click comes after this: only then is drawn what is due. */
function onRelease() {
  isPressed = false;
  setTimeout(() => {
    if (!isDue || isPressed) return;
    isDue = false;
    draw();
  });
}

async function open() {
  listen(onChange);
  window.addEventListener("hashchange", turned);
  window.addEventListener("keydown", onKey);
  window.addEventListener("pointerdown", onPress, true);
  for (const release of ["pointerup", "pointercancel", "dragend"]) window.addEventListener(release, onRelease, true);
  window.addEventListener("beforeunload", (event) => {
    if (isUnsaved()) event.preventDefault();
  });
  document.getElementById("skip").addEventListener("click", (event) => {
    event.preventDefault();
    document.getElementById("view").focus();
  });
  try {
    await refresh();
  } catch (error) {
    notice("silent", error.message);
    drawNotices();
  }
  watch();
}

open();
