// A job that begins empty is finished in the browser, on a phone: equipment, circuits with readings, inputs, pack; then everything is
// taken back.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { SIZES, open, shot, sticksOut } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

/** Makes an empty job; gives its path. */
async function begin(page, name) {
  await page.goto("/new");
  await page.getByLabel("What people call the site").first().fill(name);
  await page.getByRole("button", { name: "Make the job" }).click();
  await page.waitForURL(/\/j\//);
  return new URL(page.url()).pathname.split("/").slice(0, 3).join("/");
}

/** Opens the form that a press belongs to, fills it in by its labels, and presses. */
async function fill(page, press, fields) {
  const form = page.locator("form").filter({ has: page.getByRole("button", { name: press, exact: true, includeHidden: true }) });
  await form.evaluate((one) => { for (let up = one; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true; });
  for (const [label, value] of Object.entries(fields)) {
    const field = form.getByLabel(label, { exact: true });
    if (await field.evaluate((one) => one.tagName) === "SELECT") await field.selectOption(value);
    else await field.fill(value);
  }
  await form.getByRole("button", { name: press, exact: true }).click();
}

test("from nothing to the pack on a phone, and all the way back", { timeout: 120000 }, async () => {
  const { page, wrong, context } = await desk.window({ ...SIZES.phone, acceptDownloads: true });
  const job = await begin(page, "Mill Lane 7");
  const empty = await (await page.request.get(`${job}/job.toml`)).text();
  const written = (words) => page.locator(".just").getByText(words).waitFor();

  await page.getByRole("link", { name: "Inputs", exact: true }).click();
  await page.getByRole("link", { name: "Write the equipment" }).click();
  assert.equal(await page.getByLabel("What it is called").first().inputValue(), "E1");
  await fill(page, "Add this enclosure", { "Where it hangs": "cellar, left of the meters", "What it is": "enclosure-small" });
  await written("Enclosure E1 added.");
  // What cannot be taken stays, with the reason beside its field.
  await fill(page, "Add this module", { "What it is": "input-8", "In which enclosure": "E1", "Fed by": "J9" });
  await page.getByText("No supply point `J9`").first().waitFor();
  assert.equal(await page.locator("#module").getByLabel("Fed by", { exact: true }).inputValue(), "J9");
  assert.equal(await page.locator("#module").getByLabel("What it is", { exact: true }).inputValue(), "input-8");
  await shot(page, "gear-refused");
  await fill(page, "Add this module", { "Fed by": "" });
  await written("Module M1 added.");
  await fill(page, "Add this supply", { "What it is": "psu-12v-1a", "In which enclosure": "E1", "Battery, one block": "vrla-12v-7ah" });
  await written("Supply P1 added.");
  const meter = page.locator("#meter form");
  await page.locator("#meter summary").click();
  await meter.getByLabel("Accuracy on ohms, from its data sheet").fill("0.9 % + 2 digits");
  await meter.getByRole("button", { name: "Write all of this" }).click();
  await written(/Meter: accuracy on ohms/);
  assert.equal(await sticksOut(page), 0);
  await shot(page, "gear-equipment");

  // Two circuits, their strip cleared, each read at rest and tripped.
  for (const [tag, place] of [["C01", "front door"], ["C02", "yard door"]]) {
    await page.goto(`${job}/circuits`);
    await page.evaluate(() => { for (const one of document.querySelectorAll("main details")) one.open = true; });
    await page.getByLabel("Tag on the cable").fill(tag);
    await page.getByLabel("Where it goes").fill(place);
    await page.getByLabel("Duty").first().selectOption("intrusion");
    await page.getByRole("button", { name: "Add this circuit" }).click();
    await page.waitForURL(new RegExp(`/c/${tag}(\\?wrote=|$)`));
  }
  await page.goto(`${job}/survey`);
  const entry = page.locator("form").filter({ has: page.locator("input[name=strip]") }).first();
  await entry.locator("button[type=submit]").first().click();
  for (const tag of ["C01", "C02"]) {
    for (const [when, digits] of [["rest", "2.21"], ["tripped", "open"]]) {
      await page.goto(`${job}/survey/${tag}?when=${when}&unit=kohm`);
      await page.getByLabel("What the meter shows").fill(digits);
      await page.getByRole("button", { name: /^Keep/ }).first().click();
      await page.locator(".just").getByText(new RegExp(`${tag}: `)).waitFor();
    }
    await page.goto(`${job}/c/${tag}`);
    await page.getByRole("button", { name: "Write it into the job" }).click();
    await page.locator(".just").getByText(new RegExp(`^Written at .*${tag}: `)).waitFor();
  }

  // Inputs: compared first, then divided as it was seen.
  await page.goto(`${job}/inputs/compare`);
  await page.getByText("Ways to divide").waitFor();
  assert.equal(await sticksOut(page), 0);
  await page.getByRole("link", { name: "As the job asks: look at it closely" }).click();
  await page.getByRole("button", { name: /^Write it into the job/ }).click();
  await page.getByText("2 of 2 circuits are on inputs of 1 module.").waitFor();
  await page.goto(`${job}/kit`);
  await page.getByText(/go(es)? along/).first().waitFor();
  assert.equal(await sticksOut(page), 0);
  await page.getByRole("link", { name: "Record", exact: true }).click();
  const [download] = await Promise.all([
    page.waitForEvent("download", { timeout: 60000 }),
    page.getByRole("link", { name: "pack.pdf, A4" }).click(),
  ]);
  assert.equal(readFileSync(await download.path()).subarray(0, 5).toString(), "%PDF-");

  // The way back, the newest first.
  const { versions } = await (await page.request.get(`/api/v1${job.replace("/j/", "/jobs/")}/changes`)).json();
  const made = versions.filter((one) => one.version > 1);
  assert.ok(made.length >= 11, `${made.length} changes`);
  for (const { what } of made) {
    await page.goto(`${job}/record`);
    await page.evaluate(() => { for (const one of document.querySelectorAll("aside details")) one.open = true; });
    await page.getByRole("button", { name: `Take back: ${what}`, exact: true }).first().click();
    // What is long is folded behind its beginning.
    await page.locator(".just").getByText(`Taken back: ${what}`, { exact: false }).first().waitFor({ state: "attached" });
  }
  assert.equal(await (await page.request.get(`${job}/job.toml`)).text(), empty);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("two windows: a module goes while a circuit gets its input, and nothing goes silently", async () => {
  const one = await desk.window({ ...SIZES.laptop, javaScriptEnabled: false });
  const other = await desk.window({ ...SIZES.laptop, javaScriptEnabled: false });
  const job = await begin(one.page, "Quarry Lane 9");
  await one.page.goto(`${job}/text`);
  await one.page.getByLabel("job.toml").fill('format = 1\n[site]\nname = "Quarry Lane 9"\n[[module]]\nid = "M1"\nprofile = "input-8"\n[[circuit]]\ntag = "C1"\nnetwork = "nc:door - 2.2k"\n');
  await one.page.getByRole("button", { name: "Keep" }).click();
  await one.page.getByText(/Written at .*The text written anew/).waitFor();
  await one.page.goto(`${job}/equipment`);
  await other.page.goto(`${job}/c/C1`);
  await other.page.getByText("What is written of it").click();
  await other.page.getByLabel("Input", { exact: true }).selectOption("M1.3");
  await other.page.getByRole("button", { name: "Write all of this into C1" }).click();
  await other.page.getByText(/C1: input is M1.3/).first().waitFor();
  await one.page.getByText("M1", { exact: true }).first().click();
  await one.page.getByRole("button", { name: "Take module M1 out" }).click();
  await one.page.getByText("Circuit C1 is on M1.3.").waitFor();
  await one.page.getByRole("button", { name: "Take M1 out, and its name out of these" }).click();
  await one.page.getByText(/Module M1 taken out; 1 thing that named it freed/).first().waitFor();
  // The other wants another input of the module that is gone.
  await other.page.getByText("What is written of it").click();
  await other.page.getByLabel("Input", { exact: true }).selectOption("M1.5");
  await other.page.getByRole("button", { name: "Write all of this into C1" }).click();
  await other.page.getByText("Changed meanwhile").first().waitFor();
  await other.page.getByText("M1.5").first().waitFor();
  await one.page.getByRole("button", { name: /^Take back: Module M1 taken out/ }).first().click();
  assert.match(await (await one.page.request.get(`${job}/job.toml`)).text(), /input = "M1.3"/);
  await one.context.close();
  await other.context.close();
});

test("the text is written on a phone, an older one never over a newer one", async () => {
  const one = await desk.window(SIZES.phone);
  const other = await desk.window({ ...SIZES.phone, javaScriptEnabled: false });
  const job = await begin(one.page, "Weir Road 2");
  await other.page.goto(`${job}/text`);
  await one.page.goto(`${job}/text`);
  const field = one.page.getByLabel("job.toml");
  const before = await field.inputValue();
  await field.fill(`${before}\n[[circuit]]\ntag = "C1"\nplase = "gate"\n`);
  await one.page.getByRole("button", { name: "Keep" }).click();
  await one.page.getByText("Line 9, column 1:").waitFor();
  assert.equal(await sticksOut(one.page), 0);
  await field.fill((await field.inputValue()).replace("plase", "place"));
  await one.page.getByRole("button", { name: "Keep" }).click();
  await one.page.getByText(/Written at .*The text written anew/).waitFor();
  await other.page.getByLabel("job.toml").fill(before.replace("Weir Road 2", "Weir Road 3"));
  await other.page.getByRole("button", { name: "Keep" }).click();
  await other.page.getByText("Somebody changed this job while you wrote.", { exact: false }).waitFor();
  await shot(other.page, "gear-stale");
  assert.equal(await sticksOut(other.page), 0);
  await other.page.getByRole("button", { name: "Keep both" }).click();
  const text = await (await one.page.request.get(`${job}/job.toml`)).text();
  assert.match(text, /Weir Road 3/);
  assert.match(text, /tag = "C1"/);
  // A file in its place.
  await one.page.goto(`${job}/text`);
  await one.page.getByLabel("Take this file in its place").setInputFiles({ name: "job.toml", mimeType: "text/plain", buffer: Buffer.from(before) });
  await one.page.getByRole("button", { name: "Take it" }).click();
  await one.page.getByText(/Written at .*The text written anew/).waitFor();
  assert.equal(await (await one.page.request.get(`${job}/job.toml`)).text(), before);
  await one.page.getByRole("button", { name: /^Take back: The text written anew/ }).first().click();
  await one.page.getByText(/Written at .*Taken back/).waitFor();
  assert.equal(await (await one.page.request.get(`${job}/job.toml`)).text(), text);
  assert.deepEqual([...one.wrong], []);
  await one.context.close();
  await other.context.close();
});
