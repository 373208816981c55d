/**
 * The desk in a real browser, each of its parts as a person would use it, from an empty start to files that can be proved.
 *
 *     node walk.mjs --program target/debug/sheetwright --out FOLDER [--chromium PATH] [--only main,pieces,...]
 *
 * starts the desk in a new empty folder under FOLDER; `--url http://127.0.0.1:PORT/` walks through one that runs (then
 * `--folder` says where its project lies, for the check of changes on disk). What was made lies as `made.zip` in FOLDER, and
 * pictures of all views in FOLDER/views. Ends with 0 if every check holds, and writes FOLDER/walk.json.
 */

import fs from "node:fs";
import path from "node:path";
import { spawn } from "node:child_process";
import { parseArgs } from "node:util";
import { browse, Results } from "./hand.mjs";
import { guard } from "./guard.mjs";
import { beginning, making, pictures } from "./begin.mjs";
import { paper, pieces, wrongs } from "./pieces.mjs";
import { sheets } from "./sheets.mjs";
import { measure } from "./measure.mjs";
import { disk, reloads, tabs, text } from "./kept.mjs";
import { views, zoomed } from "./views.mjs";

const { values: given } = parseArgs({
  options: {
    program: { type: "string" },
    url: { type: "string" },
    folder: { type: "string" },
    out: { type: "string", default: "walk" },
    chromium: { type: "string", default: "/usr/bin/chromium" },
    only: { type: "string", default: "" },
  },
});

/** The parts of the walk, in their order. */
const PARTS = {
  guard: ({ results, url }) => guard(results, url),
  main: beginning,
  making,
  pictures,
  pieces,
  wrongs,
  paper,
  sheets,
  measure,
  text,
  reloads,
  tabs,
  disk,
  views: ({ results, browser, url, out }) => views(results, browser, url, path.join(out, "views")),
  zoomed: ({ results, browser, url }) => zoomed(results, browser, url),
};

/** Starts the desk in an empty folder; answers with its address and how to end it. */
function start(program, folder) {
  fs.mkdirSync(folder, { recursive: true });
  const child = spawn(program, ["desk", folder, "--port", "0", "--no-browser"], { stdio: ["ignore", "pipe", "inherit"] });
  return new Promise((resolve, reject) => {
    let said = "";
    child.on("error", reject);
    child.on("exit", (code) => reject(new Error(`the desk ended with ${code} before it was ready`)));
    child.stdout.on("data", (part) => {
      said += part;
      const url = /http:\/\/127\.0\.0\.1:\d+\//.exec(said)?.[0];
      if (url) resolve({ url, end: () => child.kill() });
    });
  });
}

async function walk() {
  const out = path.resolve(given.out);
  fs.mkdirSync(out, { recursive: true });
  const folder = path.resolve(given.folder ?? path.join(out, `desk-${process.pid}`));
  const desk = given.url ? { url: given.url, end: () => {} } : await start(path.resolve(given.program), folder);
  const browser = await browse(given.chromium);
  const results = new Results();
  const only = given.only.split(",").filter(Boolean);
  try {
    for (const [name, part] of Object.entries(PARTS)) {
      if (only.length && !only.includes(name)) continue;
      console.log(`-- ${name}`);
      try {
        await part({ results, browser, url: desk.url, out, folder });
      } catch (error) {
        results.add(`${name} went to its end`, false, String(error.message ?? error).split("\n")[0]);
      }
    }
  } finally {
    await browser.close();
    desk.end();
  }
  fs.writeFileSync(path.join(out, "walk.json"), `${JSON.stringify(results.checks, null, 1)}\n`);
  const failed = results.checks.filter(({ ok }) => !ok).length;
  console.log(`${results.checks.length} checks, ${failed} failed`);
  return results.isGood;
}

process.exitCode = (await walk()) ? 0 : 1;
