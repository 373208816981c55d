/**
 * From nothing to files for a printed box, counted; and what is made, looked at.
 */

import fs from "node:fs";
import path from "node:path";
import { Hand, hold } from "./hand.mjs";

/** Clicks and filled fields that a new person may need from an empty start to the files. */
const MOST_STEPS = 25;

/** The whole way, as somebody would who has never seen the page. */
export async function beginning({ results, browser, url, out }) {
  const context = await browser.newContext({ acceptDownloads: true });
  const hand = await Hand.at(context, url);
  const { page } = hand;

  await results.check("an empty size and a wrong count are told at their fields", async () => {
    await page.fill("#wish-copies", "many");
    await page.click("#ask");
    hold((await page.getAttribute("#wish-size", "aria-invalid")) === "true", "the empty size is not marked");
    hold((await page.textContent("#wish-copies-wrong")).includes("whole number"), "the count is not told about");
    hold((await page.inputValue("#wish-copies")) === "many", "what was typed is gone");
    await page.fill("#wish-copies", "1");
  });

  await results.check("a size that is none is told at its field, and stays", async () => {
    await page.fill("#wish-size", "as large as a bulb");
    await page.click("#ask");
    await page.waitForFunction(() => document.querySelector(".choices h2") && !document.querySelector(".choices .blank"));
    hold((await page.textContent("#wish-size-wrong")).trim() !== "", "nothing stands at the size");
    hold((await page.inputValue("#wish-size")) === "as large as a bulb", "what was typed is gone");
    await page.fill("#wish-size", "");
  });

  await results.check(`from nothing to the files of a printed box in at most ${MOST_STEPS} clicks and fields`, async () => {
    await page.reload();
    await page.waitForSelector(".shelf .card");
    await hand.fill("#wish-size", "3 1/2 x 2 1/4 x 1 1/4 in");
    await hand.fill("#wish-copies", "6");
    await hand.fill("#wish-price", "0.40 EUR");
    await page.check("#wish-printed");
    hand.clicks += 1;
    await hand.click("#ask");
    await page.waitForSelector("#take-lidded-box");
    await page.waitForFunction(() => !document.querySelector(".choices .blank"));
    await photograph(page, path.join(out, "start-choices.png"), 1180);
    await hand.click("#take-lidded-box");
    await page.waitForSelector("#piece-title");
    await hand.click(".index .within a");
    await page.waitForSelector("#own-paper, [id$='-colour']");
    await hand.click("[id^='new-art'][id$='-colour']");
    await hand.until("the lid has a colour", ({ text }) => /colour\s*=/.test(text));
    await hand.tab("sheets");
    await page.waitForSelector(".spot");
    await hand.tab("make");
    await hand.click("#make");
    await page.waitForSelector("#zip");
    const zip = await hand.download("#zip", out);
    hand.clicks += 1;
    fs.copyFileSync(zip, path.join(out, "made.zip"));
    const steps = hand.clicks + hand.fields;
    hold(steps <= MOST_STEPS, `${hand.clicks} clicks and ${hand.fields} fields`);
    return `${hand.clicks} clicks and ${hand.fields} filled fields`;
  });

  await results.check("the box that was asked for is on the desk", async () => {
    const state = await hand.state();
    hold(state.is_sound, "something is wrong with it");
    hold(state.text.includes("3 1/2 x 2 1/4 x 1 1/4 in"), "the size is not written as it was typed");
    hold(Number(state.doc.job.copies) === 6, `${state.doc.job.copies} copies`);
  });

  await results.check("it is saved under a name, and said to be", async () => {
    await page.click("#save");
    await page.fill("#save-name", "bulb-box.toml");
    await page.keyboard.press("Enter");
    const state = await hand.until("it is saved", ({ is_saved: is }) => is);
    hold(state.file === "bulb-box.toml", `saved as ${state.file}`);
    await page.waitForFunction(() => document.querySelector(".saved").textContent.includes("saved as bulb-box.toml"));
  });
  results.add("no trouble in scripts on the way", hand.troubles.length === 0, hand.troubles.slice(0, 3).join(" | "));
  await context.close();
}

/** Takes a picture of so much of a page, without a hand on it. */
async function photograph(page, file, height) {
  await page.mouse.move(1, 1);
  await page.waitForFunction(() => [...document.images].every((image) => image.complete));
  await page.screenshot({ path: file, fullPage: true, clip: { x: 0, y: 0, width: 1280, height } });
}

/** The sheets of an example, as a picture. */
export async function pictures({ results, browser, url, out }) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("gift-kit");
  await hand.go("#sheets");
  await results.check("the sheets of a kit lie side by side", async () => {
    await page.waitForSelector(".spot");
    await page.waitForFunction(() => !document.querySelector("#sheets-work progress"));
    await photograph(page, path.join(out, "sheets-kit.png"), 1320);
  });
  await context.close();
}

/** The view of what is made. */
export async function making({ results, browser, url, out }) {
  const context = await browser.newContext({ acceptDownloads: true });
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("plant-labels");
  await hand.go("#make");

  await results.check("making shows its progress, ends in a verdict and lists the files", async () => {
    await page.click("#make");
    await page.waitForSelector("#stop, .verdict");
    await page.waitForSelector(".verdict .words");
    hold((await page.textContent(".verdict .words")).startsWith("Proved"), "it is not proved");
    const names = await page.$$eval(".files tbody a", (links) => links.map((link) => link.textContent));
    for (const name of ["plan.json", "proof.pdf", "report.json", "cut-01.svg"]) hold(names.includes(name), `${name} is not listed`);
  });

  await results.check("a file can be taken by itself", async () => {
    const file = await hand.download('.files a[download="cut-01.svg"]', out);
    hold(fs.readFileSync(file, "utf8").includes("<svg"), "it is no SVG");
  });

  await results.check("they go into a folder beside the project, and no other", async () => {
    await page.fill("#keep-folder", "../outside");
    await page.click("#keep");
    await page.waitForFunction(() => document.getElementById("keep-result").textContent !== "");
    hold(!(await page.textContent("#keep-result")).startsWith("They are in"), "a folder outside was taken");
    await page.fill("#keep-folder", "labels");
    await page.click("#keep");
    await page.waitForFunction(() => document.getElementById("keep-result").textContent.startsWith("They are in"));
  });

  await results.check("after a change the files are said to be old", async () => {
    const { revision } = await hand.state();
    await hand.post("/change", { base: revision, words: "the change of copies", edits: [{ at: ["job", "copies"], set: 3 }] });
    await page.waitForFunction(() => document.querySelector(".view-make")?.textContent.includes("has changed since"));
  });
  await context.close();
}
