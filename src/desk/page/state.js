/**
 * The state of the project as the server last told it, and every way to change it.
 *
 * The page never changes anything by itself: it sends what is wanted with the revision it saw, and shows what comes back.
 */

import { ask, send, Refused } from "./talk.js";
import { dropDrafts } from "./drafts.js";

/** @type {any} the state; null until the first answer */
let state = null;
/** @type {any} work that runs on the server: {what, said, share} or null */
let work = null;
/** @type {{kind: string, words: string}[]} what the person should know, one of each kind */
let notices = [];
const listeners = new Set();
let waiting = Promise.resolve();

/** The present state. */
export function present() {
  return state;
}

/** Work that runs now, or null. */
export function workNow() {
  return work;
}

/** Notices to show above the view. */
export function noticesNow() {
  return notices;
}

/** Calls back after every change: "state", "work", "notices", or "project" when another one is opened. */
export function listen(listener) {
  listeners.add(listener);
}

function tell(what) {
  for (const listener of listeners) listener(what);
}

/** Says something to the person that stays until it is put away. */
export function notice(kind, words) {
  notices = [...notices.filter((other) => other.kind !== kind), { kind, words }];
  tell("notices");
}

/** Puts a notice away. */
export function settle(kind) {
  if (!notices.some((other) => other.kind === kind)) return;
  notices = notices.filter((other) => other.kind !== kind);
  tell("notices");
}

/** Says something in passing, to screen readers as well. */
export function say(words) {
  const place = document.getElementById("said");
  if (place.textContent !== words) place.textContent = words;
}

function take(newer) {
  if (!newer) return;
  const isOther = state !== null && state.name !== newer.name;
  state = newer;
  if (isOther) tell("project");
  tell("state");
}

/** Fetches the state. */
export async function refresh() {
  take(await ask("/state"));
}

/**
 * Changes the project.
 *
 * @param {string} words what it would be called when undone, "the change of Width"
 * @param {object[]} edits as in the call `/change`
 * @returns {Promise<boolean>} whether the server took it
 */
export function change(words, edits) {
  return act("/change", { words, edits });
}

/** Puts the whole text in place of the project's. */
export function changeText(text) {
  return act("/text", { text });
}

/** Takes back the last change, or takes it again. */
export function undo() {
  return act("/undo");
}
export function redo() {
  return act("/redo");
}

/** Takes what is on disk instead of what is here. */
export async function reread() {
  dropDrafts();
  const done = await act("/reread");
  if (done) settle("disk");
  return done;
}

/**
 * Sends a call whose answer is the state. Calls go one after the other, each with the revision the one before came to.
 *
 * @param {string} path
 * @param {object} body without `base`
 */
export function act(path, body = {}) {
  const turn = waiting.then(() => actNow(path, body));
  waiting = turn.catch(() => false);
  return turn;
}

async function actNow(path, body) {
  try {
    take(await send(path, { base: state ? state.revision : 0, ...body }));
    settle("refused");
    return true;
  } catch (error) {
    refused(error);
    return false;
  }
}

/** Shows why something was refused; a newer state that came with it is taken. */
export function refused(error) {
  if (!(error instanceof Refused)) throw error;
  const newer = newerState(error.answer);
  if (error.status === 409 && newer) {
    take(newer);
    notice("newer", "This project was changed in another window. You now see what it says there; what you typed and did not get in is kept at its field.");
  } else {
    notice("refused", error.message);
  }
}

function newerState(answer) {
  if (!answer) return null;
  return answer.state ?? (Number.isFinite(answer.revision) ? answer : null);
}

/** Begins a project or opens one: drafts of the one before are gone. */
export async function openWith(path, body) {
  try {
    const newer = await send(path, body);
    dropDrafts();
    tell("project");
    for (const kind of ["newer", "refused", "disk"]) settle(kind);
    take(newer);
    return true;
  } catch (error) {
    refused(error);
    return false;
  }
}

/**
 * Saves.
 *
 * @param {{file?: string, over_disk?: boolean}} how
 * @returns {Promise<"saved"|"changed"|"refused">}
 */
export async function save(how = {}) {
  try {
    take(await send("/save", { base: state.revision, ...how }));
    for (const kind of ["disk", "refused"]) settle(kind);
    say(`Saved as ${state.file}`);
    return "saved";
  } catch (error) {
    if (error instanceof Refused && error.status === 409 && error.answer?.on_disk) {
      take(error.answer.state);
      return "changed";
    }
    refused(error);
    return "refused";
  }
}

/** Whether leaving now would lose something. */
export function isUnsaved() {
  return Boolean(state && state.name !== null && !state.is_saved);
}

/** Keeps asking how things are: often while work runs, rarely otherwise, not at all while the page is out of sight. */
export async function watch() {
  for (;;) {
    await pause(work ? 200 : 1000);
    if (document.hidden) continue;
    try {
      await look(await ask("/pulse"));
      settle("silent");
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      if (error.status === 0) notice("silent", error.message);
    }
  }
}

async function look(pulse) {
  const before = JSON.stringify(work);
  work = pulse.work ?? null;
  if (JSON.stringify(work) !== before) tell("work");
  if (state && pulse.revision !== state.revision) await waiting.then(refresh);
  if (pulse.on_disk === "changed") {
    notice("disk", "The file was changed by another program.");
  } else if (pulse.on_disk === "gone") {
    notice("disk", "The file is no longer on disk. Saving writes it again.");
  } else {
    settle("disk");
  }
}

/** Asks for the pulse sooner, since work was just started. */
export async function lookSoon() {
  try {
    await look(await ask("/pulse"));
  } catch (error) {
    refused(error);
  }
}

function pause(ms) {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
