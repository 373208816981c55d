/**
 * The particulars of a piece or of a box: pictures, then what can be said of it, in groups.
 */

import { button, counted, el, folded, idOf, picture } from "./build.js";
import { artworks, artPlace } from "./artwork.js";
import { question } from "./dialog.js";
import { formOf, otherMistakesOf, tableOf, variantsOf } from "./forms.js";
import { change, present } from "./state.js";

/** A piece of its own. */
export function drawPiece(at, piece, seen) {
  const name = piece.name ?? piece.id ?? `piece ${at + 1}`;
  const place = ["piece", at];
  const known = seen.pieces.find((one) => one.list === "piece" && one.position === at);
  const kind = piece.shape?.kind;
  return [
    el(
      "section",
      { class: "sheet-of-paper", "aria-labelledby": "piece-title" },
      el("h2", { id: "piece-title" }, name),
      known ? faces(known, seen.isStale, place) : null,
      otherMistakesOf([{ table: "piece" }, { table: `shape:${kind}`, under: ["shape"] }, ...(piece.mount ? [{ table: "mount", under: ["mount"] }] : [])], place),
      tableOf("piece", place, name, { moreTitle: "Grain, pattern, turning and more" }),
    ),
    el("section", { class: "sheet-of-paper", "aria-label": "Shape and layers" }, shape(place, piece, name), mount(place, piece, name)),
    el("section", { class: "sheet-of-paper", "aria-label": "What is done to it" }, operations(place, piece, name)),
    el("section", { class: "sheet-of-paper", "aria-label": "What is printed on it" }, artworks(place, piece, name)),
    el("div", { class: "buttons" }, order("piece", at), button(`Take ${name} away`, () => takeAway("piece", at, name), { id: "take-away" })),
  ];
}

/** A box, card or envelope that is worked out from its size. */
export function drawPart(at, part, seen) {
  const name = part.name ?? part.id;
  const place = ["part", at];
  const own = formOf(`part:${part.construction}`);
  const pieces = seen.pieces.filter((one) => one.part === part.id);
  const object = seen.objects.find((one) => one.id === part.id);
  return [
    el(
      "section",
      { class: "sheet-of-paper", "aria-labelledby": "piece-title" },
      el("h2", { id: "piece-title" }, name),
      own?.about ? el("p", { class: "about" }, `${own.title}: ${own.about}`) : null,
      el("div", { class: "faces" }, object ? figure(object.picture, `${name}, folded`, "Folded and put together", seen.isStale) : null),
      otherMistakesOf([{ table: "part" }, { table: `part:${part.construction}` }], place),
      tableOf("part", place, name, { moreTitle: "Other sizes, rulers and grain" }),
    ),
    own?.fields.length ? el("section", { class: "sheet-of-paper group", "aria-labelledby": "build-title" }, el("h3", { id: "build-title" }, "How it is built"), tableOf(`part:${part.construction}`, place, name, { moreTitle: "Flaps, clearances and what else can be chosen" })) : null,
    pieces.length
      ? el("section", { class: "sheet-of-paper", "aria-labelledby": "of-title" }, el("h3", { id: "of-title" }, "Its pieces"), el("ul", { class: "cards" }, pieces.map((one) => el("li", { class: "card" }, picture(one.picture, `${one.name}, flat`, `folded-one${seen.isStale ? " stale" : ""}`), el("h3", {}, one.name), el("p", { class: "about" }, `${one.size}, ${counted(one.creases, "crease")}`), el("a", { class: "button", href: `#pieces/part/${at}/${encodeURIComponent(one.id)}` }, `Paper and print of ${one.name}`)))))
      : null,
    el("div", { class: "buttons" }, order("part", at), button(`Take ${name} away`, () => takeAway("part", at, name), { id: "take-away" })),
  ];
}

/** One piece of a box: its paper and print. */
export function drawPieceOfPart(at, part, id, seen) {
  const known = seen.pieces.find((one) => one.id === id);
  const word = id.slice(String(part.id).length + 1);
  const inner = (part.piece ?? []).findIndex((one) => one.piece === word);
  const name = known?.name ?? word;
  const place = ["part", at, "piece", inner];
  const said = inner >= 0 ? part.piece[inner] : null;
  const begin = (more) => change(`the change of ${name}`, [{ at: ["part", at, "piece"], add: { piece: word, ...more } }]);
  return [
    el(
      "section",
      { class: "sheet-of-paper", "aria-labelledby": "piece-title" },
      el("h2", { id: "piece-title" }, name),
      el("p", { class: "about" }, "A piece of ", el("a", { href: `#pieces/part/${at}` }, part.name ?? part.id), ". Its shape follows from the size of that."),
      known ? faces(known, seen.isStale, place) : null,
      said ? [otherMistakesOf([{ table: "piece" }], place), tableOf("piece", place, name, { without: ["name", "per_copy"], moreTitle: "Grain, pattern, turning and more" })] : el("div", { class: "buttons" }, button("Choose a paper of its own", () => begin({ stock: part.stock }), { id: "own-paper" })),
    ),
    el("section", { class: "sheet-of-paper", "aria-label": "What is printed on it" }, artworks(place, said ?? {}, name, said ? null : (item) => begin({ artwork: [item] }))),
    said ? el("section", { class: "sheet-of-paper", "aria-label": "What is done to it" }, operations(place, said, name)) : null,
  ];
}

function faces(known, isStale, place) {
  return el(
    "div",
    { class: "faces" },
    known.art?.some(({ face }) => face === "front") ? artPlace(known, "front", place, isStale) : figure(known.picture, `Front of ${known.name}`, `Front, ${known.size}`, isStale),
    known.back ? (known.art?.some(({ face }) => face === "back") ? artPlace(known, "back", place, isStale) : figure(known.back, `Back of ${known.name}`, "Back", isStale)) : null,
  );
}

function figure(url, words, caption, isStale) {
  return el("figure", {}, picture(url, words, isStale ? "stale" : ""), el("figcaption", {}, isStale ? `${caption}; as it was before something went wrong` : caption));
}

function shape(place, piece, name) {
  const kinds = variantsOf("shape");
  const kind = piece.shape?.kind ?? "";
  if (!piece.shape && piece.mount) return null;
  const id = idOf("f", ...place, "shape", "kind");
  const all = kinds.some((one) => one.name === kind) || kind === "" ? kinds : [{ name: kind, title: kind }, ...kinds];
  const control = el("select", { id, onchange: () => turnInto(place, piece, control.value, name) }, kind === "" ? el("option", { value: "" }, "choose one") : null, all.map((one) => el("option", { value: one.name, selected: one.name === kind }, one.title)));
  return el("div", { class: "group stack" }, el("h3", {}, "Shape"), el("div", { class: "fields" }, el("div", { class: "field" }, el("label", { for: id }, "Kind"), control)), tableOf(`shape:${kind}`, [...place, "shape"], name, { moreTitle: "More of its shape" }));
}

/** Another shape keeps what both have. */
function turnInto(place, piece, kind, name) {
  const keys = new Set((formOf(`shape:${kind}`)?.fields ?? []).map(({ key }) => key));
  const kept = Object.fromEntries(Object.entries(piece.shape ?? {}).filter(([key]) => keys.has(key)));
  return change(`the shape of ${name}`, [{ at: [...place, "shape"], set: { kind, ...kept } }]);
}

function mount(place, piece, name) {
  if (piece.mount) {
    return el("div", { class: "group stack" }, el("h3", {}, "Layer"), tableOf("mount", [...place, "mount"], name, { moreTitle: "Anchor, plies and more" }), el("div", { class: "buttons" }, button("It is no layer", () => change(`the layer of ${name}`, [{ at: [...place, "mount"], remove: true }]), { id: "no-mount" })));
  }
  const others = present().pieces.filter((one) => one.id !== piece.id);
  if (!others.length) return null;
  const id = idOf("new-mount", ...place);
  const reveal = present().units === "mm" ? "3 mm" : "1/8 in";
  const control = el("select", { id }, others.map((one) => el("option", { value: one.id }, one.name)));
  return el("div", { class: "group" }, el("h3", {}, "Layer"), el("p", { class: "about" }, `Laid on another piece it takes that one's shape and shows ${reveal} of it all round.`), el("div", { class: "new-ones" }, el("div", { class: "field" }, el("label", { for: id }, "Lay it on"), control), button("Make it a layer", () => change(`the layer of ${name}`, [{ at: [...place, "mount"], set: { on: control.value, reveal } }, ...(piece.shape ? [{ at: [...place, "shape"], remove: true }] : [])]), { id: "make-mount" })));
}

function operations(place, piece, name) {
  const list = piece.operation ?? [];
  const kinds = variantsOf("operation");
  const id = idOf("new-operation", ...place);
  const control = el("select", { id }, kinds.map((one) => el("option", { value: one.name }, one.title)));
  return el(
    "div",
    { class: "group" },
    el("h3", {}, "Creases, cuts and holes"),
    list.map((one, index) => operation([...place, "operation", index], one, index, name)),
    list.length ? null : el("p", { class: "about" }, "None besides those of its shape."),
    el("div", { class: "new-ones" }, el("div", { class: "field" }, el("label", { for: id }, "Add"), control), button("Add it", () => change(`the new ${control.value} of ${name}`, [{ at: [...place, "operation"], add: { kind: control.value, ...firstPlace(control.value) } }]), { id: `${id}-do` })),
  );
}

/** Where a new operation begins, to be seen and then changed. */
function firstPlace(kind) {
  const isMetric = present().units === "mm";
  if (kind === "hole") return isMetric ? { at: "6 mm, 6 mm", diameter: "3 mm" } : { at: "1/4 in, 1/4 in", diameter: "1/8 in" };
  const at_y = isMetric ? "20 mm" : "1 in";
  if (kind === "crease") return { at_y, fold: "valley" };
  return kind === "perforation" ? { at_y, cut_length: isMetric ? "3 mm" : "1/8 in", gap: isMetric ? "1 mm" : "1/32 in" } : { at_y };
}

function operation(place, one, index, name) {
  const form = formOf(`operation:${one.kind}`);
  const where = one.at_x ? `${one.at_x} from the left` : one.at_y ? `${one.at_y} from the top` : one.at ? `at ${one.at}` : one.from ? `from ${one.from}` : "along a path";
  const title = `${form?.title ?? one.kind}, ${where}`;
  return el(
    "div",
    { class: "one-of" },
    folded(idOf("open", ...place), title, form ? tableOf(form.table, place, `${one.kind} ${index + 1} of ${name}`) : el("p", { class: "about" }, "Change it as text."), otherMistakesOf([{ table: `operation:${one.kind}` }], place), el("div", { class: "buttons" }, button("Take it away", () => change(`taking away ${one.kind} ${index + 1} of ${name}`, [{ at: place, remove: true }]), { "aria-label": `Take it away: ${title}` }))),
  );
}

function order(list, at) {
  const count = (present().doc[list] ?? []).length;
  const move = async (to) => {
    if (await change("the order", [{ at: [list, at], move_to: to }])) location.hash = `#pieces/${list}/${to}`;
  };
  if (count < 2) return null;
  return [button("Earlier", () => move(at - 1), { disabled: at === 0, id: "earlier", "aria-label": "Earlier in the list" }), button("Later", () => move(at + 1), { disabled: at === count - 1, id: "later", "aria-label": "Later in the list" })];
}

async function takeAway(list, at, name) {
  const sure = await question(`Take ${name} away?`, ["Undo brings it back."], [{ label: "Take it away", value: true, usual: true }, { label: "Leave it", value: null }]);
  if (sure && (await change(`taking away ${name}`, [{ at: [list, at], remove: true }]))) location.hash = "#pieces";
}
