// What the page is to whoever opens it: ready at once, legible, within its own walls.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import test from "node:test";
import { promisify } from "node:util";
import { Workshop } from "./workshop.mjs";

test("opens on the demo, its glow already forming, and says what it knows", async (t) => {
  const shop = await Workshop.open(t);
  assert.match(await shop.page.textContent("h1"), /winter sky/);
  assert.equal(await shop.words("panel.width"), "140 mm");
  await shop.known();
  assert.match(await shop.page.textContent("#verdicts"), /Seen straight on, the engraving glows at/);
  assert.match(await shop.page.textContent("#cautions"), /Never laser PVC/);
  await shop.shot("opened");
  assert.deepEqual(shop.faults, []);
});

test("every view passes axe", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  await shop.known();
  await shop.expectAccessible("as opened");
  for (const view of ["seated", "left", "behind", "measured"]) {
    await shop.page.click(`[data-value="${view}"]`);
    await shop.page.waitForTimeout(900);
    await shop.shot(view);
    await shop.expectAccessible(view);
  }
  await shop.page.click('[data-value="straight"]');
  await shop.page.click('[data-key="edges.top"]');
  await shop.shot("slip");
  await shop.expectAccessible("with a slip");
  await shop.page.fill(".slip input", "polishd");
  await shop.page.keyboard.press("Enter");
  await shop.page.waitForFunction(() => document.querySelector(".mistake").textContent);
  await shop.shot("mistake");
  await shop.expectAccessible("with a mistake");
  await shop.page.click(".leave");
  await shop.page.click("text=Even it out");
  await shop.page.waitForSelector(".plan", { timeout: 240000 });
  await shop.page.locator("#even").scrollIntoViewIfNeeded();
  await shop.shot("even");
  await shop.expectAccessible("evened out");
  await shop.page.click("text=a copy");
  await shop.page.waitForFunction(() => document.querySelectorAll(".piece").length === 2);
  await shop.known();
  await shop.shot("two");
  await shop.expectAccessible("two pieces");
  await shop.server.end("SIGKILL");
  await shop.page.waitForSelector("#gone:not([hidden])");
  await shop.shot("gone");
  await shop.expectAccessible("without a server");
});

// Widths at which a stop or comma stands on another line than the field before it.
const lonelyStops = (page) => page.evaluate(() => {
  const found = [];
  const paper = document.getElementById("ticket");
  for (let width = 320; width > 240; width -= 4) {
    paper.style.width = width + "px";
    for (const field of document.querySelectorAll("#order .field")) {
      const text = document.createTreeWalker(field.closest("p"), NodeFilter.SHOW_TEXT);
      text.currentNode = field.lastChild;
      const next = text.nextNode();
      if (!next || !/^[.,;]/.test(next.data)) continue;
      const range = document.createRange();
      range.setStart(next, 0);
      range.setEnd(next, 1);
      const last = [...field.getClientRects()].at(-1);
      if (range.getBoundingClientRect().top > last.bottom) found.push(width + ": " + field.dataset.key);
    }
  }
  paper.style.width = "";
  return found;
});

test("at 400 % nothing needs sideways scrolling and every field is large enough", async (t) => {
  const shop = await Workshop.open(t, { viewport: { width: 320, height: 256 }, bypassCSP: true });
  const wide = await shop.page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 320, "as wide as " + wide);
  assert.deepEqual(await lonelyStops(shop.page), [], "stops and commas that begin a line");
  await shop.page.click('[data-key="panel.thickness"]');
  await shop.page.fill(".slip input", "1/8 in");
  await shop.shot("zoomed");
  await shop.expectAccessible("zoomed");
});

test("forced colours tell which view is chosen", async (t) => {
  const shop = await Workshop.open(t, { forcedColors: "active" });
  const ground = (value) => shop.page.evaluate((wanted) =>
    getComputedStyle(document.querySelector(`[data-value="${wanted}"]`)).backgroundColor, value);
  assert.notEqual(await ground("straight"), await ground("seated"));
  await shop.shot("forced-colours");
});

test("long names and many designs stay within their places", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const box = (selector) => page.locator(selector).boundingBox();
  await shop.write("title", "x".repeat(300));
  await page.waitForFunction(() => /^x+$/.test(document.querySelector("h1").textContent));
  const [title, ticket] = [await box("h1 .field"), await box("#ticket")];
  assert.ok(title.x + title.width < ticket.x + ticket.width, "a title of one word ends on the paper");
  await shop.write("title", "Open nights of the winter half-year, weather permitting");
  await shop.fresh();
  await page.evaluate(async () => {
    const { change } = await import("/server.js");
    for (let i = 0; i < 8; ++i) await change("copy", {});
    await change("select", { design: "star-map-9" });
  });
  await page.waitForFunction(() => document.getElementById("design").textContent === "star-map-9");
  const [shelf, here, open] = [await box("#kept"), await box("#shelf [aria-current=true]"), await box("#open")];
  assert.ok(here.x >= shelf.x && here.x + here.width <= shelf.x + shelf.width, "the design on the bench is seen");
  assert.ok(open.x >= shelf.x + shelf.width - 1 && open.x + open.width < ticket.x, "and so is the way to open another");
  await shop.fresh();
  await page.waitForSelector("#stand:not(.old)");
  await shop.shot("many-designs");
  await page.emulateMedia({ media: "print" });
  const [words, picture] = [await box("h1 .field"), await box(".light")];
  assert.ok(words.y < picture.y + picture.height, "printed, the title stands beside the picture");
});

test("stands still for those who ask for it", async (t) => {
  const shop = await Workshop.open(t, { reducedMotion: "reduce" });
  const moving = await shop.page.evaluate(() => [...document.querySelectorAll("*")].filter(
    (element) => parseFloat(getComputedStyle(element).transitionDuration) > 0).length);
  assert.equal(moving, 0);
});

test("prints the ticket, black on white, on a page or two", async (t) => {
  const shop = await Workshop.open(t);
  await shop.known();
  await shop.page.emulateMedia({ media: "print" });
  const colour = await shop.page.evaluate(() => {
    const style = getComputedStyle(document.getElementById("ticket"));
    return [style.color, getComputedStyle(document.body).backgroundColor];
  });
  assert.deepEqual(colour, ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]);
  const picture = await shop.page.locator(".light").boundingBox();
  assert.ok(picture.width > 200 && picture.height > 150, "the picture is printed too");
  assert.equal(await shop.page.isVisible("#deeds"), false);
  assert.equal(await shop.page.isVisible("#cautions"), true);
  await shop.shot("print");
  const pdf = await shop.page.pdf({ format: "A4" });
  await writeFile(join(process.env.RIMEGLOW_SHOTS, "ticket.pdf"), pdf);
  const pages = String(pdf).match(/\/Type \/Page\b/g).length;
  assert.ok(pages <= 2, pages + " pages");
});

test("a comparison prints with all its columns", async (t) => {
  const shop = await Workshop.open(t);
  const scene = join(shop.designs, "star-map", "star-map.toml");
  const out = join(shop.folder, "compared");
  await promisify(execFile)(process.env.RIMEGLOW_PROGRAM, ["compare", scene, "--change", "panel.thickness",
    "--to", "5mm", "8mm", "--photons", "4000", "--out", out]);
  const page = await shop.browser.newPage({ viewport: { width: 680, height: 980 } });  // A4 within its margins
  await page.goto("file://" + join(out, "comparison.html"));
  await page.emulateMedia({ media: "print" });
  const tables = page.locator(".wide > table");
  const boxes = await Promise.all((await tables.all()).map((table) => table.boundingBox()));
  assert.ok(boxes.length > 0, "there are tables");
  for (const { x, width } of boxes) assert.ok(x + width <= 680, "as wide as " + (x + width));
  await tables.first().scrollIntoViewIfNeeded();
  await shop.shot("comparison-printed", page);
});

test("shows and prints no glow but the design's own", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await shop.known();
  const box = await page.locator(".art").boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.waitForFunction(() => document.getElementById("meter").textContent);
  const point = await page.locator(".point").boundingBox();
  assert.ok(Math.hypot(point.x + point.width / 2 - box.x - box.width / 2,
                       point.y + point.height / 2 - box.y - box.height / 2) < 3, "the meter's point is where it reads");
  const lacking = String(await shop.scene("star-map")).replace("star-map.svg", "lost.svg");
  await page.setInputFiles("#file", { name: "Lacking.toml", mimeType: "", buffer: Buffer.from(lacking) });
  await page.waitForSelector(".problems");
  for (const found of ["#verdicts", "#stand", "#caption", "#meter", "#step"])
    assert.equal(await page.textContent(found), "", found);
  assert.equal(await page.locator(".piece").count(), 0);
  assert.equal(await page.isVisible("#trust"), false);
  assert.equal(await page.textContent("#progress"), "Not known until the ticket is put right.");
  await shop.shot("lacking");
  await shop.expectAccessible("a scene that lacks its art");
  await page.emulateMedia({ media: "print" });
  await shop.shot("lacking-printed");
  await page.emulateMedia({ media: "screen" });
  await page.click('[data-design="star-map"]');
  await shop.known();
  await page.emulateMedia({ media: "print" });
  await page.evaluate(() => {
    const shown = (id) => document.getElementById(id).checkVisibility();
    window.printed = new Promise((resolve) => new MutationObserver((_, watch) => {
      watch.disconnect();
      resolve({ verdicts: shown("verdicts"), trust: shown("trust"), stand: shown("stand"),
                progress: document.getElementById("progress").textContent });
    }).observe(document.getElementById("verdicts"), { attributes: true }));
    return import("/ticket.js").then(({ writeIn }) => writeIn("panel.width", "150 mm"));
  });
  assert.deepEqual(await page.evaluate(() => window.printed),
                   { verdicts: false, trust: false, stand: false,
                     progress: "Not yet known: the light is on its way." });
  await shop.fresh();
  assert.equal(await page.isVisible("#verdicts"), true);
  await page.waitForSelector("#stand:not(.old)");
  assert.deepEqual(shop.faults, []);
});

test("a customer's words are only ever words", async (t) => {
  const shop = await Workshop.open(t);
  const words = '<img src=x onerror="window.caught=1"><script>window.caught=1</script>';
  await shop.write("title", words);
  await shop.fresh();
  assert.equal(await shop.page.textContent("h1"), words);
  await shop.page.setInputFiles("#file", {
    name: '"><script>window.caught=1<.svg', mimeType: "image/svg+xml",
    buffer: Buffer.from('<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm">' +
      '<script>window.caught=1</script><rect width="90" height="90" onload="window.caught=1"/></svg>') });
  await shop.page.waitForFunction(() => /script-window-caught/.test(document.getElementById("order").textContent));
  await shop.known();
  assert.equal(await shop.page.evaluate(() => window.caught), undefined);
  assert.equal(await shop.page.locator("#ticket svg, #ticket script").count(), 0);
  assert.deepEqual(shop.faults, []);
});
