/**
 * Every view looked at: wide, tablet and narrow, light and dark, with a picture of each and the rules of axe-core.
 */

import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";
import { Hand, hold } from "./hand.mjs";

const AXE = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Widths of a laptop, a tablet and a phone, in CSS pixels. */
const SIZES = [
  ["wide", 1280, 900],
  ["tablet", 768, 1024],
  ["narrow", 390, 844],
];

/** The views, and what must be seen before a picture is taken. */
const VIEWS = [
  ["start", "#start", ".shelf .card"],
  ["pieces", "#pieces", "#piece-title"],
  ["paper", "#paper", "#job-title"],
  ["sheets", "#sheets", ".spot"],
  ["printer", "#measure/printer", "#read-ruler"],
  ["cutter", "#measure/cutter", "#get-test-cut"],
  ["sheet", "#measure/sheet", "#find-sheet, .view-measure section"],
  ["make", "#make", "#make"],
  ["text", "#text", "#whole-text"],
];

/** Least size of what is touched, in CSS pixels; half a pixel is rounding. */
const TOUCH_PX = 43.5;

/** Runs axe-core on the page; answers with what it finds serious or critical. */
export async function serious(page) {
  const session = await page.context().newCDPSession(page);
  const expression = `${AXE};axe.run().then((found) => JSON.stringify(found.violations.filter(({ impact }) => impact === "serious" || impact === "critical").map(({ id, nodes }) => [id, nodes.length, nodes[0].html.slice(0, 120)])))`;
  const { result, exceptionDetails } = await session.send("Runtime.evaluate", { expression, awaitPromise: true });
  await session.detach();
  hold(!exceptionDetails, "axe-core did not run");
  return JSON.parse(result.value);
}

/** Everything that can be touched and is smaller than a finger. */
function small(page) {
  return page.evaluate((least) => {
    const touched = [...document.querySelectorAll("button, select, summary, .tab, .button, input:not([type=checkbox])")];
    return touched
      .map((node) => [node.getBoundingClientRect(), node.outerHTML.slice(0, 80)])
      .filter(([box]) => box.width > 0 && (box.width < least || box.height < least))
      .map(([, words]) => words);
  }, TOUCH_PX);
}

/** Whether the page must be moved sideways to be read. */
function isTooWide(page) {
  return page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);
}

/** Looks at all views in all sizes and schemes. */
export async function views(results, browser, url, folder) {
  fs.mkdirSync(folder, { recursive: true });
  for (const scheme of ["light", "dark"]) {
    for (const [size, width, height] of SIZES) {
      const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, reducedMotion: "reduce" });
      const hand = await Hand.at(context, url);
      for (const [name, route, sign] of VIEWS) {
        await results.check(`${name}, ${size}, ${scheme}: no serious finding, nothing too small or too wide`, () => look(hand, name, route, sign, path.join(folder, `${name}-${size}-${scheme}.png`)));
      }
      results.add(`no trouble in scripts, ${size}, ${scheme}`, hand.troubles.length === 0, hand.troubles.slice(0, 3).join(" | "));
      await context.close();
    }
  }
}

async function look(hand, name, route, sign, file) {
  const { page } = hand;
  await hand.go(route);
  await page.waitForSelector(sign);
  if (name === "sheets") await page.waitForFunction(() => !document.querySelector("#sheets-work progress"));
  await page.waitForFunction(() => [...document.images].every((image) => image.complete));
  await page.screenshot({ path: file, fullPage: true });
  const broken = await page.evaluate(() => [...document.images].filter((image) => image.naturalWidth === 0).map((image) => image.src));
  hold(broken.length === 0, `pictures that do not come: ${broken.join(", ")}`);
  const found = await serious(page);
  hold(found.length === 0, `axe-core: ${JSON.stringify(found)}`);
  const tiny = await small(page);
  hold(tiny.length === 0, `smaller than a finger: ${tiny.join(" ")}`);
  hold(!(await isTooWide(page)), "wider than the window");
}

/** Zoomed to 200 %: a window of half the size in CSS pixels, drawn twice as dense. */
export async function zoomed(results, browser, url) {
  const context = await browser.newContext({ viewport: { width: 640, height: 450 }, deviceScaleFactor: 2 });
  const hand = await Hand.at(context, url);
  for (const [name, route, sign] of VIEWS) {
    await results.check(`${name} at 200 %: nothing too wide`, async () => {
      await hand.go(route);
      await hand.page.waitForSelector(sign);
      hold(!(await isTooWide(hand.page)), "wider than the window");
    });
  }
  await context.close();
}
