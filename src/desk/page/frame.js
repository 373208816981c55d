/**
 * What stands round every view: the project's name, undo, redo and save, the tabs, and notices.
 */

import { button, el } from "./build.js";
import { askForName, question } from "./dialog.js";
import { isUnsaved, noticesNow, present, redo, reread, save, settle, undo } from "./state.js";

/** The views in the order of work: route, name on its tab, and whether it needs a project. */
export const VIEWS = [
  ["start", "Start", false],
  ["pieces", "Pieces", true],
  ["paper", "Paper", true],
  ["sheets", "Sheets", true],
  ["measure", "Measure", true],
  ["make", "Make", true],
  ["text", "As text", true],
];

/** Draws the head: what is open, whether it is saved, and what can be taken back. */
export function drawHead() {
  const state = present();
  const head = document.getElementById("head");
  const mark = el("a", { class: "mark", href: "#start" }, el("img", { src: "/page/desk.svg", alt: "", width: 32, height: 32 }), el("span", {}, "sheetwright"));
  if (!state || state.name === null) {
    head.replaceChildren(mark);
    return;
  }
  head.replaceChildren(
    mark,
    el("p", { class: "project" }, el("b", {}, state.name), " ", el("span", { class: "saved" }, savedWords(state))),
    el(
      "div",
      { class: "buttons" },
      button("Undo", undo, { id: "undo", disabled: !state.can_undo, title: state.can_undo ? `Undo ${state.can_undo}` : null, "aria-label": state.can_undo ? `Undo ${state.can_undo}` : "Undo" }),
      button("Redo", redo, { id: "redo", disabled: !state.can_redo, title: state.can_redo ? `Redo ${state.can_redo}` : null, "aria-label": state.can_redo ? `Redo ${state.can_redo}` : "Redo" }),
      button("Save", saveAsked, { id: "save", class: isUnsaved() ? "main" : "" }),
    ),
  );
}

/** A name in letters that every disk takes. */
function plainName(name) {
  return name.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "project";
}

function savedWords(state) {
  if (!state.file) return "not saved yet";
  return state.is_saved ? `saved as ${state.file}` : `changed since it was saved as ${state.file}`;
}

/** Saves; asks for a name the first time, and what to do if the file was changed by another program. */
export async function saveAsked() {
  const state = present();
  let file;
  if (!state.file) {
    file = await askForName(`${plainName(state.name)}.toml`, state.folder);
    if (!file) return false;
  }
  const how = file ? { file } : {};
  const outcome = await save(how);
  if (outcome !== "changed") return outcome === "saved";
  const answer = await question(
    "The file on disk is another one now",
    ["Another program wrote to it, or a file of that name was there. Which of the two shall stay?"],
    [
      { label: "Keep mine, write over the file", value: "mine" },
      { label: "Take the file, drop my changes", value: "theirs" },
      { label: "Decide later", value: null, usual: true },
    ],
  );
  if (answer === "mine") return (await save({ ...how, over_disk: true })) === "saved";
  if (answer === "theirs") return reread();
  return false;
}

/**
 * Asks before another project takes the place of one with unsaved changes.
 *
 * @returns {Promise<boolean>} whether to go on
 */
export async function mayLeave() {
  if (!isUnsaved()) return true;
  const answer = await question(
    `"${present().name}" is not saved`,
    ["Opening another project puts this one away."],
    [
      { label: "Save it first", value: "save", usual: true },
      { label: "Close it; what is not saved is lost", value: "drop" },
      { label: "Stay with it", value: null },
    ],
  );
  if (answer === "save") return saveAsked();
  return answer === "drop";
}

/** Draws the tabs; the present one is marked for everybody. */
export function drawTabs(route) {
  const state = present();
  const isOpen = Boolean(state && state.name !== null);
  document.getElementById("tabs").replaceChildren(
    el(
      "ul",
      {},
      VIEWS.map(([name, label, needsProject]) => {
        const is = name === route;
        const inside = needsProject && !isOpen
          ? el("span", { class: "tab off", id: `tab-${name}` }, label)
          : el("a", { class: "tab", href: `#${name}`, id: `tab-${name}`, "aria-current": is ? "page" : null }, label);
        return el("li", {}, inside);
      }),
    ),
  );
}

/** Draws what the person should know, with what can be done about it. */
export function drawNotices() {
  const place = document.getElementById("notices");
  place.replaceChildren(...noticesNow().map(noticeOf));
}

function noticeOf(notice) {
  const doings = {
    disk: [button("Take what is on disk", takeDisk), button("Keep mine", saveAsked)],
  };
  return el(
    "div",
    { class: `notice ${notice.kind}`, role: notice.kind === "refused" ? "alert" : "status" },
    el("p", {}, notice.words),
    el("div", { class: "buttons" }, doings[notice.kind] ?? [], notice.kind === "silent" || notice.kind === "disk" ? [] : button("Put away", () => settle(notice.kind))),
  );
}

async function takeDisk() {
  if (isUnsaved()) {
    const sure = await question("Take the file as it is on disk?", ["Your changes since the last save are dropped; Undo brings them back."], [
      { label: "Take the file", value: true },
      { label: "Keep mine", value: null, usual: true },
    ]);
    if (!sure) return;
  }
  await reread();
}
