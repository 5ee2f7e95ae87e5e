// Files that are dropped or chosen together are one piece.
import assert from "node:assert/strict";
import { mkdir, readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import test from "node:test";
import { Workshop } from "./workshop.mjs";

const art = '<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="50mm" viewBox="0 0 80 50">' +
  '<path d="M5 45 40 5 75 45Z"/></svg>';
const scene = 'title = "Gable"\nuse = "shop.toml"\n[panel]\nuse = "blank"\n[art]\nfile = "Gable.svg"\n' +
  '[mark.a]\n[[lamp]]\ncount = 5\npitch = "15 mm"\nflux_each = "9 lm"\n';
const shopFile = '[panel.blank]\nwidth = "110 mm"\nheight = "90 mm"\nthickness = "4 mm"\n';

test("a scene, its art and its shop file, dropped at once, stand on the bench", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  await shop.drop({ "shop.toml": shopFile, "G.toml": scene, "Gable.svg": art });
  await page.waitForFunction(() => document.querySelector("h1").textContent === "Gable");
  await shop.fresh();
  assert.equal(await page.locator(".problems").count(), 0);
  assert.equal(await page.textContent("#spoken"), "G.toml is on the bench.");
  assert.deepEqual((await readdir(join(shop.designs, "g"))).filter((name) => !name.startsWith(".")).sort(),
                   ["Gable.svg", "g.toml", "shop.toml"]);
  assert.equal(await readFile(join(shop.designs, "g", "shop.toml"), "utf8"), shopFile);
  await shop.shot("dropped-together");
  assert.deepEqual(shop.faults, []);
});

test("a folder is refused in words that say what to do instead", async (t) => {
  const shop = await Workshop.open(t);
  const { page } = shop;
  const folder = join(shop.folder, "a job");
  await mkdir(folder);
  const devtools = await page.context().newCDPSession(page);
  for (const type of ["dragEnter", "dragOver", "drop"])
    await devtools.send("Input.dispatchDragEvent",
                        { type, x: 300, y: 300, data: { items: [], files: [folder], dragOperationsMask: 1 } });
  await page.waitForFunction(() => document.getElementById("trouble").textContent);
  assert.equal(await page.textContent("#trouble"), '"a job" cannot be read. If it is a folder, drop the files in it.');
  assert.equal(await page.isVisible("#waiting"), false);
});

test("what is missing is named, and mends the scene when it comes", async (t) => {
  const shop = await Workshop.open(t, { bypassCSP: true });
  const { page } = shop;
  await shop.drop({ "G.toml": scene, "Gable.svg": art });
  await page.waitForSelector(".problems");
  assert.match(await page.textContent(".problems"),
               /Line 2: use: shop\.toml is not with this design\. Drop shop\.toml on the page\.$/);
  await shop.shot("lacks-its-shop-file");
  await shop.expectAccessible("a scene that lacks its shop file");
  await shop.drop({ "one.svg": art, "two.svg": art });
  await page.waitForFunction(() => document.getElementById("trouble").textContent);
  assert.match(await page.textContent("#trouble"), /^The scene asks for no one\.svg, so nothing was taken\. Drop /);
  await page.evaluate(() => {
    const dataTransfer = new DataTransfer();
    for (const name of ["one.svg", "two.svg"])
      dataTransfer.items.add(new File([new Uint8Array(13e6)], name));
    document.body.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer }));
  });
  await page.waitForFunction(() => /below 25 MB/.test(document.getElementById("trouble").textContent));
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.click(".problems + p .deed")]);
  assert.ok(chooser.isMultiple());
  await chooser.setFiles([{ name: "shop.toml", mimeType: "", buffer: Buffer.from(shopFile) }]);
  await page.waitForSelector(".problems", { state: "detached" });
  await shop.fresh();
  assert.equal(await shop.words("panel.width"), "110 mm");
  assert.deepEqual(shop.faults, []);
});
