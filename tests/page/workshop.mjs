// A server with designs of its own and a browser before it, for one test.
import { spawn } from "node:child_process";
import { mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createRequire } from "node:module";
import assert from "node:assert/strict";
import { chromium } from "playwright-core";

const program = process.env.RIMEGLOW_PROGRAM;
const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

export async function serve(designs, port) {
  const child = spawn(program, ["serve", "--designs", designs, ...(port ? ["--port", port] : [])]);
  child.stderr.resume();
  const address = await new Promise((resolve, reject) => {
    child.stdout.once("data", (text) => resolve(String(text).trim()));
    child.once("exit", (code) => reject(new Error("rimeglow serve ended with " + code)));
  });
  const ended = new Promise((resolve) => child.once("exit", (code) => resolve(code)));
  return { address, child, end: (signal = "SIGINT") => { child.kill(signal); return ended; } };
}

// Chromium's own telephone calls are switched off; the page makes none.
const quiet = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync"];

export class Workshop {
  static async open(test, options = {}) {
    const shop = new Workshop();
    shop.folder = await mkdtemp(join(tmpdir(), "rimeglow-page-"));
    shop.designs = join(shop.folder, "designs");
    shop.server = await serve(shop.designs);
    shop.browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: quiet });
    shop.faults = [];
    test.after(async () => {
      await shop.browser.close();
      await shop.server.end("SIGKILL");
      await rm(shop.folder, { recursive: true, force: true });
    });
    shop.page = await shop.tab(options);
    return shop;
  }

  async tab(options = {}) {
    const page = await this.browser.newPage({ viewport: { width: 1440, height: 900 }, ...options });
    page.on("pageerror", (error) => this.faults.push("error: " + error.message));
    page.on("request", (request) => {
      const { hostname } = new URL(request.url());
      if (!["127.0.0.1", ""].includes(hostname)) this.faults.push("went out: " + request.url());
    });
    await page.addInitScript(() => {
      addEventListener("securitypolicyviolation", (event) => {
        console.error("policy: " + event.violatedDirective + " " + event.blockedURI);
      });
    });
    page.on("console", (message) => {
      if (/^policy: |Content Security Policy|TrustedHTML/.test(message.text()))
        this.faults.push(message.text());
    });
    page.setDefaultTimeout(120000);  // the machine may be busy
    await page.goto(this.server.address);
    await page.waitForSelector("#stand[data-round]");
    return page;
  }

  // Until the light is known as well as predict would.
  async known(page = this.page) {
    await page.waitForFunction(() => /^Known/.test(document.getElementById("spoken").textContent),
                               null, { timeout: 240000 });
  }

  // Until words stand there that take a while to find.
  async said(selector, page = this.page) {
    await page.waitForFunction((wanted) => document.querySelector(wanted).textContent, selector,
                               { timeout: 240000 });
  }

  // Until the light of what was changed last is there.
  async fresh(page = this.page) {
    await page.waitForFunction(() => document.getElementById("waiting").hidden);
  }

  async write(key, text, page = this.page) {
    await page.click(`[data-key="${key}"]`);
    await page.fill(".slip input", text);
    await page.keyboard.press("Enter");
    await page.waitForSelector(".slip", { state: "detached" });
  }

  // `files`: their texts by name.
  async drop(files, page = this.page) {
    await page.evaluate((files) => {
      const dataTransfer = new DataTransfer();
      for (const [name, text] of Object.entries(files)) dataTransfer.items.add(new File([text], name));
      for (const kind of ["dragover", "drop"])
        document.body.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer }));
    }, files);
  }

  words(key, page = this.page) {
    return page.textContent(`[data-key="${key}"]`);
  }

  scene(design) {
    return readFile(join(this.designs, design, design + ".toml"), "utf8");
  }

  async shot(name, page = this.page) {
    await page.screenshot({ path: join(process.env.RIMEGLOW_SHOTS, name + ".png") });
  }

  async expectAccessible(what, page = this.page) {
    await page.addScriptTag({ path: axe }).catch(() => {});
    const found = await page.evaluate(() => window.axe.run(document, {
      runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"] }));
    const said = found.violations.map((violation) => violation.id + ": " +
      violation.nodes.map((node) => node.target + " " + node.failureSummary).join("; "));
    assert.deepEqual(said, [], what);
  }
}
