// Every room on two phones, a phone on its side and a laptop: nothing sticks out or has to be scrolled sideways, nothing is
// too small to read or to press, nothing lies on another press; volts and readings are there to be seen.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { example, open, shot } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

const SIZES = { small: [360, 640], phone: [390, 844], side: [844, 390], small_laptop: [1280, 800], laptop: [1440, 900] };
const ROOMS = ["/circuits", "/c/C07", "/c/C12", "/survey", "/survey/C30", "/walk", "/inputs", "/inputs/divide", "/supplies", "/s/P1", "/cut-over", "/record"];

/** What is wrong with the page as it stands, in words; runs in the browser. */
function looked() {
  const wrong = [];
  const wide = document.documentElement.clientWidth;
  const clipped = (one) => one.closest(".hidden, .skip, thead") !== null && one.getBoundingClientRect().width <= 1;
  const shown = (one) => one.checkVisibility({ visibilityProperty: true }) && !one.closest(".hidden, .skip");
  const words = (one) => (one.textContent || one.name || one.id || one.tagName).trim().replace(/\s+/g, " ").slice(0, 40);

  for (const one of document.querySelectorAll("body *")) {
    if (!(one instanceof HTMLElement) || !shown(one)) continue;
    const style = getComputedStyle(one);
    const scrolls = /auto|scroll/.test(style.overflowX) && one.scrollWidth > one.clientWidth + 1 && !/^(TEXTAREA|INPUT|SELECT)$/.test(one.tagName);
    if (scrolls) wrong.push(`scrolled sideways by ${one.scrollWidth - one.clientWidth}: ${one.className} ${words(one)}`);
  }

  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const range = document.createRange();
  while (walker.nextNode()) {
    const text = walker.currentNode;
    const parent = text.parentElement;
    if (!text.data.trim() || !shown(parent) || parent.closest("option")) continue;
    const thead = parent.closest("thead");
    if (thead && getComputedStyle(thead).clipPath !== "none") continue;
    let size = parseFloat(getComputedStyle(parent).fontSize);
    if (parent instanceof SVGElement) size *= parent.getScreenCTM().a;
    if (size < 11.99) wrong.push(`${size.toFixed(1)} px: ${words(parent)}`);
    range.selectNodeContents(text);
    for (const box of range.getClientRects()) {
      if (box.width > 0 && (box.right > wide + 0.5 || box.left < -0.5)) { wrong.push(`off the side: ${text.data.trim().slice(0, 40)}`); break; }
    }
  }

  const presses = [...document.querySelectorAll("a[href], button, select, textarea, summary, input:not([type=hidden])")].filter((one) => shown(one) && !clipped(one));
  const target = (one) => (one.matches("[type=radio], [type=checkbox]") && one.closest("label")) || one;
  const running = (one) => one.tagName === "A" && getComputedStyle(one).display === "inline" && one.parentElement.textContent.trim() !== one.textContent.trim();
  const boxes = presses.map((one) => ({ one, box: target(one).getBoundingClientRect() }));
  for (const { one, box } of boxes) {
    if (!running(one) && (box.width < 43.9 || box.height < 43.9)) wrong.push(`${Math.round(box.width)}x${Math.round(box.height)} to press: ${words(one)}`);
  }
  // What sticks to the edge of the window lies over what scrolls under it.
  const sticks = (one) => { for (let up = one; up; up = up.parentElement) if (/sticky|fixed/.test(getComputedStyle(up).position)) return true; return false; };
  const still = boxes.filter(({ one }) => !running(one) && !sticks(one));
  for (const [at, { one, box }] of still.entries()) {
    for (const { one: other, box: second } of still.slice(at + 1)) {
      if (target(one) === target(other) || one.contains(other) || other.contains(one)) continue;
      const across = Math.min(box.right, second.right) - Math.max(box.left, second.left);
      const down = Math.min(box.bottom, second.bottom) - Math.max(box.top, second.top);
      if (across > 1.5 && down > 1.5) wrong.push(`one lies on the other: ${words(one)} / ${words(other)}`);
    }
  }
  return [...new Set(wrong)].slice(0, 12);
}

for (const [name, [width, height]] of Object.entries(SIZES)) {
  test(`every room at ${width} by ${height}`, { timeout: 120000 }, async () => {
    const { page, wrong, context } = await desk.window({ viewport: { width, height }, hasTouch: width < 1000, isMobile: width < 1000 });
    const job = await example(page);
    const said = [];
    for (const path of ["/", "/new", ...ROOMS.map((room) => job + room)]) {
      await page.goto(path);
      await page.evaluate(() => { for (const one of document.querySelectorAll("details")) one.open = true; });
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (over > 0) said.push(`${path}: the page is ${over} px too wide`);
      said.push(...(await page.evaluate(looked)).map((one) => `${path.replace(job, "")}: ${one}`));
      await shot(page, `sizes${path.replace(job, "").replaceAll("/", "-")}-${name}`);
    }
    assert.deepEqual(said, []);
    const seen = (selector) => page.evaluate(([selector, wide]) => [...document.querySelectorAll(selector)].filter((one) => {
      const box = one.getBoundingClientRect();
      return one.textContent.trim() && one.checkVisibility() && box.left >= 0 && box.right <= wide + 0.5;
    }).length, [selector, width]);
    await page.goto(`${job}/circuits`);
    assert.equal(await seen(".circuits .meter"), 35, "what the meter shows of every circuit that is drawn");
    await page.goto(`${job}/s/P1`);
    assert.equal(await seen(".volts td.number"), 27, "the volts of nine points in three conditions");
    assert.deepEqual(wrong, []);
    await context.close();
  });
}
