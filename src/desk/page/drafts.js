/**
 * What was typed and is not in the project yet: kept while the page is open, over reloads as well.
 *
 * A draft is dropped once the project says the same, or when another project is opened.
 */

const PREFIX = "desk-draft:";

/** @returns {string|null} what was typed there and is not in the project */
export function draftOf(id) {
  return sessionStorage.getItem(PREFIX + id);
}

/** Keeps what was typed. */
export function keepDraft(id, text) {
  try {
    sessionStorage.setItem(PREFIX + id, text);
  } catch {
    // No room is left for drafts: the field on the page still holds what was typed.
  }
}

/** Forgets one. */
export function dropDraft(id) {
  sessionStorage.removeItem(PREFIX + id);
}

/** Forgets all whose id begins so; all there are without a beginning. */
export function dropDrafts(beginning = "") {
  for (const id of draftIds()) if (id.startsWith(beginning)) dropDraft(id);
}

/** @returns {string[]} ids of all drafts */
export function draftIds() {
  return Object.keys(sessionStorage)
    .filter((name) => name.startsWith(PREFIX))
    .map((name) => name.slice(PREFIX.length));
}

/** Remembers a choice of the person for this visit: which piece was looked at, which effort was wanted. */
export function remember(name, value) {
  try {
    sessionStorage.setItem(`desk-choice:${name}`, value);
  } catch {
    // Without room it is only forgotten at the next reload.
  }
}

/** @returns {string|null} the choice remembered under that name */
export function remembered(name) {
  return sessionStorage.getItem(`desk-choice:${name}`);
}
