/**
 * How long the desk takes to show the sheets after one typed change, beside `plan` of the same project on the command line.
 *
 *     node speed.mjs --program target/release/sheetwright [--runs 9]
 *
 * Both look for a layout at a glance, in turn, in one run; the medians stand side by side. Nothing fails here: timings are read by people.
 */

import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { spawn, spawnSync } from "node:child_process";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { keyOf, request } from "./guard.mjs";

const { values: given } = parseArgs({ options: { program: { type: "string" }, runs: { type: "string", default: "9" } } });
const program = path.resolve(given.program);
const runs = Number(given.runs);
const examples = fileURLToPath(new URL("../../examples", import.meta.url));

/** Between two questions whether the layout is done, in milliseconds. */
const PATIENCE_MS = 4;

function start(folder) {
  const child = spawn(program, ["desk", folder, "--port", "0", "--no-browser"], { stdio: ["ignore", "pipe", "inherit"] });
  return new Promise((resolve) => {
    let said = "";
    child.stdout.on("data", (part) => {
      said += part;
      const url = /http:\/\/127\.0\.0\.1:\d+\//.exec(said)?.[0];
      if (url) resolve({ url, end: () => child.kill() });
    });
  });
}

function median(times) {
  return [...times].sort((a, b) => a - b)[Math.floor(times.length / 2)];
}

async function timed(act) {
  const begun = performance.now();
  await act();
  return performance.now() - begun;
}

async function main() {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "desk-speed-"));
  const desk = await start(folder);
  const key = await keyOf(desk.url);
  const headers = { "Desk-Key": key, "Content-Type": "application/json" };
  const post = async (call, body) => JSON.parse((await request(desk.url, { method: "POST", path: call, headers, body: JSON.stringify(body) })).text);
  const get = async (call) => (await request(desk.url, { path: call })).text;

  /** One typed change, until the first sheet that follows from it is drawn. */
  async function change(base, name) {
    const edits = [{ at: ["job", "name"], set: name }];
    const { revision } = await post("/change", { base, words: "the change of the name", edits });
    await post("/lay-out", { base: revision, effort: "quick" });
    for (;;) {
      const layout = JSON.parse(await get("/layout"));
      if (layout.of_revision === revision && layout.state === "done") {
        await get(layout.sheets[0].front);
        return revision;
      }
      await new Promise((wake) => setTimeout(wake, PATIENCE_MS));
    }
  }

  console.log("example          desk ms  plan ms  ratio  over plan ms");
  for (const name of fs.readdirSync(examples).filter((name) => fs.existsSync(path.join(examples, name, "project.toml")))) {
    let { revision } = await post("/open", { example: name });
    const [onDesk, onLine] = [[], []];
    for (let run = 0; run < runs; run += 1) {
      onDesk.push(await timed(async () => { revision = await change(revision, `Run ${run}`); }));
      onLine.push(await timed(() => spawnSync(program, ["plan", path.join(examples, name), "--effort", "quick"])));
    }
    const [desk_ms, plan_ms] = [median(onDesk), median(onLine)];
    const cells = [desk_ms.toFixed(0).padStart(8), plan_ms.toFixed(0).padStart(8), (desk_ms / plan_ms).toFixed(2).padStart(6), (desk_ms - plan_ms).toFixed(0).padStart(13)];
    console.log(name.padEnd(16) + cells.join(" "));
  }
  desk.end();
  fs.rmSync(folder, { recursive: true });
}

await main();
