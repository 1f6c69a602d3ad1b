// Without script, and with the keyboard alone.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, example, open } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

test("every press works without script", async () => {
  const { page, wrong, context } = await desk.window({ ...SIZES.phone, javaScriptEnabled: false });
  const job = await example(page);
  await page.goto(`${job}/survey/C05`);
  assert.equal(await page.getByRole("group", { name: "Number pad" }).count(), 0);
  await page.getByLabel("What the meter shows").fill("4.71");
  await page.getByRole("button", { name: "Keep, trip next" }).click();
  await page.waitForURL(/when=tripped/);
  await page.getByRole("button", { name: "Keep: over range" }).click();
  await page.getByText(/Written at .*C05: tripped over range/).waitFor();
  await page.goto(`${job}/c/C06`);
  await page.getByLabel("What goes wrong").selectOption("cut");
  await page.getByRole("button", { name: "Try it" }).click();
  await page.locator("#tried").getByText("The input reads open: alarm.").waitFor();
  await page.getByRole("button", { name: "Done: Change the resistor at the end to 2.2k" }).click();
  await page.getByText("Input M1.6 reads this circuit right", { exact: false }).waitFor();
  await page.getByRole("button", { name: /Take back: Done: C06/ }).first().click();
  await page.getByText(/Taken back: Done: C06/).first().waitFor();
  await page.goto(`${job}/record`);
  await page.getByLabel("Note something that was seen, said or decided").fill("<b>Key 4</b> hangs at reception");
  await page.getByRole("button", { name: "Write it down" }).click();
  await page.getByText("<b>Key 4</b> hangs at reception").waitFor();
  // The night sheet is remembered.
  await page.getByRole("button", { name: /Night/ }).click();
  assert.equal(await page.locator("html").getAttribute("data-sheet"), "night");
  await page.goto(`${job}/circuits`);
  assert.equal(await page.locator("html").getAttribute("data-sheet"), "night");
  assert.deepEqual(wrong, []);
  await context.close();
});

/** Presses Tab until the thing that has the focus is called so. */
async function tabTo(page, name, most = 120) {
  for (let at = 0; at < most; at += 1) {
    await page.keyboard.press("Tab");
    const focused = await page.evaluate(() => {
      const one = document.activeElement;
      // A region that scrolls has the focus too, and all its words.
      if (!one.matches("a, button, input, select, textarea, summary")) return "";
      const label = one.labels?.[0]?.textContent ?? "";
      return `${one.textContent ?? ""} ${one.getAttribute("aria-label") ?? ""} ${label}`.replace(/\s+/g, " ").trim();
    });
    if (focused.includes(name)) {
      const seen = await page.evaluate(() => {
        const one = document.activeElement;
        const box = one.getBoundingClientRect();
        const style = getComputedStyle(one.matches("input[type=radio]") ? one.closest("label") : one);
        const at = document.elementFromPoint(box.x + box.width / 2, box.y + Math.min(box.height / 2, 20));
        return { outline: style.outlineStyle !== "none", top: at === null || one.contains(at) || at.contains(one) || at.closest("label") === one.closest("label") };
      });
      assert.ok(seen.outline, `${name} shows that it has the focus`);
      assert.ok(seen.top, `${name} is not covered while it has the focus`);
      return;
    }
  }
  assert.fail(`${name} is not reached by Tab`);
}

test("the keyboard alone takes one from the list to a reading and a remedy", { timeout: 120000 }, async () => {
  const { page, wrong, context } = await desk.window(SIZES.laptop);
  await page.goto("/new");
  await tabTo(page, "Open the example");
  await page.keyboard.press("Enter");
  await page.waitForURL(/circuits/);
  const job = new URL(page.url()).pathname.replace(/\/circuits$/, "");
  await tabTo(page, "To the sheet", 1);
  await page.keyboard.press("Enter");
  await tabTo(page, "C06");
  await page.keyboard.press("Enter");
  await page.waitForURL(/c\/C06/);
  await tabTo(page, "Done: Change the resistor at the end to 2.2k");
  await page.keyboard.press("Enter");
  await page.getByText("Input M1.6 reads this circuit right", { exact: false }).waitFor();
  await tabTo(page, "Take back: Done: C06");
  await page.keyboard.press("Enter");
  await page.getByText(/Taken back: Done: C06/).first().waitFor();
  await page.goto(`${job}/survey/C05`);
  await tabTo(page, "tripped");
  await tabTo(page, "What the meter shows");
  await page.keyboard.type("open");
  await page.getByText("Settled:").waitFor();
  await page.keyboard.press("Enter");
  await page.getByText(/Written at .*C05: tripped over range/).waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});
