/**
 * Readings: questions with a field each, kept as drafts until they are sent, with what is wrong at each of them.
 */

import { button, el, picture } from "./build.js";
import { draftOf, keepDraft } from "./drafts.js";
import { mistakeWords, sentence } from "./fields.js";
import { present, refused, say } from "./state.js";
import { sendFile } from "./talk.js";

/** @type {Map<string, any>} the last answers, by what was asked */
const answers = new Map();

/** The last answer of that kind, or none. */
export function answerOf(kind) {
  return answers.get(kind) ?? null;
}

/** Keeps an answer and says it. */
export function keepAnswer(kind, answer) {
  answers.set(kind, answer);
  say(answer.works ? answer.expect ?? answer.words.join(". ") : (answer.diagnostics ?? []).map(({ message }) => message).join(". "));
}

/**
 * Fields for the questions.
 *
 * @param {string} kind what is read: "ruler", "eye", "cutter", "marks-1"
 * @param {any[]} questions
 */
export function readingFields(kind, questions) {
  const wrong = answerOf(kind)?.works === false ? answerOf(kind).diagnostics : [];
  return el("div", { class: "fields" }, questions.map((question) => reading(kind, question, wrong.filter(({ key }) => key === question.key))));
}

function reading(kind, question, mistakes) {
  const id = readingId(kind, question.key);
  const about = [question.about ? sentence(question.about) : "", question.right ? `Printed without error it is ${question.right}.` : "", question.example ? `Such as ${question.example}` : ""].filter(Boolean).join(" ");
  const node = el("input", {
    id,
    type: "text",
    autocomplete: "off",
    spellcheck: "false",
    value: draftOf(id) ?? "",
    "aria-describedby": [about ? `${id}-about` : "", mistakes.length ? `${id}-wrong` : ""].filter(Boolean).join(" ") || null,
    "aria-invalid": mistakes.length ? "true" : null,
    oninput: () => keepDraft(id, node.value),
  });
  return el(
    "div",
    { class: `field${mistakes.length ? " wrong" : ""}` },
    el("label", { for: id }, question.label),
    node,
    about ? el("p", { class: "about", id: `${id}-about` }, about) : null,
    mistakes.length ? el("div", { class: "mistake", id: `${id}-wrong` }, mistakes.map(mistakeWords)) : null,
  );
}

function readingId(kind, key) {
  return `read-${kind}-${key}`;
}

/** What was read, without what was left empty. */
export function readingsOf(kind, questions) {
  const pairs = questions.map(({ key }) => [key, (draftOf(readingId(kind, key)) ?? "").trim()]);
  return Object.fromEntries(pairs.filter(([, text]) => text !== ""));
}

/** Goes to the first reading that is wrong. */
export function goToWrong(kind, answer) {
  const first = (answer.diagnostics ?? []).find(({ key }) => key);
  if (first) document.getElementById(readingId(kind, first.key))?.focus();
}

/** What came of it: in plain words first; or what is wrong with it. */
export function resultOf(kind, ...doings) {
  const answer = answerOf(kind);
  if (!answer) return null;
  if (!answer.works) {
    const others = answer.diagnostics.filter(({ key }) => !key);
    return others.length ? el("div", { class: "result no" }, others.map(mistakeWords)) : el("p", { class: "mistake" }, "Some readings are wrong; each says so at its field.");
  }
  return el(
    "div",
    { class: "result", id: `result-${kind}` },
    answer.expect ? el("p", { class: "expect" }, sentence(answer.expect)) : null,
    el("ul", { class: "lines" }, (answer.words ?? []).map((words) => el("li", {}, sentence(words)))),
    answer.picture ? picture(answer.picture, "Where on the page the error is, before and after") : null,
    el("div", { class: "buttons" }, doings),
  );
}

/**
 * A place to drop a scan on, or to choose one.
 *
 * @param {string} id
 * @param {string} label
 * @param {string} path where it is sent
 * @param {string} kind of the answer
 * @param {() => void} done draws the view anew
 */
export function scanPlace(id, label, path, kind, done) {
  const state = el("p", { class: "about", id: `${id}-how` }, "PNG, JPEG or TIFF, 150 to 1200 dpi, 64 MB at most.");
  const take = async (file) => {
    if (!file) return;
    state.textContent = `Reading ${file.name} …`;
    say(state.textContent);
    try {
      keepAnswer(kind, await sendFile(path(file), file));
    } catch (error) {
      refused(error);
      state.textContent = error.message;
      return;
    }
    done();
  };
  const input = el("input", { id, type: "file", accept: "image/png,image/jpeg,image/tiff", "aria-describedby": `${id}-how`, onchange: () => take(input.files[0]) });
  const box = el(
    "div",
    {
      class: "drop",
      ondragover: (event) => {
        event.preventDefault();
        box.classList.add("over");
      },
      ondragleave: () => box.classList.remove("over"),
      ondrop: (event) => {
        event.preventDefault();
        box.classList.remove("over");
        take(event.dataTransfer.files[0]);
      },
    },
    el("label", { for: id, class: "label" }, label),
    input,
    state,
  );
  return box;
}

/** Small choices of the measuring views, kept over a reload. */
export function pick(id, label, choices, usual, changed) {
  const value = choices.some(([name]) => name === draftOf(id)) ? draftOf(id) : usual;
  const node = el(
    "select",
    {
      id,
      onchange: () => {
        keepDraft(id, node.value);
        changed();
      },
    },
    choices.map(([name, words]) => el("option", { value: name, selected: name === value }, words)),
  );
  return el("div", { class: "field" }, el("label", { for: id }, label), node);
}

/** The value of such a choice. */
export function picked(id, usual) {
  return draftOf(id) ?? usual;
}

/** A line of free words, kept over a reload. */
export function wordsField(id, label, about) {
  const node = el("input", { id, type: "text", autocomplete: "off", value: draftOf(id) ?? "", "aria-describedby": `${id}-about`, oninput: () => keepDraft(id, node.value) });
  return el("div", { class: "field" }, el("label", { for: id }, label), node, el("p", { class: "about", id: `${id}-about` }, about));
}

/** A button that keeps a measured profile with the project. */
export function keepButton(kind, label, keep) {
  const file = answerOf(kind)?.file;
  return file ? el("p", {}, `Kept as ${file} beside ${present().file ?? "the project"}; every page is now printed the other way round by as much.`) : button(label, keep, { class: "main", id: `keep-${kind}` });
}
