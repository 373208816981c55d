/**
 * Measuring: the chart, readings with a mistake in them, what comes of good ones, and a printed sheet.
 *
 * The readings are made here: a page that is printed 0.5 % too large and lies 1 mm to the right.
 */

import fs from "node:fs";
import { Hand, hold } from "./hand.mjs";

const SCALE = 1.005;
const SHIFT_MM = 1;

/** What a ruler shows of a length of the chart, "150 mm", on such a print. */
function read(right, isPlace) {
  const match = /^([\d.]+) mm$/.exec(right);
  hold(match, `the right length "${right}" is not in millimetres`);
  return `${(Number(match[1]) * SCALE + (isPlace ? SHIFT_MM : 0)).toFixed(2)}`;
}

/** The three ways of measuring. */
export async function measure({ results, browser, url, out }) {
  const context = await browser.newContext({ acceptDownloads: true });
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("seed-drawer");
  await hand.go("#measure/printer");
  await page.waitForSelector("#measure-paper");

  await results.check("the chart comes as PDF", async () => {
    await page.selectOption("#measure-paper", "A4");
    await page.selectOption("#measure-edition", "mm");
    const file = await hand.download("#get-chart", out);
    hold(fs.readFileSync(file).subarray(0, 5).toString() === "%PDF-", "it is no PDF");
  });

  await results.check("a reading that is none is told at its field", async () => {
    await page.waitForSelector("#read-ruler-A");
    await page.fill("#read-ruler-A", "a bit long");
    await page.click("#read-ruler");
    await page.waitForSelector("#read-ruler-A[aria-invalid=true]");
    hold((await page.inputValue("#read-ruler-A")) === "a bit long", "what was typed is gone");
    hold((await page.textContent("#read-ruler-A-wrong")).trim() !== "", "nothing is told");
  });

  await results.check("good readings tell how far print and cut may be apart", async () => {
    const { questions } = await page.evaluate(async () => (await fetch("/measure/questions?of=ruler&paper=A4&edition=mm&back=false")).json());
    for (const { key, right } of questions.filter((one) => one.right)) await page.fill(`#read-ruler-${key}`, read(right, key === "E"));
    await page.click("#read-ruler");
    await page.waitForSelector("#result-ruler .expect");
    return page.textContent("#result-ruler .expect");
  });

  await results.check("it is kept as the printer's profile beside the project", async () => {
    await page.click("#keep-ruler");
    await page.waitForFunction(() => document.getElementById("result-ruler")?.textContent.includes("Kept as"));
    const state = await hand.state();
    hold(state.is_sound, `something is wrong: ${state.diagnostics.find(({ severity }) => severity === "error")?.message}`);
    hold((await page.textContent("#result-ruler")).includes(state.doc.job.printer), `the project names ${state.doc.job.printer}`);
  });

  await results.check("a scan that is none is refused with words", async () => {
    await page.selectOption("#measure-way", "scan");
    await page.setInputFiles("#scan-printer", { name: "chart.png", mimeType: "image/png", buffer: Buffer.from("no picture") });
    await page.waitForSelector(".result.no, .notice.refused");
  });

  await results.check("the test cut comes as SVG, with its questions", async () => {
    await hand.go("#measure/cutter");
    await page.waitForSelector("#get-test-cut");
    const file = await hand.download("#get-test-cut", out);
    hold(fs.readFileSync(file, "utf8").includes("<svg"), "it is no SVG");
    await page.waitForSelector("[id^=read-cutter-]");
  });

  await results.check("a printed sheet is found by its marks", async () => {
    await hand.go("#make");
    await page.click("#make");
    await page.waitForSelector("#zip");
    await hand.go("#measure/sheet");
    await page.waitForSelector("#find-sheet");
    const number = await page.inputValue("#measure-sheet");
    const plan = await page.evaluate(async () => (await fetch("/made/plan.json")).json());
    const marks = plan.sheets[Number(number) - 1].marks;
    for (const { id, x_mm: x, y_mm: y } of marks) await page.fill(`#read-marks-${number}-${id}`, `${(x + 0.4).toFixed(2)} mm, ${(y - 0.3).toFixed(2)} mm`);
    await page.click("#find-sheet");
    await page.waitForSelector(`#result-marks-${number} .expect`);
    await hand.download("#get-registered", out);
    return page.textContent(`#result-marks-${number} .expect`);
  });
  results.add("no trouble in scripts at measuring", hand.troubles.length === 0, hand.troubles.slice(0, 3).join(" | "));
  await context.close();
}
