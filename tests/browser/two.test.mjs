// Two windows on one job: each sees what the other does, and nothing is lost where both do the same.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, example, open } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

test("a change in one window is in the other without reloading", async () => {
  const one = await desk.window(SIZES.laptop);
  const other = await desk.window(SIZES.phone);
  const job = await example(one.page);
  await one.page.goto(`${job}/c/C06`);
  await other.page.goto(`${job}/c/C06`);
  await one.page.getByRole("button", { name: "Done: Change the resistor at the end to 2.2k" }).click();
  await other.page.getByText("Input M1.6 reads this circuit right in every state.", { exact: false }).waitFor({ timeout: 8000 });
  assert.deepEqual([...one.wrong, ...other.wrong], []);
  await one.context.close();
  await other.context.close();
});

test("the walker's press is on the card of whoever holds the meter", async () => {
  const walker = await desk.window(SIZES.phone);
  const meter = await desk.window(SIZES.phone);
  const job = await example(walker.page);
  await meter.page.goto(`${job}/survey/C09`);
  await walker.page.goto(`${job}/walk?tag=C09`);
  await walker.page.getByRole("button", { name: /^C09.*tripped now/ }).click();
  await meter.page.getByText("Tripped now:").waitFor({ timeout: 8000 });
  // Digits that are being typed stay where they are.
  await meter.page.getByLabel("What the meter shows").fill("4.7");
  await walker.page.getByRole("link", { name: "Again: C09" }).click();
  await walker.page.getByRole("button", { name: /^C09.*tripped now/ }).click();
  await meter.page.waitForTimeout(1500);
  assert.equal(await meter.page.getByLabel("What the meter shows").inputValue(), "4.7");
  assert.deepEqual([...walker.wrong, ...meter.wrong], []);
  await walker.context.close();
  await meter.context.close();
});

test("two edits of one thing are both shown", async () => {
  const one = await desk.window({ ...SIZES.laptop, javaScriptEnabled: false });
  const other = await desk.window({ ...SIZES.laptop, javaScriptEnabled: false });
  const job = await example(one.page);
  for (const window of [one, other]) {
    await window.page.goto(`${job}/c/C10`);
    await window.page.getByText("What is written of it").click();
  }
  await one.page.getByRole("textbox", { name: "Place", exact: true }).fill("reception, under the desk");
  await one.page.getByRole("button", { name: "Write place" }).click();
  await other.page.getByRole("textbox", { name: "Place", exact: true }).fill("reception, left of the till");
  await other.page.getByRole("button", { name: "Write place" }).click();
  await other.page.getByText("Somebody changed this while you looked at it.", { exact: false }).waitFor();
  await other.page.getByText("reception, under the desk").waitFor();
  await other.page.getByText("reception, left of the till").waitFor();
  await other.page.getByRole("button", { name: "Write mine in its place" }).click();
  await other.page.getByText("Reception, left of the till").first().waitFor();
  await one.context.close();
  await other.context.close();
});

test("what is half written stays, whatever the other window does", async () => {
  const one = await desk.window(SIZES.laptop);
  const other = await desk.window(SIZES.laptop);
  const job = await example(one.page);
  const place = async (words) => {
    await other.page.goto(`${job}/c/C02`);
    await other.page.getByText("What is written of it").click();
    await other.page.getByRole("textbox", { name: "Place", exact: true }).fill(words);
    await other.page.getByRole("button", { name: "Write place" }).click();
  };
  // A text that was refused, with all that was typed.
  await one.page.goto(`${job}/text`);
  await one.page.getByLabel("job.toml").fill("no = job");
  await one.page.getByRole("button", { name: "Keep", exact: true }).click();
  await one.page.getByRole("heading", { name: "Not a job yet" }).waitFor();
  await place("reception, by the stairs");
  await one.page.waitForTimeout(1500);
  assert.equal((await one.page.getByLabel("job.toml").inputValue()).trim(), "no = job");
  // A choice that goes back to the first of its list.
  await one.page.goto(`${job}/inputs`);
  const mode = one.page.locator("main select").first();
  const last = await mode.locator("option").count() - 1;
  await mode.selectOption({ index: (await mode.evaluate((list) => list.selectedIndex)) === 0 ? last : 0 });
  const chosen = await mode.inputValue();
  await place("reception, by the lift");
  await one.page.waitForTimeout(1500);
  assert.equal(await mode.inputValue(), chosen);
  await one.context.close();
  await other.context.close();
});
