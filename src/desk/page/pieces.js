/**
 * Pieces: everything that is cut, with its picture; the chosen one with all that can be said of it.
 */

import { add, button, counted, el, folded, idOf, picture } from "./build.js";
import { remember, remembered } from "./drafts.js";
import { fetchForms, formOf, haveForms, variantsOf } from "./forms.js";
import { drawPart, drawPiece, drawPieceOfPart } from "./piece_form.js";
import { isWrong, summary } from "./mistakes.js";
import { change, listen, notice, present } from "./state.js";

/** The last pieces and objects that were sound: they stay on the page, greyed, while something is wrong. */
let lastSound = { name: null, pieces: [], objects: [] };

listen((what) => {
  if (what !== "project") return;
  lastSound = { name: null, pieces: [], objects: [] };
  remember("piece", "");
});

/** Draws the view. */
export function draw(place) {
  if (!haveForms()) {
    fetchForms().then(() => redraw(place), (error) => notice("refused", error.message));
    add(place, el("h1", {}, "Pieces"), el("p", { class: "about" }, "Fetching the forms …"));
    return;
  }
  const state = present();
  if (state.is_sound || lastSound.name !== state.name) lastSound = { name: state.name, pieces: state.pieces, objects: state.objects };
  const doc = state.doc;
  add(place, el("h1", {}, "Pieces"), summary("pieces-mistakes"));
  if (doc) add(place, el("p", { class: "lead" }, jobWords(doc), " ", el("a", { href: "#paper/job" }, "Change that")));
  if (!doc) {
    add(place, el("p", { class: "lead" }, "The text of the project cannot be read as it is. ", el("a", { href: "#text" }, "Set it right as text"), "."));
    return;
  }
  const chosen = chosenOf(doc);
  add(place, el("div", { class: "two" }, el("div", {}, index(doc, chosen), adding(doc)), el("div", { id: "chosen", class: "stack" }, chosen ? particulars(doc, chosen) : nothing())));
}

function jobWords(doc) {
  const { copies, cut_by: cutBy } = doc.job ?? {};
  const by = cutBy === "trimmer" ? "cut by hand with a trimmer" : "cut by machine";
  return `${copies === undefined ? "As many copies as the editions say" : counted(copies, "copy", "copies")}, ${by}.`;
}

function redraw(place) {
  if (!place.isConnected || !place.classList.contains("view-pieces")) return;
  place.replaceChildren();
  draw(place);
}

/** Pieces and objects for pictures, and whether they are of an earlier state. */
export function seen() {
  return { ...lastSound, isStale: !present().is_sound };
}

/** What is chosen: by the route, else as last time, else the first. */
function chosenOf(doc) {
  const [list, position, inner] = (location.hash.startsWith("#pieces/") ? location.hash.slice(8) : (remembered("piece") ?? "")).split("/").map(decodeURIComponent);
  const at = Number(position);
  if ((list === "piece" || list === "part") && doc[list]?.[at]) {
    const isThere = list === "part" && inner && seen().pieces.some(({ id, part }) => id === inner && part === doc.part[at].id);
    remember("piece", `${list}/${at}${isThere ? `/${encodeURIComponent(inner)}` : ""}`);
    return { list, at, inner: isThere ? inner : undefined };
  }
  if (doc.part?.length) return { list: "part", at: 0 };
  return doc.piece?.length ? { list: "piece", at: 0 } : null;
}

function index(doc, chosen) {
  const parts = (doc.part ?? []).map((part, at) => partEntries(part, at, chosen));
  const pieces = (doc.piece ?? []).map((piece, at) => {
    const known = seen().pieces.find((one) => one.list === "piece" && one.position === at);
    const is = chosen?.list === "piece" && chosen.at === at;
    return entry(`#pieces/piece/${at}`, piece.name ?? piece.id ?? `Piece ${at + 1}`, known ? `${known.size}, ${known.count} in all` : "", known?.picture, is, isWrong(["piece", at]));
  });
  return el("nav", { "aria-label": "What is cut" }, el("ul", { class: "index" }, parts, pieces));
}

function partEntries(part, at, chosen) {
  const { pieces, objects } = seen();
  const own = pieces.filter((one) => one.part === part.id);
  const is = chosen?.list === "part" && chosen.at === at;
  const object = objects.find((one) => one.id === part.id);
  const title = formOf(`part:${part.construction}`)?.title ?? part.construction ?? "";
  return [
    entry(`#pieces/part/${at}`, part.name ?? part.id ?? title, title, object?.picture ?? own[0]?.picture, is && !chosen.inner, isWrong(["part", at])),
    own.map((one) => entry(`#pieces/part/${at}/${encodeURIComponent(one.id)}`, own.length === 1 ? "Its paper and print" : one.name, `${one.size}, ${one.count} in all`, one.picture, is && chosen.inner === one.id, false, "within")),
  ];
}

function entry(href, name, about, url, isChosen, isBad, kind = "") {
  return el(
    "li",
    { class: kind },
    el(
      "a",
      { href, id: idOf("go", href), "aria-current": isChosen ? "true" : null },
      picture(url, "", seen().isStale ? "stale" : ""),
      el("span", {}, el("b", {}, name), el("span", { class: "about" }, about), isBad ? el("span", { class: "bad" }, "Something is wrong here") : null),
    ),
  );
}

function particulars(doc, { list, at, inner }) {
  if (list === "piece") return drawPiece(at, doc.piece[at], seen());
  return inner ? drawPieceOfPart(at, doc.part[at], inner, seen()) : drawPart(at, doc.part[at], seen());
}

function nothing() {
  return el("p", { class: "sheet-of-paper empty" }, "Nothing is cut yet. Add a piece, or a box or card that is worked out from its size.");
}

function adding(doc) {
  const shapes = variantsOf("shape");
  const constructions = variantsOf("part");
  const stock = doc.stock?.[0]?.id;
  const shape = select("new-shape", "Shape", shapes);
  const construction = select("new-construction", "What", constructions);
  return folded(
    "add-something",
    "Add something",
    el("div", { class: "stack" },
      el("div", { class: "new-ones" }, shape, button("Add a piece", () => addPiece(doc, shape.querySelector("select").value, stock), { id: "add-piece" })),
      el("div", { class: "new-ones" }, construction, button("Add a box or card", () => addPart(doc, construction.querySelector("select").value, stock), { id: "add-part" }))),
  );
}

function select(id, label, variants) {
  return el("div", { class: "field" }, el("label", { for: id }, label), el("select", { id }, variants.map(({ name, title }) => el("option", { value: name }, title))));
}

async function addPiece(doc, kind, stock) {
  const piece = { id: newId("piece", doc), name: `Piece ${(doc.piece ?? []).length + 1}`, stock: stock ?? "card", shape: { kind, ...firstSizes(kind) } };
  if (await change("the new piece", [{ at: ["piece"], add: piece }])) location.hash = `#pieces/piece/${(present().doc.piece ?? []).length - 1}`;
}

/** Sizes that a new piece begins with, so that it can be seen and then changed. */
function firstSizes(kind) {
  const [small, large, corner] = present().units === "mm" ? ["50 mm", "75 mm", "5 mm"] : ["2 in", "3 in", "1/4 in"];
  switch (kind) {
    case "rectangle":
    case "ellipse":
      return { width: small, height: large };
    case "rounded-rectangle":
      return { width: small, height: large, radius: corner };
    case "circle":
      return { diameter: small };
    case "strip":
      return { across: large, panels: [small, small], fold: "mountain" };
    case "polygon":
      return { sides: 6, side: small };
    default:
      return {};
  }
}

async function addPart(doc, construction, stock) {
  const form = formOf(`part:${construction}`);
  const isFlat = (form?.dimensions ?? 3) < 3;
  const size = present().units === "mm" ? (isFlat ? "100 x 70 mm" : "80 x 60 x 30 mm") : isFlat ? "4 x 3 in" : "3 x 2 1/4 x 1 1/4 in";
  const part = { id: newId(construction, doc), name: form?.title ?? construction, construction, [form?.sizes?.[0] ?? (isFlat ? "outside" : "contents")]: size, stock: stock ?? "card" };
  if (await change(`the new ${part.name}`, [{ at: ["part"], add: part }])) location.hash = `#pieces/part/${(present().doc.part ?? []).length - 1}`;
}

function newId(word, doc) {
  const taken = new Set([...(doc.piece ?? []), ...(doc.part ?? [])].map(({ id }) => id));
  let id = word;
  for (let count = 2; taken.has(id); count += 1) id = `${word}-${count}`;
  return id;
}

/** How many of something, in words for a caption. */
export function manyOf(piece) {
  return `${piece.size}, ${counted(piece.count, "piece")} in all`;
}
