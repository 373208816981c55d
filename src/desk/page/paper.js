/**
 * Paper: the stock with its sheets on hand, offcuts of earlier jobs, and what prints and cuts it.
 */

import { add, button, el, folded, idOf } from "./build.js";
import { fetchForms, haveForms, otherMistakesOf, tableOf } from "./forms.js";
import { summary } from "./mistakes.js";
import { change, notice, present } from "./state.js";

/** Draws the view. */
export function draw(place) {
  add(place, el("h1", {}, "Paper"));
  if (location.hash === "#paper/job") requestAnimationFrame(goToJob);
  if (!haveForms()) {
    fetchForms().then(() => again(place), (error) => notice("refused", error.message));
    add(place, el("p", { class: "about" }, "Fetching the forms …"));
    return;
  }
  const doc = present().doc;
  add(place, summary("paper-mistakes"));
  if (!doc) {
    add(place, el("p", { class: "lead" }, "The text of the project cannot be read as it is. ", el("a", { href: "#text" }, "Set it right as text"), "."));
    return;
  }
  const stocks = (doc.stock ?? []).map((stock, at) => ({ stock, at }));
  const whole = stocks.filter(({ stock }) => stock.offcut_of === undefined);
  const offcuts = stocks.filter(({ stock }) => stock.offcut_of !== undefined);
  add(
    place,
    el("div", { class: "stack" }, whole.map(({ stock, at }) => stockOf(stock, at))),
    el("div", { class: "buttons" }, button("Add a paper", () => addStock(doc), { id: "add-stock" }), whole.length ? button("Add an offcut", () => addOffcut(doc, whole[0].stock), { id: "add-offcut" }) : null),
    offcuts.length ? el("section", { class: "stack", "aria-labelledby": "offcuts-title" }, el("h2", { id: "offcuts-title" }, "Offcuts kept from earlier jobs"), offcuts.map(({ stock, at }) => stockOf(stock, at))) : "",
    job(doc),
  );
}

/** Brings the job's fields into sight, for those who come for them. */
function goToJob() {
  const title = document.getElementById("job-title");
  if (!title) return;
  history.replaceState(null, "", "#paper");
  title.scrollIntoView();
}

function again(place) {
  if (!place.classList.contains("view-paper")) return;
  place.replaceChildren();
  draw(place);
}

function stockOf(stock, at) {
  const name = stock.name ?? stock.id ?? `Paper ${at + 1}`;
  const id = idOf("stock", at);
  const place = ["stock", at];
  const isUsed = usersOf(stock.id).length > 0;
  return el(
    "section",
    { class: "sheet-of-paper", "aria-labelledby": id },
    el("h2", { id }, name),
    otherMistakesOf([{ table: "stock" }], place),
    tableOf("stock", place, name, { moreTitle: "More of this paper" }),
    el("div", { class: "buttons" }, isUsed ? el("p", { class: "about" }, `Used by ${usersOf(stock.id).join("; ")}.`) : button(`Take ${name} away`, () => change(`taking away ${name}`, [{ at: place, remove: true }]), { id: `${id}-away` })),
  );
}

function usersOf(id) {
  const { doc } = present();
  const inner = (doc.part ?? []).flatMap((part) => (part.piece ?? []).map((one) => ({ stock: one.stock, name: `${part.name ?? part.id}, ${one.piece}` })));
  const users = [...(doc.piece ?? []), ...(doc.part ?? []), ...inner].filter((one) => one.stock === id).map((one) => one.name ?? one.id);
  return [...users, ...(doc.stock ?? []).filter((one) => one.offcut_of === id).map((one) => one.name ?? one.id)];
}

function addStock(doc) {
  const id = newId("card", doc);
  return change("the new paper", [{ at: ["stock"], add: { id, name: `Paper ${(doc.stock ?? []).length + 1}`, format: present().units === "mm" ? "a4" : "letter", caliper: "0.3 mm" } }]);
}

function addOffcut(doc, stock) {
  const format = present().units === "mm" ? "150 x 100 mm" : "6 x 4 in";
  return change("the new offcut", [{ at: ["stock"], add: { id: newId("offcut", doc), name: `Offcut of ${stock.name ?? stock.id}`, offcut_of: stock.id, format } }]);
}

function newId(word, doc) {
  const taken = new Set((doc.stock ?? []).map(({ id }) => id));
  let id = word;
  for (let count = 2; taken.has(id); count += 1) id = `${word}-${count}`;
  return id;
}

function job(doc) {
  return el(
    "section",
    { class: "sheet-of-paper", "aria-labelledby": "job-title" },
    el("h2", { id: "job-title" }, "The job, its printer and its cutter"),
    el("p", { class: "about" }, doc.job?.printer ? "The printer's profile is used for every page. " : "No printer is named: what is usual is taken. ", el("a", { href: "#measure/printer" }, "Measure the printer"), " or ", el("a", { href: "#measure/cutter" }, "the cutter"), "."),
    otherMistakesOf([{ table: "job" }], ["job"]),
    tableOf("job", ["job"], "the job", { moreTitle: "More of the job" }),
    folded("profiles-how", "What a profile is", el("p", {}, "A small file beside the project that says what was measured of a machine: how it scales, shifts and turns, how near to the edge it reaches, and how heavy paper may be. Measuring writes it and names it here.")),
  );
}
