/**
 * What is printed on a piece: colours, pictures, patterns, words. Pictures can be moved and turned by hand.
 */

import { button, el, folded, idOf, picture, svg } from "./build.js";
import { carriable } from "./carry.js";
import { formOf, otherMistakesOf, patternsKnown, tableOf } from "./forms.js";
import { spoken, written } from "./lengths.js";
import { change, present, refused, say } from "./state.js";
import { query, sendFile } from "./talk.js";

/**
 * The list of artwork of a piece.
 *
 * @param {(string|number)[]} place of the piece
 * @param {object} piece as the project has it
 * @param {string} name
 * @param {((item: object) => Promise<any>)|null} begin adds the first one where the piece's own table is not there yet
 */
export function artworks(place, piece, name, begin = null) {
  const list = piece.artwork ?? [];
  const add = (item, words) => (begin ? begin(item) : change(`the ${words} of ${name}`, [{ at: [...place, "artwork"], add: item }]));
  return el(
    "div",
    { class: "group" },
    el("h3", {}, "Printed on it"),
    list.map((one, index) => artwork([...place, "artwork", index], one, index, list.length, name)),
    list.length ? el("p", { class: "about" }, "Painted in this order: what comes later lies on top.") : el("p", { class: "about" }, "Nothing yet."),
    newOnes(place, add),
  );
}

function newOnes(place, add) {
  const id = idOf("new-art", ...place);
  const file = el("input", { id, type: "file", accept: "image/png,image/jpeg,image/webp,image/svg+xml", onchange: () => upload(file, add) });
  file.dataset.width = present().units === "mm" ? "30 mm" : "1 in";
  return el(
    "div",
    { class: "stack" },
    el(
      "div",
      { class: "buttons" },
      button("Add a colour", () => add({ colour: "#cfdcbb" }, "new colour"), { id: `${id}-colour` }),
      button("Add words", () => add({ text: "Words", size: "14 pt" }, "new words"), { id: `${id}-words` }),
    ),
    el("div", { class: "field" }, el("label", { for: id }, "Add a picture (PNG, JPEG, WebP or SVG, 64 MB at most)"), file),
    patternsKnown().length ? folded(`${id}-patterns`, "Add a pattern", swatches(`${id}-swatch`, null, (kind) => add(newPattern(kind), "new pattern"))) : null,
  );
}

/** A pattern as it usually is, in the project's units. */
function newPattern(kind) {
  const usual = patternsKnown().find(({ name }) => name === kind)?.repeat?.[present().units];
  const item = { pattern: kind, repeat: usual ?? (present().units === "mm" ? "10 mm" : "3/8 in") };
  return kind === "words" ? { ...item, words: ["swap", "seeds"] } : item;
}

async function upload(input, add) {
  const [file] = input.files;
  if (!file) return;
  try {
    const answer = await sendFile(`/upload?${query({ name: file.name })}`, file);
    say(`${file.name}: ${answer.about}`);
    await add({ file: answer.path, width: input.dataset.width }, `picture ${answer.path}`);
  } catch (error) {
    refused(error);
  }
  input.value = "";
}

function kindOf(one) {
  if (one.file !== undefined) return "file";
  if (one.pattern !== undefined) return "pattern";
  return one.text !== undefined ? "text" : "colour";
}

function artwork(place, one, index, count, name) {
  const kind = kindOf(one);
  const form = formOf(`artwork:${kind}`);
  const what = one.file ?? one.pattern ?? one.text ?? one.colour ?? "";
  const title = `${form?.title ?? kind}: ${String(what).split("\n")[0]}${one.face === "back" ? ", on the back" : ""}`;
  const list = place.slice(0, -1);
  const words = `artwork ${index + 1} of ${name}`;
  return el(
    "div",
    { class: "one-of" },
    folded(
      idOf("open", ...place),
      title,
      kind === "pattern" ? folded(idOf("swatch", ...place), "Choose another by its picture", swatches(idOf("pick", ...place), one, (pattern) => change(`the pattern of ${words}`, [{ at: [...place, "pattern"], set: pattern }]))) : null,
      form ? tableOf(form.table, place, words) : null,
      otherMistakesOf([{ table: `artwork:${kind}` }], place),
      el(
        "div",
        { class: "buttons" },
        index > 0 ? button("Paint it earlier", () => change(`the order of artwork of ${name}`, [{ at: place, move_to: index - 1 }]), { "aria-label": `Paint it earlier: ${title}` }) : null,
        index < count - 1 ? button("Paint it later", () => change(`the order of artwork of ${name}`, [{ at: place, move_to: index + 1 }]), { "aria-label": `Paint it later: ${title}` }) : null,
        button("Take it away", () => change(`taking away ${words}`, [count === 1 ? { at: list, remove: true } : { at: place, remove: true }]), { "aria-label": `Take it away: ${title}` }),
      ),
    ),
  );
}

function swatches(id, one, choose) {
  const look = { palette: one?.palette, colours: Array.isArray(one?.colours) ? one.colours.join(",") : "" };
  return el(
    "div",
    { class: "swatches" },
    patternsKnown().map(({ name, title }) => button([picture(`/picture/pattern.svg?${query({ kind: name, ...look })}`, "", ""), el("span", {}, title ?? name)], () => choose(name), { id: `${id}-${name}`, "aria-pressed": one ? String(one.pattern === name) : null })),
  );
}

/** A face of a piece at true proportion, on which pictures can be moved and turned by hand. */
export function artPlace(known, face, place, isStale) {
  const url = face === "front" ? known.picture : known.back;
  const overlay = svg("svg", { viewBox: known.frame_mm.join(" "), role: "group", "aria-label": `Pictures on the ${face} of ${known.name}` });
  const words = el("figcaption", { id: idOf("art-words", known.id, face) }, `${face === "front" ? "Front" : "Back"}, ${known.size}. Drag a picture to its place, or choose it and use the arrow keys; R turns it, Enter puts it down, Escape puts it back.`);
  for (const art of known.art.filter((one) => one.face === face)) overlay.append(artBox(art, place, known, words));
  return el("figure", {}, el("div", { class: "art-place" }, picture(url, `${face === "front" ? "Front" : "Back"} of ${known.name}`, isStale ? "stale" : ""), isStale ? null : overlay), words);
}

function artBox(art, place, known, words) {
  const [x, y, width, height] = art.box_mm;
  const { units } = present();
  const home = { x, y, turn: art.turn_deg };
  let at = { ...home };
  const label = () => `Picture ${art.index + 1}, ${spoken(at.x, units)} from the left, ${spoken(at.y, units)} from the top`;
  const node = svg("rect", { id: idOf("art", known.id, art.face, art.index), class: "art-box", x, y, width, height, tabindex: 0, role: "button", "aria-label": label(), "aria-describedby": words.id });
  const show = (next) => {
    at = next;
    node.setAttribute("x", at.x);
    node.setAttribute("y", at.y);
    node.setAttribute("transform", `rotate(${at.turn - home.turn} ${at.x + width / 2} ${at.y + height / 2})`);
    node.setAttribute("aria-label", label());
    words.textContent = `${label()}${at.turn === home.turn ? "" : `, turned by ${at.turn} degrees`}.`;
    say(words.textContent);
  };
  carriable(node, { units, where: () => at, isHeld: () => document.activeElement === node, chosen: () => node.focus(), moved: show, back: () => show(home), put: (next) => putArt(art, place, next, home, known) });
  return node;
}

function putArt(art, place, at, home, known) {
  const { units } = present();
  const item = [...place, "artwork", art.index];
  const edits = [];
  if (at.x !== home.x || at.y !== home.y) edits.push({ at: [...item, "at"], set: `${written(at.x, units)}, ${written(at.y, units)}` });
  if (at.turn !== home.turn) edits.push(at.turn === 0 ? { at: [...item, "turn"], remove: true } : { at: [...item, "turn"], set: `${at.turn} deg` });
  if (edits.length) return change(`moving picture ${art.index + 1} of ${known.name}`, edits);
  return say("The picture lies where it lay.");
}
