// The card on a ladder: all of it at once, every key, the keyboard; the walk; tags by photo and scanner; sheets; photos.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { SIZES, example, open } from "./desk.mjs";

let desk;
before(async () => { desk = await open(); });
after(async () => { await desk.close(); });

/** What is seen of the card without scrolling. */
async function atOnce(page, what, answer = true) {
  const seen = await page.evaluate(() => {
    const parts = [".conditions .bar", ".conditions summary", ".display", ".units", ".pad", ".presses", "#weigh .answer"];
    return {
      scrolled: scrollY,
      height: innerHeight,
      boxes: parts.map((part) => {
        const box = document.querySelector(part).getBoundingClientRect();
        return { part, top: box.top, bottom: box.bottom, left: box.left, right: box.right };
      }),
    };
  });
  assert.equal(seen.scrolled, 0, `${what}: not scrolled`);
  for (const { part, top, bottom } of seen.boxes) {
    if (part === "#weigh .answer" && !answer) continue;
    assert.ok(top >= 0 && bottom <= seen.height + 1, `${what}: ${part} from ${top} to ${bottom} of ${seen.height}`);
  }
  for (const one of seen.boxes) {
    for (const other of seen.boxes) {
      if (one === other) continue;
      // The last line of a long answer may touch the units by its leading.
      const over = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top) > 4
        && Math.min(one.right, other.right) - Math.max(one.left, other.left) > 1;
      assert.ok(!over, `${what}: ${one.part} and ${other.part} lie over each other`);
    }
  }
}

for (const [width, height] of [[360, 640], [844, 390]]) {
  test(`the whole card at once at ${width}x${height}, before and after Keep`, async () => {
    const { page, wrong, context } = await desk.window({ viewport: { width, height }, hasTouch: true, isMobile: true });
    const job = await example(page);
    await page.goto(`${job}/survey/C05`);
    await atOnce(page, "before");
    const pad = page.getByRole("group", { name: "Number pad" });
    for (const key of ["2", ".", "2", "3"]) await pad.getByRole("button", { name: key, exact: true }).click();
    await page.getByRole("button", { name: /^Keep ?2\.23/ }).waitFor();
    await page.getByRole("button", { name: "Keep, trip next" }).click();
    await page.waitForURL(/when=tripped/);
    await page.getByText(/Written at .*C05: tripped 2\.23/).waitFor();
    await atOnce(page, "kept");
    await pad.getByRole("button", { name: "open", exact: true }).click();
    await page.getByRole("button", { name: /^Keep ?open$/ }).click();
    await page.waitForURL(/of=C05/);
    await page.locator(".before").getByText("C05").waitFor();
    await atOnce(page, "the next pair");
    // Volts with a minus, and what does not stand still: a press each.
    await page.locator(".units label", { hasText: "V DC" }).first().click();
    for (const key of ["Minus", "1", "2"]) await pad.getByRole("button", { name: key, exact: true }).click();
    assert.equal(await page.getByLabel("What the meter shows").inputValue(), "-12");
    await pad.getByRole("button", { name: "unstable" }).click();
    assert.equal(await page.getByLabel("What the meter shows").inputValue(), "unstable");
    await pad.getByRole("button", { name: "Take the last digit off" }).click();
    assert.equal(await page.getByLabel("What the meter shows").inputValue(), "");
    assert.deepEqual(wrong, []);
    await context.close();
  });
}

test("the keyboard alone has every key, and what is refused is said while it is typed", async () => {
  const { page, wrong, context } = await desk.window(SIZES.laptop);
  const job = await example(page);
  await page.goto(`${job}/survey/C08`);
  const field = page.getByLabel("What the meter shows");
  await field.focus();
  await page.keyboard.press("t");
  await page.keyboard.type("4k7");
  assert.equal(await field.inputValue(), "4k7");
  await page.keyboard.press("u");
  assert.equal(await field.inputValue(), "unstable");
  await page.keyboard.type("open");
  assert.equal(await field.inputValue(), "open");
  assert.equal(await page.getByRole("radio", { name: "tripped", exact: true }).isChecked(), true);
  await page.getByText("Keys", { exact: true }).click();
  await page.getByText("open, over range").waitFor();
  await field.focus();
  await page.keyboard.press("Shift+Enter");
  await page.getByText(/Written at .*C08: tripped over range/).waitFor();
  await page.goto(`${job}/survey/C09`);
  await page.getByLabel("What the meter shows").focus();
  await page.keyboard.press("q");
  await page.keyboard.press("a");
  await page.keyboard.type("12");
  await page.keyboard.press("Shift+Enter");
  await page.getByText(/Written at .*C09: at rest 12/).waitFor();
  // Volts are on it: its ohms are refused before anybody presses Keep.
  await page.locator(".units label").first().click();
  await page.getByLabel("What the meter shows").fill("2.2");
  await page.getByText("Keep would write nothing.").waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

/** The square code of `loopwright:orchard-row-veterinary-hospital/C09`, row by row (ISO/IEC 18004, by the crate that draws our tags). */
const CODE = `
111111100011001000000110001111111
100000101000111011001000101000001
101110101100010101111101101011101
101110101111100100010110001011101
101110100111010100100111101011101
100000100010011011001100001000001
111111101010101010101010101111111
000000001000100000000011100000000
100000101011011101100010011001110
001100010101101100110111000111000
001011100111000100100100001001000
010011010011001100010011010011110
110001111000011111111110101101010
000101011000001011001100011101001
011011111110111000010100010101110
100001001001111100010011010011101
100001111000110011011011110110011
000001000010000111011101001101011
111110110011101100010001101100001
100000000101101011101101100001101
110010101110000110011111110011000
111000001011111010101011100110000
100001101101011111001100101010110
100100001011101000100010000001101
110000100001110110011000111111000
000000001100110110110011100010111
111111100010000100100101101010110
100000100111101000000000100011111
101110100000100100100100111111000
101110100010100010001010110111001
101110100100100011001010100010011
100000100101011110011000000111100
111111101011100011010011110001010
`.trim().split("\n");

/** A picture painted in the page, as the bytes of a JPEG. */
async function painted(page, how, what) {
  const url = await page.evaluate(({ how, what }) => {
    const canvas = document.createElement("canvas");
    const pen = canvas.getContext("2d");
    if (how === "code") {
      const side = 7;
      [canvas.width, canvas.height] = [900, 700];
      pen.fillStyle = "#b9b2a2"; pen.fillRect(0, 0, 900, 700);
      pen.translate(450, 350); pen.rotate(0.3); pen.translate(-150, -150);
      pen.fillStyle = "#f4f2ea"; pen.fillRect(-40, -40, 80 + what.length * side, 80 + what.length * side);
      pen.fillStyle = "#20242a";
      what.forEach((row, y) => [...row].forEach((bit, x) => { if (bit === "1") pen.fillRect(x * side, y * side, side + 0.4, side + 0.4); }));
    } else {
      [canvas.width, canvas.height] = [320, 160];
      pen.fillStyle = "#d01010"; pen.fillRect(0, 0, 160, 160);
      pen.fillStyle = "#1010d0"; pen.fillRect(160, 0, 160, 160);
    }
    return canvas.toDataURL("image/jpeg", 0.85);
  }, { how, what });
  return Buffer.from(url.split(",")[1], "base64");
}

test("a tag opens its circuit by its photo, and by a scanner wherever it types", async () => {
  const { page, wrong, context } = await desk.window(SIZES.phone);
  const job = await example(page);
  await page.goto(`${job}/survey`);
  const code = { name: "tag.jpg", mimeType: "image/jpeg", buffer: await painted(page, "code", CODE) };
  await page.getByLabel("A photo of its square code").setInputFiles(code);
  await page.getByRole("button", { name: "Read it" }).click();
  await page.waitForURL(/survey\/C09/);
  const none = { name: "wall.jpg", mimeType: "image/jpeg", buffer: await painted(page, "halves", []) };
  await page.getByLabel("A photo of its square code").setInputFiles(none);
  await page.getByRole("button", { name: "Read it" }).click();
  await page.getByText("No square code was found in this photo.").waitFor();
  // With the digits under its hand: nothing is kept of it but the way to its circuit.
  await page.goto(`${job}/survey/C05`);
  await page.getByLabel("What the meter shows").focus();
  await page.keyboard.type("loopwright:orchard-row-veterinary-hospital/C12");
  await page.keyboard.press("Enter");
  await page.waitForURL(/survey\/C12/);
  assert.equal(await page.getByText("Written at").count(), 0);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("the camera that reads codes opens a circuit, and one that is refused says what else there is", async () => {
  const { page, wrong, context } = await desk.window(SIZES.phone);
  await page.addInitScript(() => {
    window.given = false;
    window.BarcodeDetector = class {
      static async getSupportedFormats() { return ["qr_code"]; }
      async detect() { return [{ rawValue: "loopwright:orchard-row-veterinary-hospital/C11" }]; }
    };
    Object.defineProperty(navigator, "mediaDevices", { value: {
      async getUserMedia() {
        if (!window.given) throw new DOMException("no", "NotAllowedError");
        return document.createElement("canvas").captureStream();
      },
    } });
  });
  const job = await example(page);
  await page.goto(`${job}/survey`);
  await page.getByRole("button", { name: "Scan with the camera" }).click();
  await page.getByText("The camera was not given.").waitFor();
  await page.evaluate(() => { window.given = true; });
  await page.getByRole("button", { name: "Scan with the camera" }).click();
  await page.waitForURL(/survey\/C11/);
  assert.deepEqual(wrong, []);
  await context.close();
});

test("a workbook of our own comes back in, and a sheet is shown before it is written", async () => {
  const { page, wrong, context } = await desk.window({ ...SIZES.laptop, acceptDownloads: true });
  const job = await example(page);
  const answer = await page.request.get(`${job}/pack/tables.xlsx?paper=a4`);
  const workbook = { name: "tables.xlsx", mimeType: "application/octet-stream", buffer: await answer.body() };
  await page.goto(`${job}/readings`);
  await page.getByLabel("A filled-in sheet").setInputFiles(workbook);
  await page.getByRole("button", { name: "Show what is in it" }).click();
  await page.getByText(/0 readings of tables\.xlsx would be written\. \d+ readings stand here already\./).waitFor();
  const csv = "Tag;At rest;Tripped\nC08;2,210;OL\n";
  const put = async (text) => {
    await page.goto(`${job}/readings`);
    await page.getByLabel("A filled-in sheet").setInputFiles({ name: "three.csv", mimeType: "text/csv", buffer: Buffer.from(text) });
    await page.getByRole("button", { name: "Show what is in it" }).click();
  };
  await put(csv);
  await page.getByText("Cell B2:").waitFor();
  await put(csv.replace("2,210", "2,21k"));
  await page.getByText("1 reading of three.csv would be written").waitFor();
  await page.getByRole("button", { name: "Write 1 reading" }).click();
  await page.waitForURL(/survey(\?wrote=|$)/);
  await page.getByText(/Written at .*1 reading from the sheet three\.csv/).waitFor();
  await page.getByRole("button", { name: /Take back: 1 reading/ }).first().click();
  await page.getByText(/Taken back: 1 reading/).first().waitFor();
  assert.deepEqual(wrong, []);
  await context.close();
});

test("the walk goes on by itself, and whoever holds the meter hears it", async () => {
  const walker = await desk.window(SIZES.phone);
  const job = await example(walker.page);
  const meter = await desk.window(SIZES.phone);
  await meter.page.goto(`${job}/survey/C30`);
  await meter.page.evaluate(() => {
    window.sounded = 0;
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (...words) { window.sounded += 1; return start.apply(this, words); };
  });
  await meter.page.locator("h1").click();
  await walker.page.goto(`${job}/walk`);
  const first = await walker.page.locator(".huge .big-tag").textContent();
  await walker.page.getByRole("button", { name: /tripped now/ }).first().click();
  await walker.page.waitForURL(/pressed=/);
  assert.notEqual(await walker.page.locator(".huge .big-tag").textContent(), first);
  await walker.page.getByRole("link", { name: `Again: ${first}` }).waitFor();
  await walker.page.getByRole("link", { name: /^Skip to/ }).waitFor();
  await meter.page.locator(".trip").getByText(first).waitFor();
  assert.equal(await meter.page.evaluate(() => window.sounded), 1);
  assert.deepEqual([...walker.wrong, ...meter.wrong], []);
  await walker.context.close();
  await meter.context.close();
});

test("photos of a strip and of a circuit are shown the right way up", async () => {
  const { page, wrong, context } = await desk.window(SIZES.phone);
  const job = await example(page);
  const flat = await painted(page, "halves", []);
  // EXIF 2.3: the camera was held so that the picture has to be turned by a quarter to the right (6).
  const exif = Buffer.from("ffe10022457869660000" + "4d4d002a000000080001" + "01120003000000010006000000000000", "hex");
  const photo = { name: "strip.jpg", mimeType: "image/jpeg", buffer: Buffer.concat([flat.subarray(0, 2), exif, flat.subarray(2)]) };
  const corners = () => page.locator("figure img").last().evaluate(async (image) => {
    image.loading = "eager";
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
    const pen = canvas.getContext("2d");
    pen.drawImage(image, 0, 0);
    const at = (y) => { const [red, , blue] = pen.getImageData(canvas.width / 2, y, 1, 1).data; return red > blue ? "red" : "blue"; };
    return [canvas.width, canvas.height, at(20), at(canvas.height - 20)];
  });
  await page.goto(`${job}/survey`);
  await page.getByText("Photos of strip E1").click();
  await page.getByLabel("A photo of E1").setInputFiles(photo);
  await page.locator("details[open] form.photo").getByRole("button", { name: "Attach" }).click();
  await page.getByText("Photos of strip E1: 1").click();
  assert.deepEqual(await corners(), [160, 320, "red", "blue"]);
  await page.goto(`${job}/survey/C06`);
  await page.getByLabel("A photo of C06").setInputFiles(photo);
  await page.locator("form.photo").getByRole("button", { name: "Attach" }).click();
  await page.locator("figure img").first().waitFor({ state: "attached" });
  assert.deepEqual(await corners(), [160, 320, "red", "blue"]);
  assert.deepEqual(wrong, []);
  await context.close();
});
