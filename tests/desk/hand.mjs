/**
 * A person's hand in the browser: it clicks and fills, and counts both.
 */

import fs from "node:fs";
import path from "node:path";
import { chromium } from "playwright-core";

/** How long anything may take: the walk must hold on a slow and busy machine. */
const PATIENCE_MS = Number(process.env.DESK_PATIENCE_S ?? 180) * 1000;

const FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** Starts the browser. */
export function browse(program = "/usr/bin/chromium") {
  return chromium.launch({ executablePath: program, args: FLAGS });
}

/** Results of the run, in the order of the checks. */
export class Results {
  constructor() {
    this.checks = [];
  }

  /** Runs one check; a failure is kept and the run goes on. */
  async check(name, act) {
    const begun = Date.now();
    try {
      const detail = (await act()) ?? "";
      this.add(name, true, detail, begun);
    } catch (error) {
      this.add(name, false, String(error.message ?? error).split("\n").slice(0, 3).join(" | "), begun);
    }
  }

  add(name, ok, detail, begun = Date.now()) {
    const seconds = (Date.now() - begun) / 1000;
    this.checks.push({ name, ok, detail, seconds });
    console.log(`${ok ? "ok  " : "FAIL"} ${name}${detail === "" ? "" : `: ${typeof detail === "string" ? detail : JSON.stringify(detail)}`}`);
  }

  /** Whether nothing failed. */
  get isGood() {
    return this.checks.every(({ ok }) => ok);
  }
}

/** Fails with words unless something holds. */
export function hold(is, words) {
  if (!is) throw new Error(words);
}

/** A page with a hand that counts. */
export class Hand {
  /**
   * @param {import("playwright-core").BrowserContext} context
   * @param {string} url of the desk
   */
  static async at(context, url) {
    const hand = new Hand();
    hand.url = url;
    hand.page = await context.newPage();
    hand.clicks = 0;
    hand.fields = 0;
    hand.troubles = [];
    hand.page.setDefaultTimeout(PATIENCE_MS);
    hand.page.on("pageerror", (error) => hand.troubles.push(`script: ${error.message}`));
    hand.page.on("console", (message) => {
      if (message.type() === "error" && !/status of (400|403|404|409|413)/.test(message.text())) hand.troubles.push(`console: ${message.text()}`);
    });
    hand.page.on("dialog", (dialog) => dialog.accept());
    await hand.page.goto(url);
    await hand.page.waitForSelector("#view h1");
    return hand;
  }

  /** Clicks, and counts it. */
  async click(where) {
    await this.page.click(where);
    this.clicks += 1;
  }

  /** Fills a field and leaves it, and counts it. */
  async fill(where, text) {
    await this.page.fill(where, text);
    await this.page.locator(where).blur();
    this.fields += 1;
  }

  /** Chooses in a list, and counts it as a field. */
  async choose(where, value) {
    await this.page.selectOption(where, value);
    this.fields += 1;
  }

  /** Goes to a view by its tab, and counts the click. */
  async tab(name) {
    await this.click(`#tab-${name}`);
    await this.page.waitForSelector(`.view-${name} h1`);
  }

  /** Goes to a route without a click: for checks that count nothing. */
  async go(route) {
    await this.page.evaluate((hash) => {
      location.hash = hash;
    }, route);
    await this.page.waitForSelector(`.view-${route.slice(1).split("/")[0]} h1`);
  }

  /** The server's state, as the page would ask for it. */
  state() {
    return this.page.evaluate(async () => (await fetch("/state")).json());
  }

  /** Sends a call as the page would; answers with status and JSON. */
  post(call, body) {
    return this.page.evaluate(
      async ([to, what]) => {
        const key = document.querySelector("meta[name=desk-key]").content;
        const answer = await fetch(to, { method: "POST", headers: { "Content-Type": "application/json", "Desk-Key": key }, body: JSON.stringify(what) });
        const text = await answer.text();
        return { status: answer.status, body: text ? JSON.parse(text) : null };
      },
      [call, body],
    );
  }

  /** Waits until the state on the server satisfies something. */
  async until(words, is, seconds = PATIENCE_MS / 1000) {
    const end = Date.now() + seconds * 1000;
    for (;;) {
      const state = await this.state();
      if (await is(state)) return state;
      if (Date.now() > end) throw new Error(`not within ${seconds} s: ${words}`);
      await this.page.waitForTimeout(100);
    }
  }

  /** Opens an example of ours. */
  async open(example) {
    await this.go("#start");
    await this.page.waitForSelector(".shelf .card");
    const answer = await this.post("/open", { example });
    hold(answer.status === 200, `the example ${example} did not open: ${answer.status}`);
    await this.page.reload();
    await this.page.waitForSelector("#view h1");
    await this.page.evaluate(() => sessionStorage.clear());
    return answer.body;
  }

  /** Downloads what a link gives, into a folder; answers with the path. */
  async download(where, folder) {
    const [download] = await Promise.all([this.page.waitForEvent("download"), this.click(where)]);
    const to = path.join(folder, download.suggestedFilename());
    await download.saveAs(to);
    hold(fs.statSync(to).size > 0, `${to} is empty`);
    return to;
  }
}
