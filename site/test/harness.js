// Serves the built site as make serve does, starts a real browser, and offers
// the few steps that every test of the page takes.

import { spawn } from "node:child_process";
import { cp, mkdtemp, readFile, readdir, rm, stat, writeFile } from "node:fs/promises";
import { createServer, request } from "node:http";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { after, test } from "node:test";
import { fileURLToPath } from "node:url";
import puppeteer from "puppeteer-core";

const root = fileURLToPath(new URL("../..", import.meta.url));
const built = process.env.SHEENLAY_DIST ?? "dist";

/** How long any one thing may take on a slow machine, ms. */
export const PATIENCE = 60_000;
export const long = process.env.SHEENLAY_LONG === "1";

export const browsers = process.env.SHEENLAY_BROWSER ? [process.env.SHEENLAY_BROWSER] : ["chrome", "firefox"];

/** Serves dist/ with the headers of netlify.toml: {address, stop}. */
export async function serve(dir = built) {
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

/**
 * Adds code to the worker of a copy of the site, hosted and saved, for what a
 * driver cannot do inside a worker. The code answers tellWorker's words with
 * a message {told}.
 */
export async function withInWorker(folder, code) {
  const listener = `\naddEventListener("message", async ({ data: { words, to } }) => { if (!words) return; ${code} });\n`;
  const [version] = await readdir(join(folder, "engine"));
  const file = join(folder, "engine", version, "worker.js");
  await writeFile(file, `${await readFile(file, "utf8")}${listener}`);
  const copy = join(folder, "sheenlay.html");
  const [before, ...behind] = (await readFile(copy, "utf8")).split('id="worker-source">');
  const at = behind[0].indexOf("</script>");
  await writeFile(copy, `${before}id="worker-source">${behind[0].slice(0, at)}${listener}${behind[0].slice(at)}`);
}

/** Opens a page whose worker can be told something by tellWorker, and waits until the sample is laid. */
export async function openWithWorker(session, address) {
  const opened = await open(session, "about:blank");
  await opened.page.evaluateOnNewDocument(() => {
    globalThis.workers = [];
    globalThis.Worker = class extends Worker {
      constructor(...given) {
        super(...given);
        globalThis.workers.push(this);
      }
    };
  });
  await opened.page.goto(address, { waitUntil: "load" });
  await ready(opened.page);
  return opened;
}

/** Says `words` to the worker of now and waits for what it tells. */
export const tellWorker = (page, words, to) => page.evaluate((words, to) => new Promise((done) => {
  const worker = globalThis.workers.at(-1);
  worker.addEventListener("message", ({ data }) => { if (data.told !== undefined) done(data.told); });
  worker.postMessage({ words, to });
}), words, to);

/** Serves a copy of the site that `change(folder)` has changed: {address, folder, stop}. */
export async function serveChanged(change) {
  const folder = await mkdtemp(join(tmpdir(), "sheenlay-changed-"));
  await cp(resolve(root, built), folder, { recursive: true });
  await change(folder);
  const server = await serve(folder);
  return {
    address: server.address,
    folder,
    async stop() {
      server.stop();
      await rm(folder, { recursive: true, force: true });
    },
  };
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

/**
 * Opens the page as on a first visit, unless `fresh` is false, and gathers what
 * must not happen: errors and refused loads.
 */
export async function open(session, address, { width = 1440, height = 900, fresh = true } = {}) {
  const page = await session.browser.newPage();
  await page.setViewport({ width, height });
  if (fresh) await page.evaluateOnNewDocument(forget);
  const troubles = [];
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("console", (message) => { if (message.type() === "error") troubles.push(message.text()); });
  await page.goto(address, { waitUntil: "load" });
  return { page, troubles };
}

/** Clears what tests before have left on the machine, once for a tab: a reload keeps it. */
function forget() {
  try {
    if (!sessionStorage.getItem("begun")) localStorage.clear();
    sessionStorage.setItem("begun", "yes");
  } catch {
    // An empty page has no storage.
  }
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

/** Waits for a finished download, takes it out of the folder, and returns its name and bytes. */
export async function downloaded(session, { timeout = PATIENCE } = {}) {
  const end = Date.now() + timeout;
  for (;;) {
    const names = (await readdir(session.downloads)).filter((n) => !n.endsWith(".part") && !n.endsWith(".crdownload"));
    const unfinished = (await readdir(session.downloads)).some((n) => n.endsWith(".part") || n.endsWith(".crdownload"));
    if (names.length && !unfinished) {
      const path = join(session.downloads, names[0]);
      if ((await stat(path)).size > 0) {
        const bytes = await readFile(path);
        await rm(path); // one browser writes over a file of the same name, the other counts up
        return { name: names[0], bytes };
      }
    }
    if (Date.now() > end) throw new Error(`no download after ${timeout} ms (${names})`);
    await new Promise((wake) => setTimeout(wake, 100));
  }
}

/** Chooses a file on the disk, as a person does in the system's picker. */
export async function pick(page, path) {
  const [input] = await page.$$('input[type="file"]');
  await input.uploadFile(path);
}

/** Reads a file of testdata. */
export const testdata = (path) => readFile(join(root, "testdata", path));

/**
 * A listening server in front of the site that writes down every request and
 * can refuse paths, be switched to another build, or fall silent:
 * {address, log, refuse, upstream, stop}.
 */
export async function listen(upstream) {
  const state = { log: [], refuse: null, upstream };
  const server = createServer((incoming, outgoing) => {
    state.log.push({ method: incoming.method, url: incoming.url, headers: incoming.headers });
    if (state.refuse?.test(incoming.url)) {
      outgoing.writeHead(404).end("not here");
      return;
    }
    const onward = request(new URL(incoming.url, state.upstream), { method: incoming.method, headers: { ...incoming.headers, host: new URL(state.upstream).host } }, (answer) => {
      outgoing.writeHead(answer.statusCode, answer.headers);
      answer.pipe(outgoing);
    });
    onward.on("error", () => outgoing.destroy());
    incoming.pipe(onward);
  });
  await new Promise((done) => server.listen(0, "localhost", done));
  return Object.assign(state, {
    address: `http://localhost:${server.address().port}/`,
    stop() {
      server.closeAllConnections();
      return new Promise((done) => server.close(done));
    },
  });
}

/** The site's own server, started once for a test file and stopped after it. */
let site = null;
export function hosted() {
  site ??= serve();
  return site.then((server) => server.address);
}
after(async () => (await site)?.stop());

/** Where the saved copy lies. */
export const savedCopy = () => resolve(root, built, "sheenlay.html");

/**
 * Declares one test for each browser. The browser is started once for a test
 * file, and the page of a test is closed after it; with `settings(name)`, which
 * gives what launch takes, the test has a browser of its own.
 */
const running = new Map();
export function inBrowsers(sentence, work, { only = browsers, settings = null } = {}) {
  for (const name of browsers.filter((one) => only.includes(one))) {
    test(`${sentence} (${name})`, { timeout: long ? 1_200_000 : 240_000 }, async (t) => {
      if (settings) {
        const session = await launch(name, await settings(name));
        await work({ name, session, t }).finally(session.close);
        return;
      }
      if (!running.has(name)) running.set(name, launch(name));
      const session = await running.get(name);
      try {
        await work({ name, session, t });
      } finally {
        for (const page of (await session.browser.pages()).slice(1)) await page.close().catch(() => {});
      }
    });
  }
}
after(async () => {
  for (const session of running.values()) await (await session).close();
});

/** Waits until `check` holds in the page. */
export const until = (page, check, ...given) => page.waitForFunction(check, { timeout: PATIENCE, polling: 50 }, ...given);

/** Waits until the last change is laid and its file can be saved. */
export const ready = (page) => until(page, () => {
  const { steps, laid } = document.documentElement.dataset;
  return Number(laid) === Number(steps) && document.getElementById("save")?.disabled === false;
});

/**
 * Does what changes the job or the piece, and waits until all of it is laid, or
 * stopped by a finding. It goes by the numbers that the page counts up (see
 * site/js/ui/milestones.js): what is seen for a moment only may be missed.
 */
export async function relaid(page, change) {
  const before = await page.evaluate(() => Number(document.documentElement.dataset.steps ?? 0));
  const answer = await change();
  await until(page, (before) => {
    const { steps, laid } = document.documentElement.dataset;
    return Number(steps) > before && Number(laid) === Number(steps);
  }, before);
  return answer;
}

/**
 * Does what begins a run and cancels the run `wait` ms after it has begun; the
 * page itself does it, so that a slow driver does not come too late. Answers
 * how long the page was held up by it, ms.
 */
export async function cancelled(page, change, wait = 0) {
  await page.evaluate((wait) => {
    const root = document.documentElement;
    globalThis.cancelling = new Promise((done) => {
      const watcher = new MutationObserver(() => {
        if (root.dataset.phase !== "laying") return;
        watcher.disconnect();
        setTimeout(() => {
          const from = performance.now();
          document.getElementById("cancel").click();
          done(performance.now() - from);
        }, wait);
      });
      watcher.observe(root, { attributes: true, attributeFilter: ["data-phase"] });
    });
  }, wait);
  await change();
  return page.evaluate(() => globalThis.cancelling);
}

/** Opens a page and waits until the sample is laid. */
export async function openReady(session, address, how) {
  const opened = await open(session, address, how);
  await ready(opened.page);
  return opened;
}

/** Drops a file and waits until it is the piece and laid. */
export async function dropPiece(page, name, bytes) {
  await relaid(page, () => drop(page, name, bytes));
  await until(page, (wanted) => document.querySelector(".verdict-name")?.textContent.includes(`; ${wanted} itself`) && document.getElementById("save").disabled === false, name);
}

/** Clicks a pattern of the open card, by its place. */
export const takePattern = (page, index) => page.evaluate((index) => document.querySelectorAll(".pattern")[index].click(), index);

/** Opens the card of patterns. */
export async function openPatterns(page) {
  await page.evaluate(() => { if (!document.querySelector('.card[data-section="art"]')) document.querySelector('.clause[data-section="art"]').click(); });
  await until(page, () => document.querySelectorAll(".pattern").length > 10);
}

/** Everything that the page shows and says now. */
export const shown = (page) => page.evaluate(() => `${document.body.innerText}\n${document.getElementById("status").textContent}`);

/** Chooses an entry of the menu of the job. */
export async function choose(page, words) {
  await page.evaluate((words) => {
    [...document.querySelectorAll('[role="menuitem"]')].find((one) => one.textContent.startsWith(words)).click();
  }, words);
}

/** The link that the page would put on the clipboard. */
export async function linkOf(page) {
  await page.evaluate(() => {
    globalThis.copied = null;
    Object.defineProperty(navigator, "clipboard", { configurable: true, value: { writeText: async (text) => { globalThis.copied = text; } } });
  });
  await choose(page, "Copy a link");
  await until(page, () => globalThis.copied !== null);
  return page.evaluate(() => globalThis.copied);
}

/** Saves the finished file and returns it. */
export async function save(page, session) {
  await page.click("#save");
  return downloaded(session, { timeout: PATIENCE });
}

/** Clicks the button with these words inside `scope`. */
export async function press(page, words, scope = "body") {
  await page.evaluate((words, scope) => {
    const button = [...document.querySelectorAll(`${scope} button`)].find((one) => one.textContent.trim().startsWith(words) || one.getAttribute("aria-label") === words);
    if (!button) throw new Error(`no button ${words}`);
    button.click();
  }, words, scope);
}
export { root };
