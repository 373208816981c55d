/**
 * Measure: what the printer does, what the cutter does, and where one printed sheet lies; step by step.
 */

import { add, button, el, lines, picture } from "./build.js";
import { answerOf, goToWrong, keepAnswer, keepButton, pick, picked, readingFields, readingsOf, resultOf, scanPlace, wordsField } from "./readings.js";
import { notice, present, refresh, refused } from "./state.js";
import { ask, query, send, sendFile } from "./talk.js";

const WAYS = [
  ["printer", "My printer"],
  ["cutter", "My cutter"],
  ["sheet", "A printed sheet"],
];

/** @type {any} what the server knows of profiles and sheets */
let known = null;
/** @type {Map<string, any>} questions by what was asked */
const questions = new Map();

/** Draws the view. */
export function draw(place) {
  const way = WAYS.find(([name]) => location.hash === `#measure/${name}`)?.[0] ?? "printer";
  add(
    place,
    el("h1", {}, "Measure"),
    el("p", { class: "lead" }, "Printers scale, shift and turn a little, and no sheet is loaded twice alike. What is measured once is taken back on every page."),
    el("nav", { "aria-label": "What is measured" }, el("ul", { class: "ways" }, WAYS.map(([name, label]) => el("li", {}, el("a", { href: `#measure/${name}`, id: `way-${name}`, "aria-current": name === way ? "true" : null }, label))))),
  );
  fetchKnown(place);
  if (!known) {
    add(place, el("p", { class: "about" }, "Looking what is known …"));
    return;
  }
  if (way === "printer") add(place, ...printer(place));
  else if (way === "cutter") add(place, ...cutter(place));
  else add(place, ...sheet(place));
}

/** Work of others ended: a made result may be there now. */
export function work(place) {
  fetchKnown(place);
}

async function fetchKnown(place) {
  const before = JSON.stringify(known);
  try {
    known = await ask("/measure");
  } catch (error) {
    notice("refused", error.message);
    return;
  }
  if (JSON.stringify(known) !== before) redraw(place);
}

function redraw(place) {
  if (!place.classList.contains("view-measure")) return;
  const focus = document.activeElement?.id;
  place.replaceChildren();
  draw(place);
  if (focus) document.getElementById(focus)?.focus({ preventScroll: true });
}

function questionsOf(what, place) {
  const key = query(what);
  if (questions.has(key)) return questions.get(key);
  questions.set(key, null);
  ask(`/measure/questions?${key}`).then(
    (answer) => {
      questions.set(key, answer);
      redraw(place);
    },
    (error) => refused(error),
  );
  return null;
}

function isMetric() {
  return present().units === "mm";
}

function sort(place) {
  const wish = picked("measure-paper", isMetric() ? "a4" : "letter").toLowerCase();
  const paper = (known.papers.find(([name]) => name.toLowerCase() === wish) ?? known.papers[0])[0];
  const edition = picked("measure-edition", isMetric() ? "mm" : "inch");
  const back = picked("measure-back", "false");
  const again = () => redraw(place);
  return {
    paper,
    edition,
    back,
    fields: [
      pick("measure-paper", "Sheets of", known.papers, paper, again),
      pick("measure-edition", "My ruler", [["inch", "has inches"], ["mm", "has millimetres"]], edition, again),
    ],
    backField: pick("measure-back", "The chart is printed", [["false", "on the front"], ["true", "on both sides"]], back, again),
  };
}

function step(title, ...inside) {
  return el("li", { class: "sheet-of-paper" }, el("h2", {}, title), inside);
}

function beside(url, words, ...inside) {
  return el("div", { class: "beside" }, el("div", { class: "stack" }, inside), el("figure", {}, picture(url, words)));
}

function knownProfile(profile, none) {
  return el("section", { class: "sheet-of-paper", "aria-label": "What is known" }, profile ? [el("p", {}, el("b", {}, profile.name ?? profile.file), profile.file ? ` (${profile.file})` : ""), lines(profile.words)] : el("p", {}, none));
}

function printer(place) {
  const which = sort(place);
  const way = picked("measure-way", "ruler");
  const chart = `/measure/chart.pdf?${query({ paper: which.paper, edition: which.edition, back: which.back })}`;
  return [
    knownProfile(known.printer, "Nothing is measured of your printer yet: what is usual is taken, which is by far the most of what print and cut may be apart."),
    el(
      "ol",
      { class: "steps" },
      step("Print the chart", beside("/picture/how/chart-front.png", "The chart: a grid of rings, scales in the corners, ladders at the edges", el("p", {}, "Use the paper and the tray that you work with. Print at 100 %: actual size, not fitted to the page, not borderless. Tick the edge that went in first."), el("div", { class: "fields" }, which.fields, which.backField), el("div", { class: "buttons" }, el("a", { class: "button main", href: chart, download: `chart-${which.paper}.pdf`, id: "get-chart" }, "Download the chart")))),
      step("Read it", el("div", { class: "fields" }, pick("measure-way", "How", [["ruler", "with a ruler, two minutes"], ["eye", "by eye to a tenth of a millimetre, ten minutes"], ["scan", "with a scanner"]], way, () => redraw(place)), wordsField("measure-name", "Name of the printer", "So that you know it again")), way === "scan" ? scanning(which, place) : reading(way, which, place)),
    ),
  ];
}

function reading(of, which, place) {
  const known = questionsOf({ of, paper: which.paper, edition: which.edition, back: which.back }, place);
  if (!known) return el("p", { class: "about" }, "Fetching the questions …");
  const vernier = which.edition === "mm" ? "vernier-mm" : "vernier-inch";
  const how = el("p", {}, known.about);
  return el("div", { class: "stack" }, of === "eye" ? beside(`/picture/how/${vernier}.png`, "A ruler along a scale: one tick meets a mark of the ruler", how) : how, readingFields(of, known.questions), readButtons(of, known.questions, which, place, "Keep it as my printer"));
}

function readButtons(of, list, which, place, keepLabel) {
  const read = async (keep) => {
    try {
      const answer = await send("/measure/read", { base: present().revision, of, paper: which.paper, edition: which.edition, back: which.back === "true", name: picked("measure-name", ""), stock: "", readings: readingsOf(of, list), keep });
      keepAnswer(of, answer);
      if (keep && answer.works) await Promise.all([refresh(), fetchKnown(place)]);
      redraw(place);
      if (!answer.works) goToWrong(of, answer);
    } catch (error) {
      refused(error);
    }
  };
  return [el("div", { class: "buttons" }, button("What comes of it", () => read(false), { class: answerOf(of)?.works ? "" : "main", id: `read-${of}` })), resultOf(of, keepButton(of, keepLabel, () => read(true)))];
}

function scanning(which, place) {
  const path = (file, keep) => `/measure/scan?${query({ of: "printer", paper: which.paper, name: picked("measure-name", "") || file.name, keep })}`;
  const first = (file) => {
    lastScan = file;
    return path(file, "false");
  };
  const keep = async () => {
    if (!lastScan) return;
    try {
      keepAnswer("scan", await sendFile(path(lastScan, "true"), lastScan));
      await Promise.all([refresh(), fetchKnown(place)]);
      redraw(place);
    } catch (error) {
      refused(error);
    }
  };
  return el("div", { class: "stack" }, el("p", {}, "Lay the chart on the glass, whichever way round, with a dark sheet behind it so that all four edges show. Scan at 300 dpi."), scanPlace("scan-printer", "Drop the scan here, or choose it", first, "scan", () => redraw(place)), resultOf("scan", keepButton("scan", "Keep it as my printer", keep)));
}

/** The scan that was read last, to be kept without being chosen again. */
let lastScan = null;

function cutter(place) {
  const which = sort(place);
  const asked = questionsOf({ of: "cutter", paper: which.paper, edition: which.edition }, place);
  const file = `/measure/test-cut.svg?${query({ paper: which.paper, edition: which.edition })}`;
  return [
    knownProfile(known.cutter, "Nothing is measured of your cutting machine yet: what is usual is taken."),
    el(
      "ol",
      { class: "steps" },
      step("Cut crosses into a printed chart", beside("/picture/how/chart-front.png", "The chart with its rings", el("p", {}, "Print the chart, lay it on the machine as you lay every sheet, and cut this file. It cuts a small cross at nine of the rings."), el("div", { class: "fields" }, which.fields), el("div", { class: "buttons" }, el("a", { class: "button main", href: file, download: `test-cut-${which.paper}.svg`, id: "get-test-cut" }, "Download the test cut")))),
      step("Read the crosses", asked ? [el("p", {}, asked.about), readingFields("cutter", asked.questions), readButtons("cutter", asked.questions, which, place, "Keep it as my cutter")] : el("p", { class: "about" }, "Fetching the questions …")),
    ),
  ];
}

function sheet(place) {
  if (!known.sheets.length) return [el("section", { class: "sheet-of-paper", "aria-label": "No sheet" }, el("p", {}, "No sheet with register marks is made yet. ", el("a", { href: "#make" }, "Make the files"), ", print a sheet, and come back with it."))];
  const usual = String(known.sheets[0].number);
  const number = picked("measure-sheet", usual);
  const kind = `marks-${number}`;
  const way = picked("measure-marks-way", "ruler");
  const again = () => redraw(place);
  const files = answerOf(kind)?.files;
  const download = files ? el("a", { class: "button main", href: files, download: "registered.zip", id: "get-registered" }, "Download the moved cut file") : "";
  return [
    el(
      "ol",
      { class: "steps" },
      step("Take a printed sheet", el("div", { class: "fields" }, pick("measure-sheet", "Which sheet", known.sheets.map((one) => [String(one.number), one.words]), usual, again), pick("measure-marks-way", "How its marks are found", [["ruler", "with a ruler"], ["scan", "with a scanner"], ["photo", "with a photo, the weakest way"]], way, again))),
      step("Find its marks", way === "ruler" ? marks(kind, number, place) : pictured(way, kind, number, again), resultOf(kind, download)),
    ),
  ];
}

/** A sheet that is found in a scan or a photo. */
function pictured(way, kind, number, again) {
  const words = way === "scan" ? "Lay the sheet on the glass with a dark sheet behind it, all four edges in the picture, 150 dpi or more." : "Lay the sheet flat on something dark and take it from straight above, all four edges in the picture.";
  const path = () => `/measure/register-scan?${query({ sheet: number, by: way === "photo" ? "photo" : "" })}`;
  return [el("p", {}, words), scanPlace("scan-sheet", `Drop the ${way} here, or choose it`, path, kind, again)];
}

function marks(kind, number, place) {
  const asked = questionsOf({ of: "marks", sheet: number }, place);
  if (!asked) return el("p", { class: "about" }, "Fetching the questions …");
  const read = async () => {
    try {
      const answer = await send("/measure/register", { sheet: Number(number), readings: readingsOf(kind, asked.questions) });
      keepAnswer(kind, answer);
      redraw(place);
      if (!answer.works) goToWrong(kind, answer);
    } catch (error) {
      refused(error);
    }
  };
  return [asked.about ? el("p", {}, asked.about) : null, readingFields(kind, asked.questions), el("div", { class: "buttons" }, button("Find the sheet", read, { class: answerOf(kind)?.works ? "" : "main", id: "find-sheet" }))];
}
