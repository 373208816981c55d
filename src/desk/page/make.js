/**
 * Make: writes everything, reads it back and proves it, and hands it over.
 */

import { add, button, el, fill, lines, picture, sizeOf, svg } from "./build.js";
import { draftOf, keepDraft } from "./drafts.js";
import { capital, sentence } from "./fields.js";
import { effort } from "./layout.js";
import { foundLater, summary } from "./mistakes.js";
import { listen, lookSoon, present, refused, say, workNow } from "./state.js";
import { ask, send } from "./talk.js";

/** @type {any} the last answer of `/made`; null before the first */
let made = null;
/** Where it was kept beside the project, in words; empty if it was not. */
let kept = "";
let againTimer = 0;

/** How long until running work is looked at again, in milliseconds. */
const AGAIN_MS = 1000;

/** Draws the view. */
export function draw(place) {
  fetchMade(place);
  const state = present();
  add(
    place,
    el("h1", {}, "Make"),
    summary("make-mistakes"),
    el("section", { class: "sheet-of-paper", "aria-label": "Make the files" }, el("p", {}, "Print files, cut files, instructions and a proof are written, read back and measured against the plan. If anything is off by more than 0.01 mm you get no files but the reason."), el("div", { id: "make-work" }, working() ?? doing(state))),
  );
  if (made && made.state !== "none" && made.state !== "running") add(place, ...result(state));
}

/** Shows how far the work has come. */
export function work(place) {
  const shown = document.getElementById("make-work");
  if (shown) fill(shown, working() ?? doing(present()));
  if (!workNow()) fetchMade(place);
}

function isMaking() {
  return workNow()?.what === "make" || made?.state === "running";
}

function working() {
  if (!isMaking()) return null;
  const now = workNow();
  return el("div", { class: "working" }, el("p", { id: "make-said" }, now?.said ? sentence(now.said) : "Begins …"), el("progress", { max: 1, value: now?.share ?? 0, "aria-labelledby": "make-said" }), el("div", { class: "buttons" }, button("Stop", stop, { id: "stop" })));
}

function doing(state) {
  const isFresh = made?.state === "done" && made.of_revision === state.revision;
  return el("div", { class: "buttons" }, button(isFresh ? "Make them again" : "Make the files", start, { class: isFresh ? "" : "main", id: "make", disabled: !state.is_sound }), state.is_sound ? null : el("p", { class: "mistake" }, "Once nothing is wrong any more."));
}

async function start() {
  kept = "";
  try {
    await send("/make", { base: present().revision, effort: effort() });
    made = { ...(made ?? {}), state: "running" };
    await lookSoon();
    work(document.getElementById("view"));
  } catch (error) {
    refused(error);
  }
}

async function stop() {
  try {
    await send("/stop");
    await lookSoon();
  } catch (error) {
    refused(error);
  }
}

listen((what) => {
  if (what === "project") made = null;
});

async function fetchMade(place) {
  const before = JSON.stringify(made);
  clearTimeout(againTimer);
  try {
    made = await ask("/made");
  } catch (error) {
    refused(error);
    return;
  }
  if (made.state === "running") againTimer = setTimeout(() => fetchMade(place), AGAIN_MS);
  if (JSON.stringify(made) === before || !place.classList.contains("view-make")) return;
  if (made.state === "done" && before !== "null") say(made.proved ? `Made and proved. ${made.verdict_words.join(" ")}` : "Made, but not proved.");
  const focus = document.activeElement?.id;
  place.replaceChildren();
  draw(place);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

function result(state) {
  const isFresh = made.of_revision === state.revision;
  if (made.state === "stopped") return [el("p", { class: "sheet-of-paper" }, "Stopped; nothing was written.")];
  const parts = [verdict(isFresh)];
  if (!made.proved) return parts;
  return [...parts, takeAway(), hints(), files()];
}

function verdict(isFresh) {
  const words = made.verdict_words ?? [];
  return el(
    "section",
    { class: `sheet-of-paper${isFresh ? "" : " old"}`, "aria-label": "Verdict" },
    isFresh ? null : el("p", { class: "mistake" }, el("b", {}, "The project has changed since these files were made.")),
    el(
      "div",
      { class: "verdict" },
      made.proved ? seal() : null,
      el("p", { class: "words" }, made.proved ? `Proved: nothing is off by more than ${made.deviation}.` : "Nothing was made."),
      el("div", {}, lines(words.map(sentence), made.proved ? "notes" : "lines")),
    ),
    foundLater(made.diagnostics),
  );
}

function seal() {
  return svg("svg", { class: "seal", viewBox: "0 0 48 48", "aria-hidden": "true" }, svg("circle", { cx: 24, cy: 24, r: 22, fill: "var(--accent)" }), svg("circle", { cx: 24, cy: 24, r: 18, fill: "none", stroke: "var(--on-accent)", "stroke-width": 1.2, "stroke-dasharray": "4 1.6 1 1.6" }), svg("path", { d: "M15 24.5l6 6 12-13", fill: "none", stroke: "var(--on-accent)", "stroke-width": 4, "stroke-linecap": "round", "stroke-linejoin": "round" }));
}

function takeAway() {
  const id = "keep-folder";
  const usual = (present().name ?? "made").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "made";
  const input = el("input", { id, type: "text", value: draftOf(id) ?? usual, autocomplete: "off", spellcheck: "false", "aria-describedby": "keep-about keep-result", oninput: () => keepDraft(id, input.value) });
  return el(
    "section",
    { class: "sheet-of-paper", "aria-labelledby": "take-title" },
    el("h2", { id: "take-title" }, "Take them away"),
    el("div", { class: "buttons" }, el("a", { class: "button main", href: "/made.zip", download: true, id: "zip" }, "Download all as a zip")),
    el("div", { class: "new-ones" }, el("div", { class: "field" }, el("label", { for: id }, "Or into a folder"), input), button("Put them there", () => keep(input.value.trim()), { id: "keep" })),
    el("p", { class: "about", id: "keep-about" }, `It lies in ${present().folder}. An earlier result of that name is replaced; anything else is left alone.`),
    el("p", { id: "keep-result", role: "status" }, kept),
  );
}

async function keep(folder) {
  const place = document.getElementById("keep-result");
  try {
    const answer = await send("/keep", { folder });
    kept = answer.problem ?? `They are in ${answer.folder}`;
  } catch (error) {
    kept = error.message;
  }
  place.textContent = kept;
}

function hints() {
  if (!made.hints?.length) return null;
  return el("section", { class: "sheet-of-paper", "aria-labelledby": "hints-title" }, el("h2", { id: "hints-title" }, "At the printer and at the cutter"), el("ol", { class: "hints" }, made.hints.map((hint) => el("li", {}, sentence(hint)))), inkWords());
}

function inkWords() {
  const ink = Array.isArray(made.ink) ? made.ink : made.ink ? [String(made.ink)] : [];
  return ink.length ? el("div", {}, el("h3", {}, "Ink"), lines(ink.map(capital))) : null;
}

function files() {
  const pictures = made.files.filter(({ name }) => /^sheet-.*\.png$/.test(name));
  return el(
    "section",
    { class: "sheet-of-paper", "aria-labelledby": "files-title" },
    el("h2", { id: "files-title" }, "What was made"),
    el("table", { class: "files" }, el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "File"), el("th", { scope: "col" }, "What it is for"), el("th", { scope: "col", class: "bytes" }, "Size"))), el("tbody", {}, made.files.map((file) => el("tr", {}, el("td", {}, el("a", { href: file.url, download: file.name }, file.name)), el("td", {}, file.what), el("td", { class: "bytes" }, sizeOf(file.bytes)))))),
    pictures.length ? el("div", { class: "faces" }, pictures.slice(0, 4).map((file) => el("figure", {}, picture(file.url, `Picture of ${file.name}`), el("figcaption", {}, file.name)))) : null,
  );
}
