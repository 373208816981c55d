/**
 * The sheets: laid out, a piece carried by keys and by the pointer, clashes told at once, pins, undo, and stopping.
 */

import { Hand, hold } from "./hand.mjs";

/** Waits until the sheets on the page are those of the project as it is. */
async function laidOut(hand) {
  const { page } = hand;
  await hand.until(
    "the sheets are laid out",
    async ({ revision }) => {
      const { state, of_revision: of } = await layout(hand);
      return state === "done" && of === revision;
    },
  );
  await page.waitForFunction(() => document.querySelector(".spot") && !document.querySelector("#sheets-work progress, .on-table .stale"));
}

function layout(hand) {
  return hand.page.evaluate(async () => (await fetch("/layout")).json());
}

/** All that is done with sheets. */
export async function sheets({ results, browser, url }) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 1400 } });
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.open("plant-labels");
  await hand.go("#sheets");

  await results.check("the sheets lie on the table, every piece with its name", async () => {
    await laidOut(hand);
    const known = (await layout(hand)).sheets.flatMap(({ placements }) => placements).length;
    const names = await page.$$eval(".spot", (spots) => spots.map((spot) => spot.getAttribute("aria-label")));
    hold(names.length === known && known > 0, `${names.length} of ${known} pieces can be reached`);
    hold(names.every((name) => /^\S+, copy \d+, [\d.]+ (mm|in) from the left/.test(name)), `a name is "${names[0]}"`);
    return `${known} pieces`;
  });

  await results.check("into the margin by arrow keys: told at once; Escape puts it back", async () => {
    const before = await page.getAttribute(".spot >> nth=0", "transform");
    await page.focus(".spot >> nth=0");
    await page.keyboard.press("Enter");
    await page.waitForSelector("#note-title");
    for (let i = 0; i < 3; i += 1) await page.keyboard.press("Shift+ArrowLeft");
    await page.waitForSelector(".clash");
    const words = await page.textContent(".clash");
    await page.keyboard.press("Enter");
    await page.waitForTimeout(300);
    hold(!(await hand.state()).doc.pin, "it was pinned all the same");
    await page.keyboard.press("Escape");
    await page.waitForFunction(() => !document.querySelector(".clash"));
    hold((await page.getAttribute(".spot.chosen", "transform")) === before, "it is not back");
    return words;
  });

  await results.check("over a neighbour by the pointer: told at once", async () => {
    const boxes = (await layout(hand)).sheets[0].placements.map(({ box }) => box);
    const spots = await page.$$("#sheet-1 .spot");
    hold(spots.length > 1 && boxes.length > 1, "the first sheet holds one piece only");
    const [from, to] = await Promise.all([spots[0].boundingBox(), spots[1].boundingBox()]);
    await page.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
    await page.mouse.down();
    await page.mouse.move(to.x + to.width / 2, to.y + to.height / 2, { steps: 6 });
    await page.waitForSelector(".spot.clashing");
    await page.mouse.up();
    await page.waitForSelector(".clash");
    const words = await page.textContent(".clash");
    await page.click("#note-back");
    return words;
  });

  await results.check("pinned where it lies: written as a pin, the rest laid out round it", async () => {
    await page.focus(".spot >> nth=0");
    await page.keyboard.press(" ");
    await page.click("#note-pin");
    const state = await hand.until("the pin is in", ({ doc }) => doc.pin?.length === 1);
    hold(state.is_sound, `something is wrong: ${state.diagnostics.find(({ severity }) => severity === "error")?.message}`);
    await laidOut(hand);
    await page.waitForSelector(".pin-head");
    hold((await layout(hand)).sheets.flatMap(({ placements }) => placements).filter(({ pinned }) => pinned).length === 1, "not one piece is pinned");
  });

  await results.check("undo lets it go, redo pins it again, and so does the button", async () => {
    await page.click("#undo");
    await hand.until("the pin is gone", ({ doc }) => !doc.pin?.length);
    await page.click("#redo");
    await hand.until("the pin is back", ({ doc }) => doc.pin?.length === 1);
    await laidOut(hand);
    await page.click("#unpin-all");
    await hand.until("the pin is gone again", ({ doc }) => !doc.pin?.length);
    await laidOut(hand);
  });

  await results.check("a pin that has come to lie on a mark is told with a button that lets it go", async () => {
    const { revision, doc } = await hand.state();
    const [piece] = doc.piece;
    const pin = { piece: piece.id, copy: 1, x: "0 mm", y: "0 mm" };
    await hand.post("/change", { base: revision, words: "a pin at the edge", edits: [{ at: ["pin"], add: pin }] });
    await page.waitForSelector("#unpin-0");
    hold(!(await hand.state()).is_sound, "nothing is wrong with a piece at the edge of the sheet");
    await page.click("#unpin-0");
    await hand.until("the pin is gone", ({ doc: now, is_sound: is }) => is && !now.pin?.length);
    await laidOut(hand);
  });

  await results.check("a typed place is carried to, and a wrong one is told and kept", async () => {
    await page.focus(".spot >> nth=0");
    await page.keyboard.press(" ");
    await page.fill("#note-x", "far left");
    await page.locator("#note-x").blur();
    hold((await page.textContent("#note-x-wrong")).includes("A length"), "it is not told");
    hold((await page.inputValue("#note-x")) === "far left", "what was typed is gone");
    await page.fill("#note-x", "100 mm");
    await page.locator("#note-x").blur();
    await page.waitForSelector("#note-clashes > *");
    await page.click("#note-back");
    await page.click("#note-away");
  });

  await results.check("a long search shows its progress and stops when told to", async () => {
    await page.selectOption("#effort", "thorough");
    await page.click("#lay-out");
    await page.waitForSelector("#stop");
    await page.click("#stop");
    await page.waitForFunction(() => !document.querySelector("#sheets-work progress"));
    hold((await page.locator(".spot").count()) > 0, "the sheets are gone");
    await page.selectOption("#effort", "quick");
  });

  await results.check("a change in another view lays the sheets out anew", async () => {
    const before = (await layout(hand)).sheets.reduce((sum, sheet) => sum + sheet.placements.length * sheet.runs, 0);
    const { revision, doc } = await hand.state();
    const answer = await hand.post("/change", { base: revision, words: "the change of copies", edits: [{ at: ["job", "copies"], set: Number(doc.job.copies) + 30 }] });
    hold(answer.status === 200, `the change was answered with ${answer.status}`);
    await laidOut(hand);
    const after = (await layout(hand)).sheets.reduce((sum, sheet) => sum + sheet.placements.length * sheet.runs, 0);
    hold(after > before, `${before} pieces before, ${after} after`);
  });
  await results.check("a finger that passes over a piece scrolls; one that taps it chooses it", () => touched(browser, url));
  results.add("no trouble in scripts at the sheets", hand.troubles.length === 0, hand.troubles.slice(0, 3).join(" | "));
  await context.close();
}

/** The same on a tablet: nothing is moved by scrolling. */
async function touched(browser, url) {
  const context = await browser.newContext({ viewport: { width: 768, height: 1024 }, hasTouch: true });
  const hand = await Hand.at(context, url);
  const { page } = hand;
  await hand.go("#sheets");
  await laidOut(hand);
  const spot = page.locator(".spot >> nth=0");
  await spot.scrollIntoViewIfNeeded();
  const box = await spot.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const session = await context.newCDPSession(page);
  const touch = (type, points) => session.send("Input.dispatchTouchEvent", { type, touchPoints: points });
  await touch("touchStart", [{ x, y }]);
  for (let i = 1; i <= 5; i += 1) await touch("touchMove", [{ x: x + 2 * i, y: y - 20 * i }]);
  await touch("touchEnd", []);
  await page.waitForTimeout(300);
  hold(!(await hand.state()).doc.pin?.length, "scrolling pinned it");
  hold((await page.locator("#note-title").count()) === 0, "scrolling chose it");
  await spot.scrollIntoViewIfNeeded();
  await spot.tap({ force: true });
  await page.waitForSelector("#note-title");
  await context.close();
}
