/**
 * Nothing typed is ever lost: wrong text, a reload in the middle, another window, another program, and leaving.
 */

import fs from "node:fs";
import path from "node:path";
import { Hand, hold } from "./hand.mjs";

/** The project as text. */
export async function text({ results, browser, url }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("place-cards");
  await hand.go("#text");
  await page.waitForSelector("#whole-text");
  const good = await page.inputValue("#whole-text");

  await results.check("text that is no TOML is told by line, and stays", async () => {
    const wrong = good.replace("[job]", "[job");
    await page.fill("#whole-text", wrong);
    await page.click("#text-put");
    await page.waitForSelector(".by-line .error");
    hold((await page.inputValue("#whole-text")) === wrong, "what was typed is gone");
    const line = wrong.split("\n").indexOf("[job") + 1;
    hold((await page.textContent(".by-line .error .line-link")) === `Line ${line}`, "another line is named");
  });

  await results.check("meanwhile the other views keep the last sound pictures and say where it is set right", async () => {
    await hand.go("#pieces");
    await page.click('#view a[href^="#text"]');
    await page.waitForSelector("#whole-text");
  });

  await results.check("set right, nothing is wrong any more", async () => {
    await page.fill("#whole-text", good);
    await page.click("#text-put");
    const state = await hand.until("the text is right", ({ is_sound: is }) => is);
    hold(state.text === good, "the text is not the one that was typed");
  });
  await context.close();
}

/** A reload in the middle. */
export async function reloads({ results, browser, url }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("bulb-box");
  await hand.go("#paper");
  await page.waitForSelector("#f-job-name");

  await results.check("a half-typed field is there after a reload, beside what the project says", async () => {
    await page.locator("#f-job-name").focus();
    await page.evaluate(() => {
      const field = document.getElementById("f-job-name");
      field.value = "Bulb boxes for the";
      field.dispatchEvent(new Event("input", { bubbles: true }));
    });
    await page.reload();
    await page.waitForSelector("#f-job-name");
    hold((await page.inputValue("#f-job-name")) === "Bulb boxes for the", "it is gone");
    hold((await page.textContent("#f-job-name-apart")).includes("Bulb boxes"), "what the project says is not shown");
    hold((await hand.state()).doc.job.name === "Bulb boxes", "it went into the project unasked");
  });

  await results.check("it is put in by a click", async () => {
    await page.click("#f-job-name-put");
    await hand.until("it is in", ({ doc }) => doc.job.name === "Bulb boxes for the");
    await page.waitForFunction(() => !document.getElementById("f-job-name-apart"));
  });

  await results.check("a click right after typing does both", async () => {
    const count = (await hand.state()).doc.stock.length;
    await page.fill("#f-job-name", "Bulb boxes for the swap");
    await page.locator("#add-stock").scrollIntoViewIfNeeded();
    const box = await page.locator("#add-stock").boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await page.mouse.down();
    await hand.until("the name is in", ({ doc }) => doc.job.name === "Bulb boxes for the swap");
    await page.waitForTimeout(300);
    await page.mouse.up();
    await hand.until("the paper is in", ({ doc }) => doc.stock.length === count + 1);
    await page.evaluate(() => document.getElementById("undo").click());
    await hand.until("the paper is out", ({ doc }) => doc.stock.length === count);
    await page.evaluate(() => document.getElementById("undo").click());
    await hand.until("the name is as it was", ({ doc }) => doc.job.name === "Bulb boxes for the");
  });

  await results.check("half-typed wishes are there after a reload", async () => {
    await hand.go("#start");
    await page.fill("#wish-size", "4 x 3");
    await page.reload();
    await page.waitForSelector("#wish-size");
    hold((await page.inputValue("#wish-size")) === "4 x 3", "they are gone");
  });

  await results.check("leaving with unsaved work asks", async () => {
    let isAsked = false;
    page.removeAllListeners("dialog");
    page.on("dialog", (dialog) => {
      isAsked = dialog.type() === "beforeunload";
      dialog.accept();
    });
    await page.click("#wish-size");
    await page.reload();
    hold(isAsked, "it did not");
  });

  await results.check("opening something else with unsaved work asks, and can be left", async () => {
    await page.waitForSelector(".shelf .card");
    await page.click(".shelf .card >> nth=3 >> button");
    await page.waitForSelector("dialog.question");
    await page.keyboard.press("Escape");
    await page.waitForFunction(() => !document.querySelector("dialog"));
    hold((await hand.state()).doc.job.name === "Bulb boxes for the", "another project was opened");
  });
  await context.close();
}

/** Two windows. */
export async function tabs({ results, browser, url }) {
  const context = await browser.newContext();
  const one = await Hand.at(context, url);
  await one.open("bulb-box");
  const other = await Hand.at(context, url);
  await one.go("#paper");
  await other.go("#paper");
  await one.page.waitForSelector("#f-job-name");
  await other.page.waitForSelector("#f-job-name");

  await results.check("a window that is behind overwrites nothing, and shows both", async () => {
    await one.page.route("**/pulse", (route) => route.abort());
    await one.page.waitForTimeout(1200);
    await other.page.fill("#f-job-copies", "9");
    await other.page.locator("#f-job-copies").blur();
    await other.until("the other's change is in", ({ doc }) => Number(doc.job.copies) === 9);
    await one.page.fill("#f-job-copies", "5");
    await one.page.locator("#f-job-copies").blur();
    await one.page.waitForSelector(".notice.newer");
    hold(Number((await other.state()).doc.job.copies) === 9, "it was overwritten");
    hold((await one.page.inputValue("#f-job-copies")) === "5", "what was typed is gone");
    hold((await one.page.textContent("#f-job-copies-apart")).includes("9"), "the newer is not shown");
    await one.page.unroute("**/pulse");
  });

  await results.check("what was typed goes in by a click, and is seen in the other window", async () => {
    await one.page.click("#f-job-copies-put");
    await one.until("it is in", ({ doc }) => Number(doc.job.copies) === 5);
    await other.page.waitForFunction(() => document.getElementById("f-job-copies").value === "5");
  });
  await context.close();
}

/** A project that another program changes. */
export async function disk({ results, browser, url, folder }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("bulb-box");
  const file = path.join(folder, "swap.toml");
  fs.rmSync(file, { force: true });

  await results.check("saved, changed by another program, and told", async () => {
    await page.click("#save");
    await page.fill("#save-name", "swap.toml");
    await page.keyboard.press("Enter");
    await hand.until("it is saved", ({ is_saved: is }) => is);
    const { text: saved } = await hand.state();
    hold(fs.readFileSync(file, "utf8") === saved, "the file holds something else");
    fs.writeFileSync(file, saved.replace("Bulb boxes", "Boxes of bulbs"));
    await page.waitForSelector(".notice.disk");
  });

  await results.check("saving over it asks, and can be left", async () => {
    await hand.post("/change", { base: (await hand.state()).revision, words: "the change of copies", edits: [{ at: ["job", "copies"], set: 4 }] });
    await page.waitForFunction(() => document.querySelector(".saved").textContent.includes("changed since"));
    await page.click("#save");
    await page.waitForSelector("dialog.question");
    await page.keyboard.press("Escape");
    hold(fs.readFileSync(file, "utf8").includes("Boxes of bulbs"), "it was overwritten");
  });

  await results.check("what is on disk is taken", async () => {
    await page.click(".notice.disk button >> nth=0");
    await page.click("dialog.question button >> nth=0");
    await hand.until("it is taken", ({ doc }) => doc.job.name === "Boxes of bulbs");
  });
  await context.close();
}
