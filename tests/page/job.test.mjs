// The whole job, from a customer's art to files, twice: by mouse, and by keyboard alone.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { Workshop } from "./workshop.mjs";

const art = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">' +
  '<path d="M5 45 40 5 75 45Z"/><rect x="5" y="47" width="70" height="2"/></svg>';

async function download(page, start) {
  const [file] = await Promise.all([page.waitForEvent("download"), start()]);
  return { name: file.suggestedFilename(), bytes: await readFile(await file.path()) };
}

const centre = (text) => /([\d.]+) mm, ([\d.]+) mm/.exec(text).slice(1).map(Number);

test("by mouse", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  await shop.drop({ "gable.svg": art });
  await page.waitForFunction(() => /gable\.svg/.test(document.getElementById("order").textContent));
  await shop.fresh();
  const [x, y] = centre(await shop.words("art.centre"));
  const box = await page.locator(".art").boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2 + 30, box.y + box.height / 2 - 20, { steps: 5 });
  await page.mouse.up();
  await page.waitForFunction((old) =>
    document.querySelector('[data-key="art.centre"]').textContent !== old, `${x} mm, ${y} mm`);
  const [newX, newY] = centre(await shop.words("art.centre"));
  assert.ok(newX > x + 2 && newY > y + 1, "moved right and up");
  await shop.fresh();
  await page.locator(".edge.top").click();
  await page.click('.slip :text("white card")');
  await page.waitForFunction(() =>
    document.querySelector('[data-key="edges.top"]').textContent === "white card");
  await shop.write("panel.thickness", "1/4 in");
  assert.equal(await shop.words("panel.thickness"), "1/4 in");
  await shop.known();
  await page.mouse.move(box.x + box.width / 2 + 20, box.y + box.height / 2 + 20);
  await page.waitForFunction(() => /cd\/m\u00b2 over 2\s+mm|clear sheet/.test(
    document.getElementById("meter").textContent));
  const scene = await download(page, () => page.click("text=the scene"));
  assert.match(String(scene.bytes), /thickness = "1\/4 in"/);
  assert.match(String(scene.bytes), /file = "gable.svg"/);
  const report = await download(page, () => page.click("text=the report"));
  assert.match(String(report.bytes), /<!DOCTYPE html>/);
  const picture = await download(page, () => page.click("text=the picture"));
  assert.equal(picture.bytes.subarray(1, 4).toString(), "PNG");
  await page.click("text=Even it out");
  await page.waitForSelector(".plan", { timeout: 240000 });
  assert.match(await page.textContent("#even"), /darkest patch goes from/);
  const bitmap = await download(page, () => page.click("text=engraving.png"));
  assert.equal(bitmap.bytes.subarray(1, 4).toString(), "PNG");
  assert.equal(bitmap.bytes[24], 1, "one bit a pixel");
  const note = await download(page, () => page.click("text=work-note.html"));
  assert.match(String(note.bytes), /Never laser PVC/);
  await page.click("text=Stand the evened panel");
  await page.waitForFunction(() => document.querySelectorAll(".piece").length === 2);
  await page.waitForFunction(() => /evenness/.test(document.getElementById("difference").textContent));
  await shop.shot("job-by-mouse");
  assert.equal(await page.evaluate(async () => {
    const { change } = await import("/server.js");
    return change("plan", {}).catch((why) => why.message);
  }), "there is no plan yet", "a plan ends with the pieces it was made for");
  assert.deepEqual(shop.faults, []);
});

test("by keyboard alone", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  page.on("filechooser", () => {});  // the browser is told at once that a file will be asked for
  const reach = async (selector) => {
    for (let i = 0; i < 120; ++i) {
      if (await page.evaluate((wanted) => document.activeElement.matches(wanted), selector)) return;
      await page.keyboard.press("Tab");
    }
    assert.fail("no way to " + selector + " by Tab");
  };
  await reach('[data-key="panel.width"]');
  await page.keyboard.press("Enter");
  await page.keyboard.type("6 in");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector('[data-key="panel.width"]').textContent === "6 in");
  await page.waitForSelector(".slip", { state: "detached" });
  assert.equal(await page.evaluate(() => document.activeElement.dataset.key), "panel.width",
               "the focus comes back");
  await shop.fresh();
  await reach('[data-topic=art] .deed');
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Enter")]);
  await chooser.setFiles({ name: "gable.svg", mimeType: "image/svg+xml", buffer: Buffer.from(art) });
  await page.waitForFunction(() => /gable\.svg/.test(document.getElementById("order").textContent));
  await shop.fresh();
  const [x] = centre(await shop.words("art.centre"));
  await page.evaluate(() => document.activeElement.blur());
  await reach(".art");
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  await page.waitForFunction((old) =>
    parseFloat(document.querySelector('[data-key="art.centre"]').textContent) === old + 2, x);
  await reach(".edge.left");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".slip");
  await page.keyboard.press("Escape");
  assert.equal(await page.locator(".slip").count(), 0);
  await page.evaluate(() => document.activeElement.blur());
  await reach(".point");
  await page.keyboard.press("ArrowUp");
  await page.waitForFunction(() => document.getElementById("meter").textContent.length > 5);
  await reach("#viewers [role=radio]");
  await page.keyboard.press("ArrowRight");
  assert.equal(await page.getAttribute("#stand", "data-viewer"), "seated");
  await reach("#undo");
  await page.keyboard.press("Enter");
  await page.waitForFunction((old) =>
    parseFloat(document.querySelector('[data-key="art.centre"]').textContent) === old, x);
  assert.equal(await page.evaluate(() => document.activeElement.id), "undo", "the focus stays");
  await shop.known();
  await reach("#deed-words .needs-known");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".plan", { timeout: 240000 });
  await reach("#even .deed");
  const bitmap = await download(page, () => page.keyboard.press("Enter"));
  assert.match(bitmap.name, /engraving\.png$/);
  assert.equal(bitmap.bytes[24], 1, "one bit a pixel");
  assert.deepEqual(shop.faults, []);
});
