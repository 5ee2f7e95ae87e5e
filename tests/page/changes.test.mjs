// Changes: none is lost, each can be taken back, and the light always belongs to the last.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import test from "node:test";
import { serve, Workshop } from "./workshop.mjs";

test("a change ends the light of the last and is saved", async (t) => {
  const shop = await Workshop.open(t);
  for (const width of ["150 mm", "151 mm", "152 mm"]) await shop.write("panel.width", width);
  assert.match(await shop.scene("star-map"), /^width = "152 mm"$/m);
  assert.match(await shop.scene("star-map"), /# engraves whiter than extruded/, "comments stay");
  await shop.known();
  assert.equal(await shop.page.evaluate(() =>
    parseFloat(document.querySelector(".block").getBoundingClientRect().width /
               document.querySelector(".block").getBoundingClientRect().height).toFixed(2)), "1.27");
});

test("undo, redo and reload", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  await shop.write("panel.width", "150 mm");
  await shop.write("lamp[0].count", "7");
  await page.keyboard.press("Control+z");
  await page.waitForFunction(() => document.querySelector('[data-key="lamp[0].count"]').textContent === "6");
  assert.match(await shop.scene("star-map"), /count = 6/);
  await page.click("#redo");
  await page.waitForFunction(() => document.querySelector('[data-key="lamp[0].count"]').textContent === "7");
  await page.reload();
  await page.waitForSelector("#stand[data-round]");
  assert.equal(await shop.words("panel.width"), "150 mm");
  assert.equal(await shop.words("lamp[0].count"), "7");
  await page.click("#undo");
  await page.waitForFunction(() => document.querySelector('[data-key="lamp[0].count"]').textContent === "6");
  assert.deepEqual(shop.faults, []);
});

test("a mistake stands beside its words, and what was typed outlives a reload", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const before = await shop.scene("star-map");
  await page.click('[data-key="panel.thickness"]');
  await page.fill(".slip input", "1,5 mm");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /comma/.test(document.querySelector(".mistake").textContent));
  assert.equal(await page.getAttribute(".slip input", "aria-invalid"), "true");
  assert.match(await page.textContent(".mistake"), /^panel\.thickness: .*\. \S.*\.$/, "two sentences");
  await page.reload();
  await page.waitForSelector(".slip input");
  assert.equal(await page.inputValue(".slip input"), "1,5 mm");
  assert.equal(await shop.scene("star-map"), before);
  await page.fill(".slip input", '0.118"');
  await page.waitForFunction(() => /2\.9972 mm = 0\.118 in/.test(document.querySelector(".echo").textContent));
  await page.fill(".slip input", "3.2");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelector('[data-key="panel.thickness"]').textContent === "3.2 mm");
});

test("a slip opened while the last word is still being written stays", async (t) => {
  const { page } = await Workshop.open(t);
  let go;
  const held = new Promise((resolve) => { go = resolve; });
  await page.route("**/api/edit*", async (route) => { await held; await route.continue(); });
  await page.click('[data-key="panel.thickness"]');
  await page.fill(".slip input", "4 mm");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Escape");
  await page.click('[data-key="panel.thickness"]');
  await page.fill(".slip input", "6 mm");
  go();
  await page.waitForFunction(() => document.querySelector('[data-key="panel.thickness"]').textContent === "4 mm");
  await page.waitForTimeout(300);
  assert.equal(await page.inputValue(".slip input"), "6 mm");
});

test("a move of the art is written where it was made, or nowhere", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const before = await shop.scene("moon");
  await page.focus(".art");
  await page.keyboard.press("ArrowRight");
  await page.click('[data-design="moon"]');
  await page.waitForFunction(() => document.getElementById("design").textContent === "moon");
  assert.match(await shop.scene("star-map"), /centre = \["71.00 mm", "65.00 mm"\]/);
  const other = await shop.tab();
  await page.focus(".art");
  await Promise.all([page.keyboard.press("ArrowRight"), other.click('[data-design="plaque"]')]);
  await page.waitForFunction(() => document.getElementById("design").textContent === "plaque");
  const plaque = await shop.scene("plaque");
  await page.evaluate(() => import("/stand.js").then(({ settleArt }) => settleArt()));
  assert.equal(await shop.scene("plaque"), plaque);
  assert.ok([before, before.replace('"75 mm", "85 mm"', '"76.00 mm", "85.00 mm"')].includes(await shop.scene("moon")));
  assert.deepEqual(shop.faults, []);
});

test("the focus stays near what was done, and in what is being typed", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const isIn = (selector) => page.waitForFunction((wanted) =>
    document.querySelector(wanted)?.contains(document.activeElement), selector);
  for (const words of ["a copy", "Put it away"]) {
    await page.locator("#deed-words .deed", { hasText: words }).focus();
    await page.keyboard.press("Enter");
    await page.locator("#deed-words .deed", { hasText: words }).waitFor({ state: "detached" });
    await isIn("#deeds");
  }
  await page.focus('[data-design="moon"]');
  await page.keyboard.press("Enter");
  await isIn('[data-design="moon"][aria-current=true]');
  await page.click('[data-key="panel.width"]');
  await page.keyboard.type("15");
  const other = await shop.tab();
  await other.click("text=Light another edge too");
  await page.waitForSelector('[data-key="lamp[1].count"]');
  await page.keyboard.type("1 mm");
  assert.equal(await page.inputValue(".slip input"), "151 mm");
});

test("memory stays flat over 200 changes", async (t) => {
  const shop = await Workshop.open(t);
  const residentMb = async () => {
    const status = await readFile(`/proc/${shop.server.child.pid}/status`, "utf8");
    return Number(/^VmRSS:\s+(\d+)/m.exec(status)[1]) / 1000;
  };
  const change = (from, to) => shop.page.evaluate(async ({ from, to }) => {
    const { change } = await import("/server.js");
    for (let i = from; i < to; ++i)
      await change("edit", { key: "art.centre", value: `${70 + i % 9} mm, 65 mm`, standing: "" });
  }, { from, to });
  await change(0, 40);
  await shop.fresh();
  const before = await residentMb();
  await change(40, 240);
  await shop.fresh();
  const after = await residentMb();
  t.diagnostic(`${before} MB, then ${after} MB`);
  assert.ok(after < before + 30, `from ${before} to ${after} MB`);
});

test("two tabs show the same bench", async (t) => {
  const shop = await Workshop.open(t);
  const other = await shop.tab();
  await shop.write("panel.width", "150 mm");
  await other.waitForFunction(() => document.querySelector('[data-key="panel.width"]').textContent === "150 mm");
  await shop.write("panel.height", "130 mm", other);
  await shop.page.waitForFunction(() => document.querySelector('[data-key="panel.height"]').textContent === "130 mm");
  const scene = await shop.scene("star-map");
  assert.match(scene, /width = "150 mm"\nheight = "130 mm"/);
});

test("hostile art is refused in words and leaves everything as it was", async (t) => {
  const shop = await Workshop.open(t);
  const before = await shop.scene("star-map");
  const bombs = {
    "deep.svg": '<svg xmlns="http://www.w3.org/2000/svg">' + "<g>".repeat(5000) + "</g>".repeat(5000) + "</svg>",
    "entities.svg": '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg xmlns="http://www.w3.org/2000/svg"><text>&b;</text></svg>',
    "no-art.png": "hello",
    "empty.svg": "" };
  for (const [name, text] of Object.entries(bombs)) {
    await shop.page.setInputFiles("#file", { name, mimeType: "image/svg+xml", buffer: Buffer.from(text) });
    await shop.page.waitForFunction(() => document.getElementById("trouble").textContent.length > 10);
    const { y, height } = await shop.page.locator("#trouble").boundingBox();
    assert.ok(y > 0 && y + height < 900, "where it is seen");
    await shop.page.click("#put-away");
    assert.equal(await shop.page.isVisible("#refused"), false);
  }
  assert.equal(await shop.scene("star-map"), before);
});

test("a fault of the page's own is told as one, and the server is still there", async (t) => {
  const shop = await Workshop.open(t);
  await shop.page.evaluate(() => {
    Element.prototype.append = () => { throw new Error("made up"); };
  });
  await shop.write("panel.width", "150 mm", await shop.tab());
  await shop.page.waitForFunction(() =>
    /fault of its own \(.*made up\)/.test(document.getElementById("trouble").textContent));
  assert.equal(await shop.page.isVisible("#gone"), false);
});

test("a server that stops is told, and what was typed is kept", async (t) => {
  const shop = await Workshop.open(t);
  await shop.write("panel.width", "150 mm");
  await shop.page.click('[data-key="panel.height"]');
  await shop.page.fill(".slip input", "130 mm");
  await shop.server.end("SIGKILL");
  await shop.page.waitForSelector("#gone:not([hidden])");
  assert.match(await shop.page.textContent("#gone"), /has stopped.*is saved/);
  assert.equal(await shop.page.inputValue(".slip input"), "130 mm");
  const port = new URL(shop.server.address).port;
  shop.server = await serve(shop.designs, port);
  await shop.page.waitForFunction(() => /anew/.test(document.getElementById("gone").textContent));
  const tab = await shop.tab();
  assert.equal(await shop.words("panel.width", tab), "150 mm");
  assert.equal(await shop.server.end(), 0, "Ctrl-C is a proper end");
});
