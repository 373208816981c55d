/**
 * Start: what is wanted and what is on the table, and what can be made of it; or a project or an example to go on with.
 */

import { add, button, counted, el, picture } from "./build.js";
import { draw as drawChoices, forget, tryAll } from "./choices.js";
import { draftOf, keepDraft } from "./drafts.js";
import { mayLeave } from "./frame.js";
import { notice, openWith, present } from "./state.js";
import { ask } from "./talk.js";

let shelf = null;
let isAsked = false;

/** Whether inches and Letter paper are likely where this browser speaks. */
const IS_INCH = /^en-(US|CA)\b/i.test(navigator.language);

const BOX_ABOUT = `Length x width x depth, such as ${IS_INCH ? "3 x 2 x 1 in" : "90 x 60 x 35 mm"}`;
const FLAT_ABOUT = `Width x height, such as ${IS_INCH ? "4 x 5 1/2 in" : "105 x 148 mm"}`;

/** What is asked, in the order it is asked; `usual` is there from the start. */
const WISHES = [
  { key: "what", label: "The size is that of", kind: "choice", usual: "contents", choices: [["contents", "what goes in"], ["inside", "the room inside"], ["outside", "the outside of a box"], ["flat", "a flat thing: card, tag, envelope"]] },
  { key: "size", label: "Size", usual: "", about: BOX_ABOUT },
  { key: "copies", label: "How many", usual: "1" },
  { key: "paper", label: "Sheets of paper", kind: "choice", usual: IS_INCH ? "letter" : "a4", choices: [["letter", "Letter"], ["a4", "A4"]] },
  { key: "caliper", label: "Thickness of one sheet", usual: "0.3 mm", about: "Measure ten together and divide; card is about 0.3 mm" },
  { key: "cut_by", label: "Cut by", kind: "choice", usual: "machine", choices: [["machine", "a cutting machine"], ["trimmer", "hand, with a trimmer"]] },
  { key: "price", label: "Price of a sheet", usual: "", about: "If you like to see what it costs; such as 0.40 EUR" },
  { key: "printed", label: "It is printed", kind: "flag", usual: "no" },
];

/** Draws the view. */
export function draw(place) {
  if (!shelf) fetchShelf();
  const state = present();
  add(
    place,
    el("h1", {}, "What do you want to make?"),
    state && state.name !== null ? goOn(state) : null,
    el("form", { class: "sheet-of-paper wishes", novalidate: true, "aria-label": "What it is for, and what is on your table", onsubmit: onAsk }, wishes(), el("div", { class: "buttons" }, el("button", { type: "submit", class: "main", id: "ask" }, "Show what can be made"))),
    el("section", { id: "choices", class: "choices", "aria-label": "What can be made" }),
    el("div", { id: "shelf", class: "shelf" }),
  );
  drawChoices(document.getElementById("choices"), shelf, wanted, begin);
  drawShelf();
}

function goOn(state) {
  return el("p", { class: "go-on" }, el("b", {}, state.name), " is on the table: ", el("a", { href: "#pieces" }, "go on with it"), ".");
}

function wishes() {
  return el("div", { class: "fields" }, WISHES.map(wish));
}

function wish(one) {
  const id = `wish-${one.key}`;
  const value = valueOf(one);
  const about = one.about ? `${id}-about` : null;
  const label = el("label", { for: id }, one.label);
  const wrong = el("div", { id: `${id}-wrong`, class: "mistake" });
  const described = [about, wrong.id].filter(Boolean).join(" ");
  if (one.kind === "flag") {
    const box = el("input", { id, type: "checkbox", checked: value === "yes", onchange: () => keep(one, box.checked ? "yes" : "no", true) });
    return el("div", { class: "field kind-flag" }, el("label", { class: "flag", for: id }, box, el("span", {}, one.label)));
  }
  const choices = one.key === "paper" ? (shelf?.papers ?? one.choices) : one.choices;
  const control = one.kind === "choice"
    ? el("select", { id, "aria-describedby": described, onchange: () => keep(one, control.value, true) }, choices.map(([name, words]) => el("option", { value: name, selected: name.toLowerCase() === value.toLowerCase() }, words)))
    : el("input", { id, type: "text", inputmode: one.key === "copies" ? "numeric" : null, autocomplete: "off", spellcheck: "false", required: one.key === "size" || null, "aria-describedby": described, value, oninput: () => keep(one, control.value), onchange: () => keep(one, control.value, true) });
  return el("div", { class: "field" }, label, control, one.about ? el("p", { id: about, class: "about" }, one.key === "size" ? sizeAbout() : one.about) : null, wrong);
}

function sizeAbout() {
  return valueOf(WISHES[0]) === "flat" ? FLAT_ABOUT : BOX_ABOUT;
}

function valueOf(one) {
  return draftOf(`wish-${one.key}`) ?? one.usual;
}

function keep(one, value, isWhole = false) {
  keepDraft(`wish-${one.key}`, value);
  if (!isWhole) return;
  if (one.key === "what") {
    const about = document.getElementById("wish-size-about");
    if (about) about.textContent = sizeAbout();
  }
  const isCounted = check(document.getElementById("wish-copies"), isCount(valueOf(WISHES[2])), COUNT_WORDS);
  if (isAsked && isCounted) tryAll(shelf, wanted());
}

/** What is wanted, as the server takes it. */
function wanted() {
  const value = Object.fromEntries(WISHES.map((one) => [one.key, valueOf(one).trim()]));
  const wish = { what: value.what, size: value.size, copies: Number(value.copies), paper: value.paper, caliper: value.caliper, cut_by: value.cut_by, printed: value.printed === "yes", set: {} };
  if (value.price !== "") wish.price = value.price;
  return wish;
}

function onAsk(event) {
  event.preventDefault();
  const size = document.getElementById("wish-size");
  const copies = document.getElementById("wish-copies");
  const isSized = check(size, size.value.trim() !== "", "Say how large it is.");
  const isCounted = check(copies, isCount(copies.value), COUNT_WORDS);
  if (!isSized) size.focus();
  else if (!isCounted) copies.focus();
  if (!isSized || !isCounted || !shelf) return;
  isAsked = true;
  tryAll(shelf, wanted());
}

const COUNT_WORDS = "A whole number of 1 or more, such as 6.";

function isCount(text) {
  return /^\d+$/.test(text.trim()) && Number(text) > 0;
}

function check(input, isRight, words) {
  input.setAttribute("aria-invalid", String(!isRight));
  document.getElementById(`${input.id}-wrong`).replaceChildren(isRight ? "" : el("p", {}, el("b", {}, words)));
  return isRight;
}

/** Begins a project with the chosen construction, as it was tried. */
async function begin(wish) {
  if (!(await mayLeave())) return;
  if (await openWith("/begin", wish)) {
    forget();
    isAsked = false;
    location.hash = "#pieces";
  }
}

async function fetchShelf() {
  try {
    shelf = await ask("/shelf");
  } catch (error) {
    notice("refused", error.message);
    return;
  }
  const papers = document.getElementById("wish-paper");
  if (papers) papers.replaceWith(wish(WISHES[3]).querySelector("select"));
  drawShelf();
}

function drawShelf() {
  const place = document.getElementById("shelf");
  if (!place || !shelf) return;
  place.replaceChildren(
    shelf.projects.length
      ? el("section", { "aria-labelledby": "own-title" }, el("h2", { id: "own-title" }, "Your projects in this folder"), el("ul", { class: "own" }, shelf.projects.map((project) => el("li", {}, button(project.name || project.file, () => openOne({ project: project.file }), { class: "wide", "aria-label": `Open ${project.name || project.file}` }), el("span", { class: "about" }, project.file)))))
      : "",
    el(
      "section",
      { "aria-labelledby": "examples-title" },
      el("h2", { id: "examples-title" }, "Or take an example and make it yours"),
      el("p", { class: "about" }, `${counted(shelf.examples.length, "project")} of the plant-swap morning. An example opens as a copy: nothing is overwritten.`),
      el("ul", { class: "cards" }, shelf.examples.map(example)),
    ),
  );
}

function example(one) {
  return el("li", { class: "card" }, picture(one.picture, "", "folded-one"), el("h3", {}, one.name), el("p", { class: "about" }, one.about), button("Open it", () => openOne({ example: one.id }), { "aria-label": `Open it: the example ${one.name}` }));
}

async function openOne(what) {
  if (!(await mayLeave())) return;
  if (await openWith("/open", what)) location.hash = "#pieces";
}
