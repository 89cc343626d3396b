// Serves the built site as make serve does, starts a real browser, and offers
// the few steps that every test of the page takes.

import { spawn } from "node:child_process";
import { mkdtemp, readFile, readdir, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import puppeteer from "puppeteer-core";

const root = resolve(import.meta.dirname, "../..");

export const browsers = process.env.SHEENLAY_BROWSER ? [process.env.SHEENLAY_BROWSER] : ["chrome", "firefox"];

/** Serves dist/ with the headers of netlify.toml: {address, stop}. */
export async function serve(dir = "dist") {
  const child = spawn("go", ["run", "./site/serve", "-dir", dir, "-addr", "localhost:0"], { cwd: root, detached: true });
  const address = await new Promise((found, fail) => {
    let text = "";
    child.stdout.on("data", (chunk) => {
      text += chunk;
      const match = text.match(/http:\/\/\S+\//);
      if (match) found(match[0]);
    });
    child.stderr.on("data", (chunk) => { text += chunk; });
    child.on("exit", () => fail(new Error(`the server stopped: ${text}`)));
  });
  return { address, stop: () => { try { process.kill(-child.pid); } catch { /* already gone */ } } };
}

// Firefox under automation is lax with file: addresses by default; these keep
// it as strict as a person's own.
const firefoxPreferences = {
  "remote.prefs.recommended": false,
  "security.fileuri.strict_origin_policy": true,
  "browser.download.folderList": 2,
  "browser.download.always_ask_before_handling_new_types": false,
  "browser.helperApps.neverAsk.saveToDisk": "text/plain,text/html,application/json,application/pdf,image/png,image/svg+xml,application/octet-stream",
  "browser.aboutwelcome.enabled": false,
  "datareporting.policy.dataSubmissionEnabled": false,
  "toolkit.telemetry.reportingpolicy.firstRun": false,
  "app.update.disabledForTesting": true,
  "browser.shell.checkDefaultBrowser": false,
};

const chromiumFlags = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** Starts a browser with a fresh profile and a folder of its own for downloads. */
export async function launch(name, { preferences = {}, flags = [] } = {}) {
  const downloads = await mkdtemp(join(tmpdir(), "sheenlay-downloads-"));
  const browser = await puppeteer.launch({
    browser: name,
    executablePath: name === "chrome" ? "/usr/bin/chromium" : "/usr/bin/firefox-esr",
    headless: true,
    args: name === "chrome" ? [...chromiumFlags, ...flags] : flags,
    extraPrefsFirefox: { ...firefoxPreferences, "browser.download.dir": downloads, ...preferences },
    protocolTimeout: 240_000,
  });
  if (name === "chrome") {
    const session = await browser.target().createCDPSession();
    await session.send("Browser.setDownloadBehavior", { behavior: "allow", downloadPath: downloads });
  }
  return {
    browser,
    downloads,
    async close() {
      await browser.close().catch(() => {});
      await rm(downloads, { recursive: true, force: true });
    },
  };
}

/** Opens the page and gathers what must not happen: errors and refused loads. */
export async function open(session, address, { width = 1440, height = 900 } = {}) {
  const page = await session.browser.newPage();
  await page.setViewport({ width, height });
  const troubles = [];
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("console", (message) => { if (message.type() === "error") troubles.push(message.text()); });
  await page.goto(address, { waitUntil: "load" });
  return { page, troubles };
}

/** Drops a file on the page, as a person does from a folder. */
export async function drop(page, name, bytes, type = "") {
  const base64 = Buffer.from(bytes).toString("base64");
  await page.evaluate((name, base64, type) => {
    const data = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
    const transfer = new DataTransfer();
    transfer.items.add(new File([data], name, { type, lastModified: 1 }));
    for (const kind of ["dragenter", "dragover", "drop"]) {
      document.body.dispatchEvent(new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: transfer }));
    }
  }, name, base64, type);
}

/** Waits for a finished download and returns its name and bytes. */
export async function downloaded(session, { timeout = 30_000, except = [] } = {}) {
  const end = Date.now() + timeout;
  for (;;) {
    const names = (await readdir(session.downloads)).filter((n) => !n.endsWith(".part") && !n.endsWith(".crdownload") && !except.includes(n));
    const unfinished = (await readdir(session.downloads)).some((n) => n.endsWith(".part") || n.endsWith(".crdownload"));
    if (names.length && !unfinished) {
      const path = join(session.downloads, names[0]);
      if ((await stat(path)).size > 0) return { name: names[0], bytes: await readFile(path) };
    }
    if (Date.now() > end) throw new Error(`no download after ${timeout} ms (${names})`);
    await new Promise((wake) => setTimeout(wake, 100));
  }
}

/** Reads a file of testdata. */
export const testdata = (path) => readFile(join(root, "testdata", path));
export { root };
