/**
 * Carrying something by hand: with the pointer, or with arrow keys.
 *
 * Arrows move by a step, with Shift by ten; R turns by a quarter; Enter puts down; Escape puts back.
 */

import { stepOf } from "./lengths.js";

/**
 * @typedef {object} At where something is: left and top of its box in millimetres, and its turn
 * @property {number} x
 * @property {number} y
 * @property {number} turn in degrees
 */

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Pixels that a pointer must go before it carries: less is a click. */
const SLACK_PX = 4;

/**
 * Lets an element of a drawing be carried.
 *
 * @param {SVGElement} node in a drawing whose units are millimetres
 * @param {object} how
 * @param {"in"|"mm"} how.units
 * @param {() => At} how.where it is now
 * @param {() => boolean} how.isHeld whether it is chosen: a finger carries only what is, and scrolls the page over the others
 * @param {() => void} how.chosen it was touched
 * @param {(at: At, by: "pointer"|"keys") => void} how.moved it is carried there
 * @param {(at: At, by: "pointer"|"keys", dropped?: {event: PointerEvent, grip: {x: number, y: number}}) => void} how.put it is put
 *   down; `grip` is where the pointer holds it, from its left and top
 * @param {() => void} how.back it is put back
 */
export function carriable(node, how) {
  node.addEventListener("pointerdown", (event) => follow(node, event, how));
  node.addEventListener("keydown", (event) => {
    if (onKey(event, how)) {
      event.preventDefault();
      event.stopPropagation();
    }
  });
}

function follow(node, event, how) {
  if (event.button !== 0) return;
  const mayCarry = event.pointerType !== "touch" || how.isHeld();
  const toDrawing = node.ownerSVGElement.getScreenCTM().inverse();
  const point = (of) => new DOMPoint(of.clientX, of.clientY).matrixTransform(toDrawing);
  const begun = point(event);
  const home = { ...how.where() };
  let isCarried = false;
  if (mayCarry) node.setPointerCapture(event.pointerId);
  const move = (next) => {
    if (!mayCarry) return;
    if (!isCarried && Math.hypot(next.clientX - event.clientX, next.clientY - event.clientY) < SLACK_PX) return;
    isCarried = true;
    const now = point(next);
    how.moved({ ...home, x: home.x + now.x - begun.x, y: home.y + now.y - begun.y }, "pointer");
  };
  const end = (last) => {
    node.removeEventListener("pointermove", move);
    node.removeEventListener("pointerup", end);
    node.removeEventListener("pointercancel", end);
    if (last.type === "pointercancel") {
      if (isCarried) how.back();
    } else if (isCarried) how.put(how.where(), "pointer", { event: last, grip: { x: begun.x - home.x, y: begun.y - home.y } });
    else how.chosen();
  };
  node.addEventListener("pointermove", move);
  node.addEventListener("pointerup", end);
  node.addEventListener("pointercancel", end);
}

/**
 * Does what a key says; returns whether it said anything.
 *
 * @param {KeyboardEvent} event
 */
export function onKey(event, how) {
  if (event.ctrlKey || event.metaKey || event.altKey) return false;
  const arrow = ARROWS[event.key];
  const at = how.where();
  if (arrow) {
    const step = stepOf(how.units) * (event.shiftKey ? 10 : 1);
    how.moved({ ...at, x: at.x + arrow[0] * step, y: at.y + arrow[1] * step }, "keys");
  } else if (event.key === "r" || event.key === "R") {
    how.moved({ ...at, turn: (at.turn + 90) % 360 }, "keys");
  } else if (event.key === "Enter") {
    how.put(at, "keys");
  } else if (event.key === "Escape") {
    how.back();
  } else if (event.key === " ") {
    how.chosen();
  } else {
    return false;
  }
  return true;
}
