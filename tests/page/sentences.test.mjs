// Sentences that come and go on the ticket, designs that leave the shelf, outlines of any kind.
import assert from "node:assert/strict";
import { mkdir, writeFile } from "node:fs/promises";
import { join } from "node:path";
import test from "node:test";
import { Workshop } from "./workshop.mjs";

test("another row of LEDs and another viewer come and go, by keyboard alone", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  const before = await shop.scene("star-map");
  const press = async (words) => {
    await page.evaluate(() => document.activeElement.blur());
    for (let i = 0; i < 120; ++i) {
      await page.keyboard.press("Tab");
      if (await page.evaluate(() => document.activeElement.textContent) === words)
        return page.keyboard.press("Enter");
    }
    assert.fail("no way to " + words + " by Tab");
  };
  await press("Light another edge too");
  await page.waitForSelector('[data-key="lamp[1].count"]');
  assert.match(await page.textContent("#order"), /And from the left by 5 white LEDs/);
  assert.ok(await page.evaluate(() => "does" in document.activeElement.dataset), "the focus stays near");
  await press("Look from another place too");
  await page.waitForSelector('[data-key="viewer.standing.above"]');
  await shop.known();
  await page.click('#viewers [data-value="standing"]');
  await page.waitForTimeout(900);
  await shop.shot("rows");
  await shop.expectAccessible("with more rows");
  await shop.write("viewer.standing.left", "10 deg");
  await page.locator('[data-topic=viewer] [data-does^="strike"]').click();
  await page.waitForSelector('[data-key="viewer.standing.above"]', { state: "detached" });
  assert.equal(await page.getAttribute("#stand", "data-viewer"), "straight", "nobody stands there now");
  await page.locator('[data-does="strike lamp[1]"]').click();
  await page.waitForSelector('[data-key="lamp[1].count"]', { state: "detached" });
  assert.equal(await shop.scene("star-map"), before, "not a letter is left of it");
  await page.click("#undo");
  await page.waitForSelector('[data-key="lamp[1].count"]');
  assert.deepEqual(shop.faults, []);
});

test("an edge is chamfered in words, and square again", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await page.focus('[data-does="add edges.top"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector('[data-key="edges.top.chamfer_front"]');
  assert.equal(await page.evaluate(() => document.activeElement.dataset.does), "strike edges.top");
  await page.click('[data-key="edges.top.chamfer_front"]');
  await page.fill(".slip input", "9 mm");
  await page.waitForFunction(() => /thick|deep/.test(document.querySelector(".mistake").textContent));
  await page.fill(".slip input", '1/16"');
  await page.waitForFunction(() => /1\.5875 mm = 0\.0625 in/.test(document.querySelector(".echo").textContent));
  await page.keyboard.press("Enter");
  await page.click('[data-key="edges.top.chamfer_finish"]');
  await shop.shot("chamfer-slip");
  await page.click('.slip :text("sawn")');
  await page.waitForFunction(() => /^Top edge chamfered by 1\/16" at the front and by 0 mm at the back, at 45 deg to the faces, sawn\./.test(
    document.querySelector("[data-topic=chamfer]").textContent));
  const cut = await page.locator(".face").evaluate((face) => parseFloat(getComputedStyle(face, "::before").top) /
    face.offsetWidth * 140);
  assert.ok(Math.abs(cut - 1.5875) < 0.01, "drawn " + cut + " mm below the top");
  await page.locator("[data-topic=chamfer]").scrollIntoViewIfNeeded();
  await shop.fresh();
  await shop.shot("chamfer");
  await shop.expectAccessible("with a chamfer");
  await page.emulateMedia({ media: "print" });
  assert.ok(await page.isVisible("[data-topic=chamfer]"));
  await page.emulateMedia({ media: "screen" });
  await page.click('[data-does="strike edges.top"]');
  await page.waitForSelector("[data-topic=chamfer]", { state: "detached" });
  assert.equal(await page.locator(".face.cut").count(), 0);
  await page.click("#undo");
  await page.waitForSelector("[data-topic=chamfer]");
  assert.equal(await page.locator(".face.cut").count(), 1);
  assert.match(await page.getAttribute('.edge.top', "aria-label"), /^Top edge, polished: change it$/);
  assert.deepEqual(shop.faults, []);
});

test("a design leaves the shelf when asked twice, and comes back", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const onShelf = () => page.locator("#shelf [data-design]").allTextContents();
  const before = await onShelf();
  await page.click("text=Take this design off the shelf");
  assert.equal(await page.evaluate(() => document.activeElement.textContent), "keep it");
  await page.keyboard.press("Enter");
  assert.deepEqual(await onShelf(), before);
  await page.click("text=Take this design off the shelf");
  await page.click("text=Yes, take it off");
  await page.waitForFunction(() => /Off the shelf is star-map/.test(document.getElementById("off-shelf").textContent));
  assert.deepEqual(await onShelf(), before.filter((name) => name !== "star-map"));
  await shop.shot("off-shelf");
  await page.click("text=put it back");
  await page.waitForFunction(() => /star-map/.test(document.getElementById("design").textContent));
  assert.deepEqual(await onShelf(), before);
  assert.deepEqual(shop.faults, []);
});

const panel = (outline) => 'format = 1\ntitle = "Round"\n[panel]\nwidth = "90 mm"\nthickness = "4 mm"\n' +
  "outline = " + outline + '\n[art]\nfile = "bar.svg"\nwidth = "30 mm"\ncentre = ["45 mm", "30 mm"]\n[mark.a]\n' +
  '[lamp]\nedge = "bottom"\ncount = 3\npitch = "9 mm"\nflux_each = "9 lm"\n';
const path = (size, d) => `<svg xmlns="http://www.w3.org/2000/svg" width="${size[0]}mm" height="${size[1]}mm" ` +
  `viewBox="0 0 ${size}"><path fill-rule="evenodd" d="${d}"/></svg>`;
const bar = path([90, 60], "M0 0H90V60H0Z");

// Each with a place of its box where no acrylic is, in mm from the upper left.
const shapes = {
  rounded: { outline: '"rectangle"\nheight = "70 mm"\ncorner_radius = "15 mm"', outside: [1, 1] },
  arch: { outline: '[["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "50 mm"], ["45 mm", "80 mm"], ["0 mm", "50 mm"]]',
          outside: [5, 5] },
  pierced: { outline: '"pierced.svg"', outside: [16, 14], edge: "holes",
             file: path([90, 70], "M0 0H90V70H0ZM10 14a6 6 0 0 0 12 0a6 6 0 0 0 -12 0Z") } };

test("other outlines are drawn as they are, and their edges can be picked", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  const colourAt = async ([x, y]) => {
    const shot = await page.screenshot({ clip: { x, y, width: 1, height: 1 } });
    return page.evaluate(async (shot) => {
      const picture = await createImageBitmap(await (await fetch("data:image/png;base64," + shot)).blob());
      const canvas = new OffscreenCanvas(1, 1).getContext("2d");
      canvas.drawImage(picture, 0, 0);
      return String([...canvas.getImageData(0, 0, 1, 1).data].slice(0, 3));
    }, shot.toString("base64"));
  };
  await page.click('[data-value="measured"]');
  await page.waitForFunction(() => /^Measured, in false colours from/.test(document.getElementById("caption").textContent));
  for (const [name, { outline, outside, edge = "top", file }] of Object.entries(shapes)) {
    await mkdir(join(shop.designs, name));
    await writeFile(join(shop.designs, name, name + ".toml"), panel(outline));
    await writeFile(join(shop.designs, name, "bar.svg"), bar);
    if (file) await writeFile(join(shop.designs, name, name + ".svg"), file);
    await page.evaluate(async (design) => {
      const { change } = await import("/server.js");
      await change("select", { design });
    }, name);
    await page.waitForFunction((name) => document.getElementById("design").textContent === name, name);
    await page.waitForSelector(".light[data-round]");
    const face = await page.locator(".face").boundingBox();
    const at = ([x, y]) => [face.x + x * face.width / 90, face.y + y * face.width / 90];
    await shop.shot("outline-" + name);
    assert.equal(await colourAt(at([45, 12])), "0,0,0", "no light on clear acrylic in " + name);
    assert.notEqual(await colourAt(at([45, face.height * 90 / face.width - 30])), "0,0,0", "light in " + name);
    assert.notEqual(await colourAt(at(outside)), "0,0,0", "the room, not the picture of the light, in " + name);
    if (name !== "rounded") {
      await page.waitForSelector("#stand:not(.old)");
      await page.emulateMedia({ media: "print" });
      await page.evaluate(() => scrollTo(0, 0));
      const [sheet, light] = [await page.locator(".sheet").boundingBox(), await page.locator(".light").boundingBox()];
      for (const side of ["x", "y", "width", "height"])
        assert.ok(Math.abs(sheet[side] - light[side]) < 2, "printed, the light lies on its sheet in " + name);
      const on = (x, y) => [light.x + x * light.width / 90, light.y + y * light.width / 90];
      assert.equal(await colourAt(on(...outside)), "255,255,255", "printed, paper beside " + name);
      assert.equal(await colourAt(on(86, light.height * 90 / light.width - 4)), "0,0,0", "printed whole: " + name);
      await page.emulateMedia({ media: "screen" });
    }
    await shop.expectAccessible(name);
    await page.locator(".edge." + edge).focus();
    await page.keyboard.press("Enter");
    await page.click('.slip :text("white card")');
    await page.waitForFunction((key) => document.querySelector(`[data-key="${key}"]`).textContent === "white card",
                               "edges." + edge);
    const on = await page.locator(".edge." + edge).evaluate((drawn) => {
      const box = drawn.getBoundingClientRect();
      if (!drawn.getTotalLength) return [box.x + box.width / 2, box.y + box.height / 2];
      const middle = drawn.getPointAtLength(drawn.getTotalLength() / 4);
      const at = new DOMPoint(middle.x, middle.y).matrixTransform(drawn.getScreenCTM());
      return [at.x, at.y];
    });
    await page.mouse.click(...on);
    await page.waitForSelector(".slip");
    await shop.shot("outline-picked-" + name);
  }
  assert.deepEqual(shop.faults, []);
});
