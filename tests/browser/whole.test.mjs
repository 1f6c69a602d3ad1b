// The whole example, from the survey to the pack, on a phone and on a laptop.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { SIZES, example, open, shot, sticksOut } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

for (const [name, size] of Object.entries(SIZES)) {
  test(`from the survey to the pack on a ${name}`, { timeout: 180000 }, async () => {
    const { page, wrong, context } = await desk.window({ ...size, acceptDownloads: true });
    const job = await example(page);
    const look = async (what) => {
      assert.equal(await sticksOut(page), 0, `${what} sticks out at the side`);
      await shot(page, `${what}-${name}`);
    };
    await look("circuits");
    await assert.doesNotReject(page.getByText(/\d+ of 36 circuits read right/).first().waitFor());

    // A pair costs its digits and two presses, and says what it is at once.
    await page.getByRole("link", { name: "Survey", exact: true }).click();
    await page.getByText(/of 36 pairs settled/).waitFor();
    await look("survey");
    await page.goto(`${job}/survey/C05`);
    await page.getByText("Most likely:").waitFor();
    const pad = page.getByRole("group", { name: "Number pad" });
    await pad.getByRole("button", { name: "open", exact: true }).click();
    await page.getByText("Settled:").waitFor();
    assert.equal(await page.getByLabel("What the meter shows").inputValue(), "open");
    await look("card");
    assert.equal(await page.getByRole("radio", { name: "tripped", exact: true }).isChecked(), true);
    await page.getByRole("button", { name: /^Keep ?(open)?$/ }).click();
    await page.waitForURL(/survey\/C08/);
    await page.getByText(/Written at .*C05: tripped over range/).waitFor();
    for (const key of ["4", ".", "7", "1"]) await pad.getByRole("button", { name: key, exact: true }).click();
    assert.equal(await page.getByLabel("What the meter shows").inputValue(), "4.71");
    await page.getByRole("button", { name: "Keep, trip next" }).click();
    await page.waitForURL(/survey\/C08\?when=tripped/);
    await page.getByText("tripped 4.71", { exact: false }).first().waitFor();
    // And comes back out, for it was the wrong pair.
    await page.getByRole("button", { name: /Take back: C08/ }).first().click();
    await page.getByText(/Taken back: C08/).first().waitFor();

    // The sheet of a circuit, a remedy with one press, and back.
    await page.goto(`${job}/c/C06`);
    await look("sheet");
    await page.getByRole("button", { name: "Done: Change the resistor at the end to 2.2k" }).click();
    await page.getByText("Input M1.6 reads this circuit right in every state.", { exact: false }).waitFor();
    await page.getByText(/Written at .*Done: C06, change the resistor/).waitFor();
    // Open the door, cut the wire: the reading moves at once.
    const tried = page.locator("#tried");
    await page.getByLabel("What goes wrong").selectOption("cut");
    await tried.getByText("The input reads open: alarm.").waitFor();
    await page.getByLabel("What goes wrong").selectOption("leak");
    await page.getByLabel(/Size of damp or joint/).fill("0");
    await tried.getByText("The input reads short: trouble.").waitFor();
    await page.getByLabel("What goes wrong").selectOption("");
    await page.getByLabel("In place of the 2.2k resistor").fill("5.6k");
    await tried.getByText("The input reads open: alarm.").waitFor();
    await look("play");

    for (const [room, says] of [["Supplies", /supplies needs a change/], ["Inputs", /circuits are on inputs of/], ["Cut-over", /./], ["Record", /The record of/]]) {
      await page.getByRole("link", { name: room, exact: true }).click();
      await page.locator("main p.answer").filter({ hasText: says }).first().waitFor();
      await look(room.toLowerCase());
    }
    await page.goto(`${job}/s/P1`);
    await look("supply");
    await page.goto(`${job}/walk`);
    await look("walk");
    await page.goto(`${job}/record`);
    await page.getByText("C05: tripped over range.").first().waitFor();
    const [download] = await Promise.all([
      page.waitForEvent("download", { timeout: 60000 }),
      page.getByRole("link", { name: "pack.pdf, A4" }).click(),
    ]);
    assert.equal(readFileSync(await download.path()).subarray(0, 5).toString(), "%PDF-");
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test("a new job begins empty and says what to do first", async () => {
  const { page, wrong, context } = await desk.window(SIZES.phone);
  await page.goto("/new");
  await shot(page, "new-phone");
  await page.getByLabel("What people call the site").first().fill("Quarry Lane 4");
  await page.getByRole("button", { name: "Make the job" }).click();
  await page.getByText("No pair here yet.").waitFor();
  await page.getByLabel("Tag on the cable").fill("C01");
  await page.getByLabel("Where it goes").fill("hall door");
  await page.getByRole("button", { name: "Add this circuit" }).click();
  await page.waitForURL(/survey\/C01/);
  await page.getByRole("button", { name: /All under 1 V and clear of earth/ }).click();
  await page.getByText("Nobody has read this pair yet.").waitFor();
  assert.equal(await page.getByRole("button", { name: /All under 1 V/ }).count(), 0);
  await shot(page, "first-card-phone");
  for (const room of ["Circuits", "Inputs", "Supplies", "Record"]) {
    await page.getByRole("link", { name: room, exact: true }).click();
    await page.locator("p.answer").first().waitFor();
    assert.equal(await sticksOut(page), 0, room);
    await shot(page, `empty-${room.toLowerCase()}-phone`);
  }
  // A scanned tag that nobody has seen makes its circuit.
  const job = new URL(page.url()).pathname.replace(/\/record$/, "");
  await page.goto(`${job}/c/C07`);
  await page.getByRole("button", { name: "Make circuit C07 and read it" }).click();
  await page.waitForURL(/survey\/C07/);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("the narrowest phone shows every room without sticking out", async () => {
  const { page, context } = await desk.window({ viewport: { width: 360, height: 740 }, isMobile: true, hasTouch: true });
  const job = await example(page);
  for (const room of ["/circuits", "/survey", "/survey/C30", "/walk", "/c/C07", "/supplies", "/s/P1", "/inputs", "/inputs/divide", "/cut-over", "/record"]) {
    await page.goto(job + room);
    assert.equal(await sticksOut(page), 0, room);
  }
  await context.close();
});
