/**
 * The layout as the server last told it, the work on it, and the piece that is carried over it.
 */

import { act, listen, lookSoon, present, refused, workNow } from "./state.js";
import { ask, send } from "./talk.js";
import { remember, remembered } from "./drafts.js";

/** @type {any} the last answer of `/layout`; null before the first */
let layout = null;
/** Revision that was last laid out without being asked: each is only once, so that Stop means stop. */
let begunFor = null;
let isFetching = false;
let againTimer = 0;

/** How long until a running layout is looked at again, in milliseconds. */
const AGAIN_MS = 1000;

/** The layout, or null. */
export function layoutNow() {
  return layout;
}

/** Whether it shows the project as it is now. */
export function isCurrent() {
  return Boolean(layout && layout.state === "done" && layout.of_revision === present().revision);
}

/** Whether sheets are being laid out. */
export function isLaying() {
  return workNow()?.what === "layout" || layout?.state === "running";
}

/** How much work is put into it: "quick", "usual" or "thorough". */
export function effort() {
  return remembered("effort") ?? "quick";
}

/** Chooses how much. */
export function setEffort(value) {
  remember("effort", value);
}

/** Fetches the layout; then begins one, once for each revision, if there is none for the project as it is. */
export async function fetchLayout(changed) {
  if (isFetching) return;
  isFetching = true;
  try {
    const before = JSON.stringify(layout);
    layout = await ask("/layout");
    const { revision, is_sound: isSound } = present();
    if (layout.of_revision !== revision && layout.state !== "running" && isSound && begunFor !== revision) {
      begunFor = revision;
      await layOut();
    }
    if (JSON.stringify(layout) !== before) changed();
  } catch (error) {
    refused(error);
  } finally {
    isFetching = false;
    if (layout?.state === "running") lookAgain(changed);
  }
}

/** Looks again while sheets are being laid out: the end may have come between two pulses. */
function lookAgain(changed) {
  clearTimeout(againTimer);
  againTimer = setTimeout(() => fetchLayout(changed), AGAIN_MS);
}

/** Forgets the layout of the project before. */
function forget() {
  layout = null;
  begunFor = null;
}

listen((what) => what === "project" && forget());

/** Starts laying out. */
export async function layOut() {
  try {
    await send("/lay-out", { base: present().revision, effort: effort() });
    layout = { ...(layout ?? { sheets: [], words: [] }), state: "running" };
    await lookSoon();
  } catch (error) {
    refused(error);
  }
}

/** Stops; the best that was found stays. */
export async function stop() {
  try {
    await send("/stop");
    await lookSoon();
  } catch (error) {
    refused(error);
  }
}

/** Whether anything is in the way of a piece there: what, in words. */
export async function clashesAt(id, sheet, at) {
  const answer = await send("/hold", { of_revision: layout.of_revision, id, sheet, x_mm: at.x, y_mm: at.y, turn_deg: at.turn });
  return answer.clashes;
}

/** Pins a piece; the rest is laid out round it. */
export function put(id, sheet, at) {
  begunFor = present().revision + 1;
  return act("/put", { id, sheet, x_mm: at.x, y_mm: at.y, turn_deg: at.turn });
}

/** Lets a pinned piece go, or all of them. */
export function unpin(what) {
  begunFor = present().revision + 1;
  return act("/unpin", what);
}
