// Back, changed figures, the same form again, taken back twice; a name; clocks elsewhere.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, example, open, sticksOut } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

/** Readings of a circuit in the job's text, in their order. */
async function readings(page, job, tag) {
  const text = await (await page.request.get(`${job}/job.toml`)).text();
  const circuit = text.split("[[circuit]]").find((part) => part.includes(`tag = "${tag}"`));
  return [...circuit.matchAll(/ohms = "([^"]+)"/g)].map((one) => one[1]);
}

/** Opens a page whose very text comes again on the way back, as from the memory of a browser: with the id of a form that was sent. */
async function remembered(page, path) {
  const text = await (await page.request.get(path)).text();
  await page.unroute("**/*");
  await page.route((url) => url.pathname === path && url.search === "", (route) =>
    route.request().method() === "GET" ? route.fulfill({ body: text, contentType: "text/html; charset=utf-8" }) : route.fallback());
  await page.goto(path);
}

test("a changed figure after Back: both are shown, nothing is lost", async () => {
  const { page, wrong, context } = await desk.window({ ...SIZES.phone, javaScriptEnabled: false });
  const job = await example(page);
  const before = await readings(page, job, "C30");
  await remembered(page, `${job}/survey/C30`);
  const keep = async (digits) => {
    await page.locator("#shown").fill(digits);
    await page.locator("button[name=then][value=trip]").click();
  };
  await keep("4.71");
  await page.waitForURL(/when=tripped/);
  await page.goBack();
  await keep("4.72");
  await page.getByRole("heading", { name: "Kept already" }).waitFor();
  const said = await page.locator("main").innerText();
  assert.match(said, /4\.71/);
  assert.match(said, /4\.72/);
  assert.ok(await sticksOut(page) <= 0);
  assert.deepEqual(await readings(page, job, "C30"), [...before, "4.71k"]);
  await page.getByRole("button", { name: "Keep this one too" }).click();
  await page.waitForURL(/when=tripped/);
  assert.deepEqual(await readings(page, job, "C30"), [...before, "4.71k", "4.72k"]);
  // Back, and the same once more: kept already, and once.
  await remembered(page, `${job}/survey/C30`);
  await keep("4.73");
  await page.waitForURL(/when=tripped/);
  await page.goBack();
  await keep("4.73");
  await page.waitForURL(/when=tripped/);
  assert.deepEqual(await readings(page, job, "C30"), [...before, "4.71k", "4.72k", "4.73k"]);
  // Taken back, Back, and pressed again: once, and the page says what came of it.
  await remembered(page, `${job}/record`);
  const back = page.getByRole("button", { name: /^Take back: C30/ }).first();
  await back.click();
  await page.waitForURL(/record/);
  assert.deepEqual(await readings(page, job, "C30"), [...before, "4.71k", "4.72k"]);
  await page.goBack();
  await back.click();
  await page.waitForURL(/record/);
  assert.deepEqual(await readings(page, job, "C30"), [...before, "4.71k", "4.72k"]);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("with script a page out of the browser's memory asks for a fresh form", async () => {
  const { page, wrong, context } = await desk.window(SIZES.laptop);
  const job = await example(page);
  await page.goto(`${job}/survey/C30`);
  const first = await page.locator("form.reading input[name=id]").getAttribute("value");
  await page.locator("#shown").fill("4.71");
  await page.locator("button[name=then][value=trip]").click();
  await page.waitForURL(/when=tripped/);
  await page.goBack();
  await page.waitForFunction((id) => document.querySelector("form.reading input[name=id]")?.value !== id, first);
  await page.locator("#shown").fill("4.72");
  await page.locator("button[name=then][value=trip]").click();
  await page.waitForURL(/when=tripped/);
  assert.deepEqual((await readings(page, job, "C30")).slice(-2), ["4.71k", "4.72k"]);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("a name stands beside what its bearer changes, and whoever looked through it in the title block", async () => {
  const { page, wrong, context } = await desk.window(SIZES.phone);
  const job = await example(page);
  await page.goto(`${job}/record`);
  await page.locator("details.who summary").click();
  await page.locator("#who").fill("Zoë, second van");
  await page.locator("details.who").getByRole("button", { name: "Write it so" }).click();
  await page.waitForURL(/record/);
  assert.match(await page.locator("details.who summary").innerText(), /Zoë, second van/);
  await page.getByRole("button", { name: "I looked through this as it stands" }).click();
  await page.locator(".block").getByText(/Zoë, second van.*, change 1/).waitFor();
  assert.ok(await sticksOut(page) <= 0);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("clocks five hours behind and five and three quarters ahead", async () => {
  for (const timezoneId of ["America/Bogota", "Asia/Kathmandu"]) {
    const { page, context } = await desk.window({ ...SIZES.phone, timezoneId });
    const job = await example(page);
    await page.goto(`${job}/record`);
    await page.locator("#words").fill("seen");
    await page.getByRole("button", { name: "Write it down" }).click();
    await page.waitForURL(/record/);
    const time = page.locator("ol.timeline time").first();
    const at = await time.getAttribute("datetime");
    const clock = new Intl.DateTimeFormat("en-GB", { timeZone: timezoneId, hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    assert.equal((await time.innerText()).slice(-5), clock.format(new Date(at)));
    await context.close();
  }
});
