/**
 * Questions that must be answered before anything else goes on.
 */

import { button, el } from "./build.js";

let count = 0;

/**
 * Asks, and resolves with the value of the answer; null if the question was put away.
 *
 * @param {string} title
 * @param {(Node|string)[]} words
 * @param {{label: string, value: any, usual?: boolean}[]} answers
 * @returns {Promise<any>}
 */
export function question(title, words, answers) {
  return new Promise((resolve) => {
    const id = `question-${++count}`;
    const close = (value) => {
      box.close();
      box.remove();
      resolve(value);
    };
    const box = el(
      "dialog",
      { class: "question", "aria-labelledby": id, oncancel: () => close(null) },
      el("h2", { id }, title),
      words.map((part) => (part instanceof Node ? part : el("p", {}, part))),
      el(
        "div",
        { class: "buttons" },
        answers.map((answer) => button(answer.label, () => close(answer.value), { class: answer.usual ? "main" : "" })),
      ),
    );
    document.body.append(box);
    box.showModal();
  });
}

/**
 * Asks for a file name to save under; resolves with null if the question was put away.
 *
 * @param {string} usual
 * @returns {Promise<string|null>}
 */
export function askForName(usual, folder) {
  return new Promise((resolve) => {
    const close = (value) => {
      box.close();
      box.remove();
      resolve(value);
    };
    const input = el("input", { id: "save-name", type: "text", value: usual, "aria-describedby": "save-where", required: true, autocomplete: "off", spellcheck: "false" });
    const box = el(
      "dialog",
      { class: "question", "aria-labelledby": "save-title", oncancel: () => close(null) },
      el(
        "form",
        {
          onsubmit: (event) => {
            event.preventDefault();
            close(input.value.trim());
          },
        },
        el("h2", { id: "save-title" }, "Save the project"),
        el("div", { class: "field" }, el("label", { for: "save-name" }, "File name"), input, el("p", { id: "save-where", class: "about" }, `It goes into ${folder}.`)),
        el("div", { class: "buttons" }, el("button", { type: "submit", class: "main" }, "Save"), button("Not now", () => close(null))),
      ),
    );
    document.body.append(box);
    box.showModal();
    input.select();
  });
}
