// The program on a port of its own with an empty store, and a browser: what every walk needs.

import { spawn } from "node:child_process";
import { mkdtempSync, mkdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const here = path.dirname(fileURLToPath(import.meta.url));
const PROGRAM = process.env.LOOPWRIGHT ?? path.join(here, "../../target/release/loopwright");
const BROWSER = process.env.CHROMIUM ?? "/usr/bin/chromium";
/** Screenshots of every room go here, where somebody wants to look at them. */
const SHOTS = process.env.SHOTS;

/** A phone in one hand, a laptop on a step-ladder. */
export const SIZES = {
  phone: { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true },
  laptop: { viewport: { width: 1440, height: 900 } },
};

/** Starts program and browser; `close` ends both and throws the store away. */
export async function open() {
  const folder = mkdtempSync(path.join(tmpdir(), "loopwright-browser-"));
  const program = spawn(PROGRAM, ["serve", "--listen", "127.0.0.1:0", "--db", path.join(folder, "jobs.db")], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let talk = "";
  program.stderr.on("data", (bytes) => { talk += bytes; });
  const address = await new Promise((resolve, reject) => {
    let told = "";
    program.stdout.on("data", (bytes) => {
      told += bytes;
      const found = told.match(/http:\/\/\S+?\//);
      if (found) resolve(found[0].replace(/\/$/, ""));
    });
    program.on("exit", (code) => reject(new Error(`the program ended with ${code}: ${talk}`)));
    setTimeout(() => reject(new Error(`no address after 20 s: ${talk}`)), 20000).unref();
  });
  const browser = await chromium.launch({
    executablePath: BROWSER,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync"],
  });
  return {
    address,
    /** A window of its own: size, script and colours as asked. What goes wrong in it is kept in `wrong`. */
    async window(options = {}) {
      const context = await browser.newContext({ baseURL: address, timezoneId: "UTC", ...options });
      const page = await context.newPage();
      const wrong = [];
      page.on("pageerror", (error) => wrong.push(`script: ${error.message}`));
      page.on("console", (message) => {
        const expected = /status of 4(00|04|09)/.test(message.text());
        if (message.type() === "error" && !expected) wrong.push(`console: ${message.text()}`);
      });
      page.on("response", (response) => { if (response.status() >= 500) wrong.push(`${response.status()} ${response.url()}`); });
      return { page, wrong, context };
    },
    async close() {
      await browser.close();
      const ended = new Promise((resolve) => program.on("exit", resolve));
      program.kill("SIGTERM");
      await ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Keeps a screenshot of the whole page, where screenshots are wanted. */
export async function shot(page, name) {
  if (!SHOTS) return;
  mkdirSync(SHOTS, { recursive: true });
  await page.screenshot({ path: path.join(SHOTS, `${name}.png`), fullPage: true });
}

/** Opens the example from the list; gives the path of its job. */
export async function example(page) {
  await page.goto("/");
  const button = page.getByRole("button", { name: "Open the example" });
  if (await button.count() === 0) await page.goto("/new");
  await page.getByRole("button", { name: "Open the example" }).click();
  await page.waitForURL(/\/j\/[^/]+\/circuits/);
  return new URL(page.url()).pathname.replace(/\/circuits$/, "");
}

/** Whether anything sticks out at the side of the sheet. */
export async function sticksOut(page) {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}
