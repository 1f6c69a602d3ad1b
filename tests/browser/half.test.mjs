// What stands half-written in one form while another on the same page is pressed.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, open, example } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(() => desk.close());

test("a press keeps what stands half-written beside it", async () => {
  const { page, wrong, context } = await desk.window(SIZES.laptop);
  const job = await example(page);
  const field = (key) => page.locator(`#f-circuit-C01-${key}`);
  await page.goto(`${job}/c/C01`);
  await page.locator("details.facts > summary").click();
  await field("was").fill("zone half-written");
  await field("place").fill("porch");
  await page.getByRole("button", { name: "Write place" }).click();
  await page.waitForURL(/wrote=/);
  assert.equal(await field("place").inputValue(), "porch");
  assert.equal(await field("was").inputValue(), "zone half-written");
  assert.ok(await field("was").isVisible());
  // It is not put over what somebody else wrote there meanwhile: that stands, and what was typed is shown.
  const other = await context.newPage();
  await other.goto(`${job}/c/C01`);
  await field("place").fill("porch, left");
  await other.locator("details.facts > summary").click();
  await other.locator("#f-circuit-C01-was").fill("zone 77");
  await other.getByRole("button", { name: "Write what the old panel calls it" }).click();
  await other.waitForURL(/wrote=/);
  await page.getByRole("button", { name: "Write place" }).click();
  await page.waitForFunction(() => document.querySelector("#f-circuit-C01-place")?.defaultValue === "porch, left");
  assert.equal(await field("was").inputValue(), "zone 77");
  assert.match(await page.locator(".stale").innerText(), /You had typed: zone half-written/);
  // Nothing of it is left for another day.
  await page.reload();
  assert.equal(await page.locator(".stale").count(), 0);
  assert.deepEqual(wrong, []);
  await context.close();
});
