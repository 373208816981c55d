/**
 * One sheet on the table: its picture, front and back, and over it every piece as something that can be chosen and carried.
 */

import { counted, el, picture, svg } from "./build.js";
import { carriable } from "./carry.js";
import { spoken } from "./lengths.js";
import { present } from "./state.js";

/**
 * @typedef {object} Hands what the sheets' view does with a piece
 * @property {() => any} chosen the carried or chosen piece: {id, sheet, at, home, clashes} or null
 * @property {(placement: any, sheet: any) => void} choose it is chosen: the note shows it
 * @property {(placement: any, sheet: any) => void} grab it is carried by the pointer: nothing is drawn anew until it is put down
 * @property {(at: object) => void} carry
 * @property {(by: string, dropped?: object) => void} put
 * @property {() => void} back
 */

/**
 * Draws a sheet.
 *
 * @param {any} sheet of the layout
 * @param {Hands} hands
 * @param {{isLone: boolean, isStale: boolean}} how
 */
export function sheetOf(sheet, hands, { isLone, isStale }) {
  const times = sheet.runs === 1 ? "once" : sheet.runs === 2 ? "twice" : `${sheet.runs} times`;
  const title = `Sheet ${sheet.number}: ${stockName(sheet.stock)}, ${times}`;
  return el(
    "figure",
    { class: `lying${sheet.back ? " two-faced" : isLone ? " lone" : ""}`, id: `sheet-${sheet.number}`, "aria-labelledby": `sheet-${sheet.number}-title` },
    el("h2", { id: `sheet-${sheet.number}-title` }, title),
    el("div", { class: "faces" }, front(sheet, hands, isStale), sheet.back ? back(sheet, isStale) : null),
    el("figcaption", { class: "face-name" }, captionOf(sheet)),
  );
}

function captionOf(sheet) {
  const pieces = counted(sheet.placements.length, "piece");
  const printed = sheet.printed ? (sheet.back ? "printed on both sides" : "printed") : "not printed";
  const grain = sheet.grain === "x" ? " ↔ Its fibres run from left to right." : sheet.grain === "y" ? " ↕ Its fibres run from top to bottom." : "";
  return `${sheet.paper}, ${pieces}, ${printed}.${sheet.back ? " The front, then the back." : ""}${grain}`;
}

/** A stock's name for people. */
export function stockName(id) {
  return present().doc?.stock?.find((stock) => stock.id === id)?.name ?? id;
}

function front(sheet, hands, isStale) {
  const words = `Front of sheet ${sheet.number}, ${sheet.paper}, with ${counted(sheet.placements.length, "piece")}`;
  const overlay = svg("svg", { viewBox: `0 0 ${sheet.width_mm} ${sheet.height_mm}`, role: "group", "aria-label": `Pieces on sheet ${sheet.number}` });
  overlay.append(...inReadingOrder(sheet.placements).map((placement) => spot(placement, sheet, hands)));
  const visiting = hands.chosen();
  if (visiting && visiting.sheet === sheet.number && visiting.from !== sheet.number) overlay.append(visitor(visiting, hands));
  return el("div", { class: "on-table" }, picture(sheet.front, words, isStale ? "stale" : ""), overlay);
}

function back(sheet, isStale) {
  return el("div", { class: "on-table" }, picture(sheet.back, `Back of sheet ${sheet.number}`, isStale ? "stale" : ""));
}

/** From top to bottom, then from left to right, so that the Tab key walks as one reads. */
function inReadingOrder(placements) {
  const row = ({ box }) => Math.round(box[1] / 20);
  return [...placements].sort((one, other) => row(one) - row(other) || one.box[0] - other.box[0]);
}

/** Name of a piece on its sheet: "box/lid, copy 2, 3.5 in from the left, 1 in from the top". */
export function nameOf(placement, at = null) {
  const { units } = present();
  const [x, y] = at ? [at.x, at.y] : placement.box;
  const pinned = placement.pinned ? ", pinned" : "";
  return `${placement.piece}, copy ${placement.copy}, ${spoken(x, units)} from the left, ${spoken(y, units)} from the top${pinned}`;
}

/** Id of a piece's element. */
export function spotId(placement) {
  return `spot-${placement.id.replace(/[^A-Za-z0-9]+/g, "_")}`;
}

function spot(placement, sheet, hands) {
  const held = hands.chosen();
  const isHeld = held?.id === placement.id;
  if (isHeld && held.sheet !== sheet.number) return svg("path", { class: "shadow", d: placement.path });
  const node = carriedPath(placement, isHeld ? held : null);
  const where = () => (hands.chosen()?.id === placement.id ? hands.chosen().at : homeOf(placement));
  carriable(node, {
    units: present().units,
    where,
    isHeld: () => hands.chosen()?.id === placement.id,
    chosen: () => hands.choose(placement, sheet),
    moved: (at, by) => {
      if (hands.chosen()?.id !== placement.id) hands[by === "keys" ? "choose" : "grab"](placement, sheet);
      hands.carry(at);
    },
    put: (at, by, dropped) => (hands.chosen()?.id === placement.id ? hands.put(by, dropped) : hands.choose(placement, sheet)),
    back: () => hands.back(),
  });
  const pin = placement.pinned ? svg("circle", { class: "pin-head", cx: placement.box[0] + placement.box[2] / 2, cy: placement.box[1] + 4, r: 2.2 }) : null;
  const shadow = isHeld && held.isMoved ? svg("path", { class: "shadow", d: placement.path }) : null;
  return svg("g", {}, shadow, node, pin);
}

/** Where a piece lies by the layout. */
export function homeOf(placement) {
  return { x: placement.box[0], y: placement.box[1], turn: placement.turn_deg };
}

function carriedPath(placement, held) {
  const at = held?.at ?? homeOf(placement);
  const kinds = ["spot", held ? "chosen" : "", held?.isMoved ? "carried" : "", held?.clashes?.length ? "clashing" : ""].filter(Boolean).join(" ");
  return svg("path", { id: spotId(placement), class: kinds, d: placement.path, transform: movement(placement, at), tabindex: 0, role: "button", "aria-pressed": String(Boolean(held)), "aria-label": nameOf(placement, at) });
}

/** A piece of another sheet that is carried over this one. */
function visitor(held, hands) {
  const node = carriedPath(held.placement, held);
  carriable(node, { units: present().units, where: () => hands.chosen().at, isHeld: () => true, chosen: () => {}, moved: (at) => hands.carry(at), put: (at, by, dropped) => hands.put(by, dropped), back: () => hands.back() });
  return node;
}

/** The movement of a piece's drawing so that its box comes to lie where it is carried. */
export function movement(placement, at) {
  const home = homeOf(placement);
  const quarters = Math.round((at.turn - home.turn) / 90);
  const [x, y, width, height] = placement.box;
  const [middleX, middleY] = [x + width / 2, y + height / 2];
  const isAcross = Math.abs(quarters % 2) === 1;
  const left = middleX - (isAcross ? height : width) / 2;
  const top = middleY - (isAcross ? width : height) / 2;
  return `translate(${at.x - left} ${at.y - top}) rotate(${quarters * 90} ${middleX} ${middleY})`;
}

/** Shows a carried piece where it is now, without drawing the sheets anew. */
export function showCarried(held) {
  const node = document.getElementById(spotId(held.placement));
  if (!node) return;
  node.setAttribute("transform", movement(held.placement, held.at));
  node.setAttribute("aria-label", nameOf(held.placement, held.at));
  node.classList.toggle("clashing", Boolean(held.clashes?.length));
  node.classList.add("chosen", "carried");
  node.setAttribute("aria-pressed", "true");
}
