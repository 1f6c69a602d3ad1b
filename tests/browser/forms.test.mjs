// Forms in the rooms where people look for them, with script off on a phone; the title block at the foot of every printed
// sheet; who looked through the job, on the page and in the pack.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { after, before, test } from "node:test";
import { SIZES, example, open, shot, sticksOut } from "./desk.mjs";

let desk;
let folder;
before(async () => { desk = await open(); folder = mkdtempSync(path.join(tmpdir(), "loopwright-print-")); });
after(async () => { await desk.close(); rmSync(folder, { recursive: true, force: true }); });

/** The text of a PDF, sheet by sheet; blanks are left out where words of one field stand on several lines. */
function sheets(bytes, blanks = " ") {
  const file = path.join(folder, "sheets.pdf");
  writeFileSync(file, bytes);
  const all = execFileSync("pdftotext", ["-raw", file, "-"], { encoding: "utf8" }).split("\f");
  return all.slice(0, -1).map((sheet) => sheet.replaceAll(/\s+/g, blanks));
}

test("every printed sheet says job, site, page, version and date", { timeout: 60000 }, async () => {
  for (const script of [true, false]) {
    const { page, context } = await desk.window({ ...SIZES.laptop, javaScriptEnabled: script });
    const job = await example(page);
    for (const [room, title, least] of [["/circuits", "CIRCUITS", 3], ["/cut-over", "CUT-OVER", 3], ["/c/C07", "CIRCUITC07", 1]]) {
      await page.goto(job + room);
      for (const format of ["A4", "Letter"]) {
        const all = sheets(await page.pdf({ format }), "");
        assert.ok(all.length >= least, `${room}: ${all.length} sheets`);
        for (const [at, sheet] of all.entries()) {
          const where = `${room}, ${format}, sheet ${at + 1} of ${all.length}`;
          assert.match(sheet, new RegExp(title, "i"), where);
          assert.match(sheet, /OrchardRowVeterinaryHospital/, where);
          assert.match(sheet, new RegExp(`job${job.slice("/j/".length)},change\\d+`), where);
          assert.match(sheet, /\d{4}-\d\d-\d\d\d\d:\d\dUTC/, where);
          assert.match(sheet, /peopledecideandsign\./, where);
          assert.match(sheet, new RegExp(`sheet${at + 1}of${all.length}`), where);
        }
      }
    }
    await context.close();
  }
});

test("nothing of a printed page lies under its title block", async () => {
  const { page, context } = await desk.window(SIZES.laptop);
  const job = await example(page);
  await page.goto(`${job}/circuits`);
  const circuits = await page.locator("table.circuits tbody tr").count();
  const printed = sheets(await page.pdf({ format: "A4" })).join(" ");
  for (let at = 1; at <= circuits; at += 1) assert.match(printed, new RegExp(`\\bC${String(at).padStart(2, "0")}\\b`));
  await context.close();
});

for (const [name, size] of Object.entries(SIZES)) {
  test(`forms in their rooms, on a ${name}, without script`, { timeout: 60000 }, async () => {
    const { page, wrong, context } = await desk.window({ ...size, javaScriptEnabled: false });
    const job = await example(page);
    const opened = async (room, words) => {
      await page.goto(job + room);
      await page.getByText(words, { exact: true }).first().click();
    };
    await opened("/supplies", "Add a word on standby");
    const word = page.locator("form.gear", { has: page.getByRole("button", { name: "Add this word on standby" }) });
    await word.getByLabel("Of which rule set").selectOption("us-fire");
    await word.getByLabel("Hours without mains, in place of the rule's").fill("60");
    await word.getByRole("button").click();
    // Wrong beside its field, and still there.
    await page.getByText("Nothing was written yet.").first().waitFor();
    assert.equal(await page.locator("[aria-invalid]").count(), 2, "hours without a unit, no reason");
    await shot(page, `forms-standby-wrong-${name}`);
    assert.equal(await sticksOut(page), 0);
    await word.getByLabel("Hours without mains, in place of the rule's").fill("60 h");
    await word.getByLabel("Who said so, on what paper, when").fill("a letter of the authority");
    await word.getByRole("button").click();
    await page.getByText(/Written at .* UTC/).first().waitFor();
    await page.getByText(/Word on standby added/).first().waitFor();
    await page.getByRole("button", { name: /^Take back: Word on standby added/ }).first().click();
    await page.getByText(/Taken back: Word on standby added/).first().waitFor();

    await opened("/kit", "Add a part in the van");
    const van = page.locator("form.gear", { has: page.getByRole("button", { name: "Add this part in the van" }) });
    await van.getByLabel("Part", { exact: true }).fill("ferrule");
    await van.getByLabel("Pieces, or metres").fill("40");
    await van.getByRole("button").click();
    await page.getByText(/Part in the van added: part ferrule/).first().waitFor();
    await shot(page, `forms-van-${name}`);
    assert.equal(await sticksOut(page), 0);

    await opened("/equipment", "Add a longer way");
    const longer = page.locator("form.gear", { has: page.getByRole("button", { name: "Add this longer way" }) });
    await longer.getByLabel("Cables that end in").selectOption("E2");
    await longer.getByLabel("Can be made longer to").selectOption("E1");
    await longer.getByLabel("By so much").fill("82 ft");
    await longer.getByRole("button").click();
    await page.getByText(/Longer way added/).first().waitFor();

    await page.goto(`${job}/cut-over`);
    await page.locator("#weights summary").click();
    await page.getByLabel("Smoke detection").fill("40");
    await page.getByRole("button", { name: "Write these weights" }).click();
    await page.getByText("Weights: smoke detection is 40.").first().waitFor();
    await shot(page, `forms-weights-${name}`);
    assert.equal(await sticksOut(page), 0);
    const text = await (await page.request.get(`${job}/job.toml`)).text();
    for (const line of ["length = \"82 ft\"", "part = \"ferrule\"", "smoke = 40"]) assert.ok(text.includes(line), line);
    assert.deepEqual([...wrong], []);
    await context.close();
  });
}

test("the pack says who looked through which version", { timeout: 60000 }, async () => {
  const { page, context } = await desk.window({ ...SIZES.laptop, javaScriptEnabled: false });
  const job = await example(page);
  const first = async () => sheets(await (await page.request.get(`${job}/pack/pack.pdf?paper=a4`)).body())[0];
  assert.match(await first(), /not yet/);
  await page.goto(`${job}/record`);
  await page.getByLabel("Your name, for the title block").fill("R. Inspector");
  await page.getByRole("button", { name: "I looked through this as it stands" }).click();
  await page.getByText(/R. Inspector looked through this as it stands/).waitFor();
  const version = await (await page.request.get(`${job}/version`)).text();
  assert.match(await first(), new RegExp(`R. Inspector, change ${version}`));
  // Something is changed since: what is printed is not what was looked through.
  await page.goto(`${job}/circuits`);
  await page.getByText("Add a circuit").click();
  await page.getByLabel("Tag on the cable").fill("C99");
  await page.getByRole("button", { name: "Add this circuit" }).click();
  await page.getByText("Circuit C99 added.").first().waitFor();
  assert.match((await first()).replaceAll(/\s+/g, " "), new RegExp(`R. Inspector, but change ${version}, not this`));
  await context.close();
});
