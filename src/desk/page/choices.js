/**
 * The constructions, tried one by one at the wanted size: each with its picture, sheets, price and difficulty.
 */

import { button, counted, el, folded, lines } from "./build.js";
import { mistakeWords, sentence } from "./fields.js";
import { say } from "./state.js";
import { send } from "./talk.js";

/** How many are tried at a time. */
const AT_ONCE = 2;

/** @type {Map<string, any>} answers by construction; null while one is awaited */
let answers = new Map();
let wish = null;
let stop = new AbortController();
let place = null;
let shelf = null;
let choose = () => {};

/** Draws what is known into its place, which is filled on as answers come. */
export function draw(where, present, _wanted, begin) {
  place = where;
  shelf = present;
  choose = begin;
  fill();
}

/** Forgets all answers. */
export function forget() {
  stop.abort();
  for (const answer of answers.values()) if (answer?.url) URL.revokeObjectURL(answer.url);
  answers = new Map();
  wish = null;
}

/** Tries all constructions that take sizes of this sort. */
export async function tryAll(known, wanted) {
  forget();
  shelf = known;
  wish = wanted;
  if (wanted.size === "") {
    fill();
    return;
  }
  stop = new AbortController();
  const { signal } = stop;
  const fitting = known.constructions.filter((one) => suits(one, wanted.what));
  for (const one of fitting) answers.set(one.name, null);
  fill();
  const queue = [...fitting];
  const worker = async () => {
    while (queue.length && !signal.aborted) await tryOne(queue.shift(), wanted, signal);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  if (signal.aborted) return;
  markWishes();
  const works = [...answers.values()].filter((answer) => answer?.works).length;
  say(`${counted(works, "thing")} can be made of it.`);
}

function suits(construction, what) {
  const isFlat = (construction.dimensions ?? 3) < 3;
  return what === "flat" ? isFlat : !isFlat && construction.sizes.includes(what);
}

async function tryOne(construction, wanted, signal) {
  let answer;
  try {
    answer = await send("/try", { construction: construction.name, ...wanted }, signal);
  } catch (error) {
    if (signal.aborted) return;
    answer = { works: false, diagnostics: [{ message: error.message, hints: [] }] };
  }
  if (signal.aborted) return;
  if (answer.works && answer.picture) answer.url = URL.createObjectURL(new Blob([answer.picture], { type: "image/svg+xml" }));
  answers.set(construction.name, answer);
  fill();
}

function fill() {
  if (!place) return;
  if (!wish || !answers.size) {
    place.replaceChildren();
    return;
  }
  const held = document.activeElement?.id;
  const known = shelf.constructions.filter(({ name }) => answers.has(name));
  const open = known.filter(({ name }) => answers.get(name) === null);
  const works = known.filter(({ name }) => answers.get(name)?.works).sort((a, b) => rank(a) - rank(b));
  const fails = known.filter(({ name }) => answers.get(name)?.works === false);
  place.replaceChildren(
    el("h2", {}, open.length ? `Trying ${counted(open.length, "more construction")} …` : works.length ? "That can be made of it" : "Nothing can be made of that"),
    works.length || open.length ? el("ul", { class: "cards" }, works.map(card), open.map(blank)) : shared(fails),
    works.length && fails.length ? folded("no-go", `${counted(fails.length, "construction does", "constructions do")} not work for this`, el("dl", { class: "reasons" }, fails.map(reason))) : "",
  );
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
}

/** Easy ones first; among those the ones that need fewer sheets. */
function rank(construction) {
  const answer = answers.get(construction.name);
  return (answer.difficulty?.level ?? 2) * 1000 + (answer.sheets ?? 0);
}

function card(construction) {
  const answer = answers.get(construction.name);
  const title = construction.title;
  return el(
    "li",
    { class: "card" },
    answer.url ? el("img", { src: answer.url, alt: `${title}, folded`, class: "picture folded-one" }) : null,
    el("h3", {}, title),
    el("p", { class: "about" }, sentence(construction.about)),
    el(
      "ul",
      { class: "facts" },
      el("li", {}, `${answer.outside} outside`),
      el("li", {}, `${counted(answer.pieces, "piece")} a copy, ${counted(answer.sheets, "sheet")} in all`),
      answer.cost ? el("li", {}, `${answer.cost} for the paper`) : null,
      answer.difficulty ? el("li", {}, el("b", {}, answer.difficulty.word), `: ${answer.difficulty.why}`) : null,
    ),
    lines(answer.notes, "notes"),
    button("Make this one", () => choose({ construction: construction.name, ...wish }), { class: "main", id: `take-${construction.name}`, "aria-label": `Make this one: ${title}` }),
  );
}

/** A mistake that every construction finds in the same wish is shown at its field. */
function markWishes() {
  const all = [...answers.values()];
  for (const box of document.querySelectorAll('[id^="wish-"][id$="-wrong"]')) {
    const key = box.id.slice("wish-".length, -"-wrong".length);
    const found = all.map((answer) => (answer.works ? null : (answer.diagnostics ?? []).find((one) => wishOf(one.key) === key)));
    const mistake = all.length && found.every((one) => one && one.message === found[0].message) ? found[0] : null;
    box.replaceChildren(mistake ? mistakeWords(mistake) : "");
    document.getElementById(`wish-${key}`).setAttribute("aria-invalid", String(Boolean(mistake)));
  }
}

/** The wish that a key of the project comes from. */
function wishOf(key) {
  const last = (key ?? "").split(".").pop();
  if (["contents", "inside", "outside", "flat"].includes(last)) return "size";
  return last === "format" ? "paper" : last;
}

function blank(construction) {
  return el("li", { class: "card blank", "aria-busy": "true" }, el("span", { class: "picture none" }, "folding …"), el("h3", {}, construction.title), el("p", { class: "about" }, sentence(construction.about)));
}

function reason(construction) {
  return [el("dt", {}, construction.title), el("dd", {}, words(answers.get(construction.name)))];
}

function words(answer) {
  return (answer.diagnostics ?? []).map(({ message, hints }) => [message, ...(hints ?? [])].map(sentence).join(" ")).join(" ");
}

/** Where nothing works: the reasons, each said once. */
function shared(fails) {
  const said = new Map();
  for (const one of fails) said.set(words(answers.get(one.name)), [...(said.get(words(answers.get(one.name))) ?? []), one.title]);
  return el("ul", { class: "lines mistake", role: "alert" }, [...said].map(([why, titles]) => el("li", {}, titles.length === fails.length ? why : `${titles.join(", ")}: ${why}`)));
}
