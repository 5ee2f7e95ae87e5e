// What the page says beside the numbers of one light: what another step would do, what two pieces
// differ in, how the panel looks from elsewhere.
import assert from "node:assert/strict";
import test from "node:test";
import { Workshop } from "./workshop.mjs";

test("says what the likeliest step would do, and writes it on the ticket", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await shop.known();
  await shop.said("#step");
  const sanding = await page.textContent("#step");
  assert.match(sanding, /^Sanding the top edge .*art.* \(here -?[\d.]+ \u00b1 [\d.]+\s%\)/, "span first, then noise");
  await page.locator("#step").scrollIntoViewIfNeeded();
  await shop.shot("step");
  await shop.expectAccessible("with a step");
  await page.click("#step .deed");
  await page.waitForFunction(() => document.querySelector('[data-key="edges.top"]').textContent === "sanded P320");
  assert.equal(await page.textContent("#step"), "", "it was said of the panel before");
  await shop.said("#step");
  assert.match(await page.textContent("#step"), /^Polishing the top edge /);
  await page.click("#undo");
  await page.waitForFunction(() => document.querySelector('[data-key="edges.top"]').textContent === "polished");
  assert.deepEqual(shop.faults, []);
});

test("says between two pieces what they differ in", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await page.click("text=a copy");
  await page.waitForFunction(() => document.querySelectorAll(".piece").length === 2);
  await shop.write("edges.top", "white card");
  await page.waitForFunction(() => /^What is different on the right/.test(
    document.getElementById("difference").textContent), null, { timeout: 240000 });
  const [left, words, right] = await Promise.all(
    [page.locator(".piece").nth(0), page.locator("#difference"), page.locator(".piece").nth(1)].map(
      (place) => place.boundingBox()));
  assert.ok(left.x + left.width <= words.x + 1 && words.x + words.width <= right.x + 1, "between them");
  assert.match(await page.textContent("#difference"), / times dimmer.*\(here [\d.]+ \u00b1 [\d.]+\)/);
  const where = page.locator("#where");
  await where.waitFor();
  assert.match(await where.locator("img").getAttribute("alt"), /glows brighter in 0 of \d+ squares, and dimmer in \d+ of/);
  assert.match(await where.locator("figcaption").textContent(),
               /blue is more, dashed orange is less, grey .* The scale ends at \d+\scd\/m\u00b2 .* noise .* \(one standard error\)\.$/);
  await shop.shot("different");
  await shop.expectAccessible("two that differ");
  for (const [width, height] of [[1440, 900], [1280, 560], [1024, 700], [320, 256]]) {
    await page.setViewportSize({ width, height });
    const parts = page.locator("#where, #difference, .piece, #looking, #shelf");
    const boxes = await Promise.all((await parts.all()).map((part) => part.boundingBox()));
    const isApart = (a, b) => a.x + a.width <= b.x + 1 || b.x + b.width <= a.x + 1 ||
      a.y + a.height <= b.y + 1 || b.y + b.height <= a.y + 1;
    assert.equal(boxes.length, 6);
    assert.ok(boxes.every((box, i) => boxes.every((other, k) => i === k || isApart(box, other))),
              "nothing covers another in " + width + " by " + height + ": " + JSON.stringify(boxes));
    await where.scrollIntoViewIfNeeded();
    await shop.shot("different-" + width);
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= width);
  }
  await page.setViewportSize({ width: 1440, height: 900 });
  await shop.write("edges.top", "white tape");
  await where.waitFor({ state: "hidden" });
  assert.deepEqual(shop.faults, []);
});

test("walks around the panel with a camera", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await page.click('[data-value="photograph"]');
  assert.match(await page.textContent("#caption"), /once the light is known/);
  for (const viewer of ["straight", "seated", "left", "behind"]) {
    await page.click(`[data-value="${viewer}"]`);
    await page.waitForSelector(`.photograph[src][data-of="${viewer}"]`, { timeout: 240000 });
    assert.match(await page.textContent("#caption"),
                 /^Photographed from half a metre; white is [\d.]+\scd\/m\u00b2, in a room of 30\scd/);
    await shop.shot("photograph-" + viewer);
    await shop.expectAccessible("photographed " + viewer);
  }
  await page.click('[data-value="straight"]');
  await page.click('[data-value="eye"]');
  const box = await page.locator(".art").boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.waitForFunction(() => document.getElementById("meter").textContent.length > 5);
  await page.click('[data-value="photograph"]');
  await page.waitForSelector(".photograph[src]");
  await shop.write("panel.width", "150 mm");
  await page.waitForSelector(".photograph[src]", { state: "detached" });
  await page.waitForSelector(".photograph[src]", { timeout: 240000 });
  assert.deepEqual(shop.faults, []);
});
