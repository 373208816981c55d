/**
 * Pieces and paper: fields that take what is typed, mistakes at their fields, pictures and patterns, and undo.
 */

import { Hand, hold } from "./hand.mjs";

/** A picture of 2 x 2 pixels, as PNG: four colours of the plant-swap morning. */
const PNG = Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAIAAAD91JpzAAAAF0lEQVR4nGOQj3E+f2c3w6MbR6drSgEALUUGfj4hfVQAAAAASUVORK5CYII=", "base64");

/** The pieces of a project, one of its own and those of a box. */
export async function pieces({ results, browser, url }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("seed-drawer");
  await hand.go("#pieces");
  await page.waitForSelector("#piece-title");

  await results.check("fractions are taken as typed", async () => {
    await page.waitForSelector("#f-part-0-inside");
    await page.fill("#f-part-0-inside", "2 1/2 x 1-3/4 x ¾ in");
    await page.locator("#f-part-0-inside").blur();
    const state = await hand.until("the size is in", ({ doc }) => doc.part[0].inside === "2 1/2 x 1-3/4 x ¾ in");
    hold(state.is_sound, `it is refused: ${state.diagnostics[0]?.message}`);
  });

  await results.check("undo takes it back, redo brings it again", async () => {
    await page.click("#undo");
    await hand.until("the size is back", ({ doc }) => doc.part[0].inside === "60 x 40 x 20 mm");
    await page.waitForFunction(() => document.getElementById("f-part-0-inside").value === "60 x 40 x 20 mm");
    await page.click("#redo");
    await hand.until("the size is in again", ({ doc }) => doc.part[0].inside !== "60 x 40 x 20 mm");
    await page.click("#undo");
    await hand.until("the size is back again", ({ doc }) => doc.part[0].inside === "60 x 40 x 20 mm");
  });

  await results.check("a new piece has a picture, takes a shape, a crease and a hole", async () => {
    await page.click("#add-something > summary");
    await page.selectOption("#new-shape", "rounded-rectangle");
    await page.click("#add-piece");
    await page.waitForSelector("#f-piece-0-shape-radius");
    await page.selectOption("[id^=new-operation]", "hole");
    await page.click("[id^=new-operation][id$=-do]");
    await hand.until("the hole is in", ({ doc }) => doc.piece?.[0]?.operation?.[0]?.kind === "hole");
    await page.selectOption("[id^=new-operation]", "crease");
    await page.click("[id^=new-operation][id$=-do]");
    const state = await hand.until("the crease is in", ({ doc }) => doc.piece[0].operation?.length === 2);
    hold(state.is_sound, `something is wrong: ${state.diagnostics.find(({ severity }) => severity === "error")?.message}`);
    hold(state.pieces.some(({ list }) => list === "piece"), "it has no picture");
  });

  await results.check("a colour, a pattern and a picture are laid on it", async () => {
    const stock = (await hand.state()).doc.stock.find(({ face_a: face }) => face === "printable").id;
    await page.selectOption("#f-piece-0-stock", stock);
    await hand.until("the paper is another", ({ doc }) => doc.piece[0].stock === stock);
    await page.click("#new-art-piece-0-colour");
    await hand.until("the colour is in", ({ doc }) => doc.piece[0].artwork?.length === 1);
    await page.click("#new-art-piece-0-patterns > summary");
    await page.click("#new-art-piece-0-patterns button >> nth=0");
    await hand.until("the pattern is in", ({ doc }) => doc.piece[0].artwork.length === 2 && doc.piece[0].artwork[1].pattern);
    await page.setInputFiles("#new-art-piece-0", { name: "leaf.png", mimeType: "image/png", buffer: PNG });
    const state = await hand.until("the picture is in", ({ doc }) => doc.piece[0].artwork.length === 3);
    hold(state.is_sound, `something is wrong: ${state.diagnostics.find(({ severity }) => severity === "error")?.message}`);
  });

  await results.check("a picture moves by arrow keys, turns by R, and is put down by Enter", async () => {
    await page.waitForSelector(".art-box");
    await page.focus(".art-box");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("Shift+ArrowDown");
    await page.keyboard.press("r");
    await page.keyboard.press("Enter");
    const state = await hand.until("the picture lies elsewhere", ({ doc }) => doc.piece[0].artwork[2].at !== undefined);
    hold(state.doc.piece[0].artwork[2].turn === "90 deg", `turned by ${state.doc.piece[0].artwork[2].turn}`);
  });

  await results.check("what is no picture is refused with words", async () => {
    await page.setInputFiles("#new-art-piece-0", { name: "leaf.png", mimeType: "image/png", buffer: Buffer.from("no picture") });
    await page.waitForFunction(() => document.querySelector(".notice.refused, .mistakes .wrong-ones, .field.wrong"));
    await page.waitForTimeout(300);
  });
  results.add("no trouble in scripts at the pieces", hand.troubles.length === 0, hand.troubles.slice(0, 3).join(" | "));
  await context.close();
}

/** Something wrong in every field: it is told at the field, it stays as typed, and undo brings the old back. */
export async function wrongs({ results, browser, url }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  await hand.open("gift-kit");
  for (const [view, sign] of [["#pieces", "#piece-title"], ["#pieces/piece/0", "#piece-title"], ["#paper", "#job-title"]]) {
    await hand.go(view);
    await hand.page.waitForSelector(sign);
    await results.check(`wrong words in every field of ${view}`, () => everyField(hand));
  }
  await context.close();
}

/** Fields whose text is free words: nothing typed into them is wrong. */
const FREE = /-(name|id|note|text|words|title|caption)$/;

async function everyField(hand) {
  const { page } = hand;
  for (const summary of await page.$$("#view details:not([open]) > summary")) await summary.click();
  const ids = await page.$$eval('#view .field input[type="text"][id^="f-"]', (nodes) => nodes.map(({ id }) => id));
  const trouble = [];
  let told = 0;
  for (const id of ids) {
    const outcome = await oneWrong(hand, id);
    if (outcome === "told") told += 1;
    else if (outcome !== "free") trouble.push(`${id}: ${outcome}`);
  }
  hold(ids.length > 0, "no field was found");
  hold(trouble.length === 0, `${trouble.length} of ${ids.length}: ${trouble.slice(0, 6).join("; ")}`);
  return `${ids.length} fields, ${told} told what is wrong`;
}

const NONSENSE = "what?!";

async function oneWrong(hand, id) {
  const { page } = hand;
  const before = await page.inputValue(`#${id}`);
  const sent = page.waitForResponse((answer) => answer.url().endsWith("/change"));
  await page.fill(`#${id}`, NONSENSE);
  await page.locator(`#${id}`).blur();
  const { revision } = await (await sent).json();
  if (revision === undefined) return "it was refused and went nowhere";
  await page.waitForSelector(`#head[data-revision="${revision}"]`);
  const state = await hand.state();
  const field = page.locator(`.field:has(> #${id}), .field:has(.pair > #${id})`);
  if ((await page.locator(`#${id}`).count()) === 0) return "the field is gone";
  const kept = await page.inputValue(`#${id}`);
  const isMarked = (await page.getAttribute(`#${id}`, "aria-invalid")) === "true";
  const words = isMarked ? ((await field.locator(".mistake").textContent()) ?? "").trim() : "";
  const described = (await page.getAttribute(`#${id}`, "aria-describedby")) ?? "";
  await page.evaluate(() => document.getElementById("undo").click());
  await hand.until("it is as it was", (now) => now.revision > state.revision);
  await page.waitForFunction(([name, text]) => document.getElementById(name)?.value === text, [id, before]);
  if (kept !== NONSENSE) return `what was typed became "${kept}"`;
  if (isMarked && words !== "" && described.includes(`${id}-wrong`)) return "told";
  return FREE.test(id) || state.is_sound ? "free" : "nothing is told at it";
}

/** Papers, offcuts, and what is in use. */
export async function paper({ results, browser, url }) {
  const context = await browser.newContext();
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("bulb-box");
  await hand.go("#paper");
  await page.waitForSelector("#job-title");

  await results.check("a paper and an offcut are added, priced, and taken away", async () => {
    const count = (await hand.state()).doc.stock.length;
    await page.click("#add-stock");
    await page.waitForSelector(`#f-stock-${count}-price`);
    await page.fill(`#f-stock-${count}-price`, "0.35 EUR");
    await page.locator(`#f-stock-${count}-price`).blur();
    await page.click("#add-offcut");
    const state = await hand.until("the offcut is in", ({ doc }) => doc.stock.length === count + 2);
    hold(state.is_sound, `something is wrong: ${state.diagnostics.find(({ severity }) => severity === "error")?.message}`);
    await page.waitForSelector("#offcuts-title");
    await page.click(`#stock-${count + 1}-away`);
    await hand.until("the offcut is gone", ({ doc }) => doc.stock.length === count + 1);
    await page.click(`#stock-${count}-away`);
    await hand.until("the paper is gone", ({ doc }) => doc.stock.length === count);
  });

  await results.check("a paper in use cannot be taken away unseen", async () => {
    hold((await page.locator("#stock-0-away").count()) === 0, "it can");
  });

  await results.check("comments stay when a field is changed", async () => {
    const before = (await hand.state()).text;
    const comments = before.split("\n").filter((line) => line.includes("#")).length;
    await page.fill("#f-job-name", "Bulb boxes for the spring swap");
    await page.locator("#f-job-name").blur();
    const state = await hand.until("the name is in", ({ doc }) => doc.job.name === "Bulb boxes for the spring swap");
    hold(state.text.split("\n").filter((line) => line.includes("#")).length === comments, "comments were lost");
  });
  await context.close();
}
