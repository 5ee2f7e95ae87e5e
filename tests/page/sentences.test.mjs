// Sentences that come and go on the ticket, designs that leave the shelf, outlines of any kind.
import assert from "node:assert/strict";
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
  await page.locator("[data-topic=chamfer]").scrollIntoViewIfNeeded();
  await shop.fresh();
  await shop.shot("chamfer");
  await shop.expectAccessible("with a chamfer");
  await page.emulateMedia({ media: "print" });
  assert.ok(await page.isVisible("[data-topic=chamfer]"));
  await page.emulateMedia({ media: "screen" });
  await page.click('[data-does="strike edges.top"]');
  await page.waitForSelector("[data-topic=chamfer]", { state: "detached" });
  await page.click("#undo");
  await page.waitForSelector("[data-topic=chamfer]");
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
  "outline = " + outline + '\n[lamp]\nedge = "bottom"\ncount = 3\npitch = "9 mm"\nflux_each = "9 lm"\n';
const shapes = {
  "arch": '[["0 mm", "0 mm"], ["90 mm", "0 mm"], ["90 mm", "50 mm"], ["45 mm", "80 mm"], ["0 mm", "50 mm"]]' };

test("other outlines are drawn as they are, and their edges can be picked", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  for (const [name, outline] of Object.entries(shapes)) {
    await page.setInputFiles("#file", { name: name + ".toml", mimeType: "application/toml",
                                        buffer: Buffer.from(panel(outline)) });
    await page.waitForFunction((name) => document.getElementById("design").textContent === name, name);
    await page.waitForSelector(".sheet .acrylic");
    await page.setInputFiles("#file", { name: "bar.svg", mimeType: "image/svg+xml", buffer: Buffer.from(
      '<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm"><path d="M0 0H90V90H0Z"/></svg>') });
    await page.waitForFunction(() => /bar\.svg/.test(document.getElementById("order").textContent));
    await shop.known();
    await page.waitForTimeout(500);
    await shop.shot("outline-" + name);
    await shop.expectAccessible(name);
    await page.locator(".edges .edge.top").focus();
    await page.keyboard.press("Enter");
    await page.click('.slip :text("white card")');
    await page.waitForFunction(() => document.querySelector('[data-key="edges.top"]').textContent === "white card");
    const slope = await page.locator(".edges .edge.top").evaluate((path) => {
      const middle = path.getPointAtLength(path.getTotalLength() / 4);
      const at = new DOMPoint(middle.x, middle.y).matrixTransform(path.getScreenCTM());
      return [at.x, at.y];
    });
    await page.mouse.click(...slope);
    await page.waitForSelector(".slip");
    await shop.shot("outline-picked-" + name);
  }
  assert.deepEqual(shop.faults, []);
});
