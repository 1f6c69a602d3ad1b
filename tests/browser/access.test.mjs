// Every room asked by axe-core: light and night sheet, phone and laptop, with all that opens opened; and targets for gloves.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { AxeBuilder } from "@axe-core/playwright";
import { SIZES, example, open, shot } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

const ROOMS = ["/circuits", "/survey", "/survey/C30", "/walk", "/c/C06", "/c/C12", "/c/C36", "/supplies", "/s/P1", "/inputs", "/inputs/divide", "/inputs/compare", "/equipment", "/text", "/kit", "/cut-over", "/record"];
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];

for (const [name, size] of Object.entries(SIZES)) {
  for (const colorScheme of ["light", "dark"]) {
    test(`axe finds nothing, ${name}, ${colorScheme}`, { timeout: 240000 }, async () => {
      const { page, context } = await desk.window({ ...size, colorScheme });
      const job = await example(page);
      for (const path of ["/", "/new", ...ROOMS.map((room) => job + room)]) {
        await page.goto(path);
        await page.evaluate(() => { for (const one of document.querySelectorAll("details")) one.open = true; });
        const found = await new AxeBuilder({ page }).withTags(TAGS).analyze();
        assert.ok(found.passes.length > 15, `${path}: axe looked at it`);
        const said = found.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(" ")).slice(0, 3).join(", ")}`);
        assert.deepEqual(said, [], `${path}, ${name}, ${colorScheme}`);
        if (colorScheme === "dark") await shot(page, `night${path.replace(job, "").replaceAll("/", "-")}-${name}`);
      }
      await context.close();
    });
  }
}

test("whatever is pressed on a phone is large enough for a glove", async () => {
  const { page, context } = await desk.window(SIZES.phone);
  const job = await example(page);
  for (const room of ROOMS) {
    await page.goto(job + room);
    const small = await page.evaluate(() => {
      const all = [...document.querySelectorAll("button, .button, select, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), .rooms a, .choice, tbody th a, .pairs a")];
      return all
        .filter((one) => one.checkVisibility() && !one.closest(".changes details"))
        .map((one) => ({ what: (one.textContent || one.name || one.id).trim().slice(0, 30), box: one.getBoundingClientRect() }))
        .filter(({ box }) => box.height < 44 || box.width < 44)
        .map(({ what, box }) => `${what} ${Math.round(box.width)}x${Math.round(box.height)}`);
    });
    assert.deepEqual(small, [], room);
  }
  await context.close();
});
