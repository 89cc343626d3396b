// What goes wrong is said in words, and work goes on.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { mkdtemp, open, readFile, readdir, rm, truncate, utimes, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { draw } from "../draw.js";
import { writeGiant } from "../giant.js";
import { cancelled, downloaded, drop, dropPiece, hosted, inBrowsers, long, openPatterns, openReady, openWithWorker, pick, ready, relaid, save, serveChanged, takePattern, tellWorker, testdata, until, withInWorker } from "../harness.js";
import { withLittleMemory } from "../small-memory.js";

/** Opens the file on the disk and waits until it is laid and read to its end. */
async function opened(session, path) {
  const { page } = await openReady(session, await hosted());
  await relaid(page, () => pick(page, path));
  await page.evaluate(() => document.querySelector('.clause[data-section="piece"]').click());
  await until(page, () => /Whole file/.test(document.querySelector('.card[data-section="piece"]')?.textContent));
  return page;
}

/** Saves, and holds the page to its refusal. */
async function savingIsRefused(page, session) {
  await page.evaluate(() => document.getElementById("save").click());
  await until(page, () => document.querySelector('.finding[data-code="file-changed"], .finding[data-code="file-unreadable"]'));
  assert.match(await page.$eval('.finding[data-level="stop"]', (one) => one.textContent), /changed.*nothing was written/s);
  assert.ok(await page.$eval(".verdict-saved", (one) => one.hidden), "no file is offered");
  assert.equal(await page.evaluate(() => document.documentElement.dataset.saved), "0");
  assert.deepEqual(await readdir(session.downloads), [], "and none is written");
}

for (const [how, change] of [
  ["rewritten at the same size", async (path, bytes) => { const other = Buffer.from(bytes); other[other.length - 60] ^= 1; await writeFile(path, other); }],
  ["cut short", (path, bytes) => truncate(path, bytes.length - 500)],
  ["removed", (path) => rm(path)],
]) {
  inBrowsers(`a source ${how} between loading and saving is refused with the reason`, async ({ session }) => {
    const home = await mkdtemp(join(tmpdir(), "sheenlay-source-"));
    try {
      const path = join(home, "coaster.gcode");
      const bytes = await testdata("sliced/harbour-tile.gcode");
      await writeFile(path, bytes);
      const page = await opened(session, path);
      assert.match(await page.$eval(".verdict-name", (one) => one.textContent), /coaster\.gcode/);
      await change(path, bytes);
      await savingIsRefused(page, session);
    } finally {
      await rm(home, { recursive: true, force: true });
    }
  });
}

// One browser watches over such a file itself, so that the page need not read it
// again to its end; the other does not.
inBrowsers("one byte changed near the end of a large source that had long lain still is noticed, and saving refused", async ({ session }) => {
  const home = await mkdtemp(join(tmpdir(), "sheenlay-source-"));
  try {
    const path = join(home, "tall.gcode");
    await writeGiant(path, 40_000_000);
    const longAgo = new Date(Date.now() - 3_600_000);
    await utimes(path, longAgo, longAgo);
    const page = await opened(session, path);
    const file = await open(path, "r+");
    await file.write("9", 39_990_000);
    await file.close();
    await savingIsRefused(page, session);
  } finally {
    await rm(home, { recursive: true, force: true });
  }
});

inBrowsers("a source cut short while it is read is refused with the reason, and the page goes on", async ({ session }) => {
  const home = await mkdtemp(join(tmpdir(), "sheenlay-source-"));
  try {
    const path = join(home, "tall.gcode");
    await writeGiant(path, 120_000_000);
    const { page } = await openReady(session, await hosted());
    await pick(page, path);
    await until(page, () => document.getElementById("sentence").textContent.includes("tall.gcode"));
    await truncate(path, 50_000_000);
    await until(page, () => {
      if (document.querySelector('.finding[data-code="file-changed"], .finding[data-code="file-unreadable"]')) return true;
      document.getElementById("save").click(); // whoever had read it to its end before is told now
      return false;
    });
    await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
    assert.ok((await save(page, session)).bytes.length > 10_000);
  } finally {
    await rm(home, { recursive: true, force: true });
  }
});

// From then on every call of the engine meets a trap, in this worker.
const trap = 'exports = { ...exports, call() { throw new WebAssembly.RuntimeError("unreachable"); } }; postMessage({ told: "trapped" });';

inBrowsers("an engine that traps says so; the file is still there and a retry works without reload", async ({ session }) => {
  const site = await serveChanged((folder) => withInWorker(folder, trap));
  try {
    const { page } = await openWithWorker(session, site.address);
    await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
    assert.equal(await tellWorker(page, "trap"), "trapped");
    await page.evaluate(() => document.querySelector('input[name="look"][value="lines"]').click());
    await until(page, () => document.querySelector('.finding[data-code="engine-ended"]'));
    assert.match(await page.$eval('.finding[data-code="engine-ended"]', (one) => one.textContent), /still here.*try again/is);
    const { bytes } = await save(page, session);
    assert.ok(bytes.length > 10_000);
  } finally {
    await site.stop();
  }
});

/** Puts an engine with little memory into a copy of the site. */
async function littleMemory(folder) {
  const [version] = await readdir(join(folder, "engine"));
  const path = join(folder, "engine", version, "engine.wasm");
  const small = withLittleMemory(await readFile(path), 64);
  await writeFile(path, small);
  const index = join(folder, "index.html");
  const integrity = `data-integrity="sha256-${createHash("sha256").update(small).digest("base64")}"`;
  await writeFile(index, (await readFile(index, "utf8")).replace(/data-integrity="[^"]+"/, integrity));
}

/** A drawing of so many lines that reading it takes more memory than there is. */
function hugeDrawing() {
  const lines = Array.from({ length: 60_000 }, (_, i) => `<path fill="none" stroke="#000" d="M${i % 100} ${i / 600}l0.5 0.3 0.5-0.2 0.4 0.1 0.2 0.2"/>`);
  return Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">${lines.join("\n")}</svg>`);
}

inBrowsers("memory that truly runs out is said in words; the file is still there and a smaller job works without reload", async ({ session }) => {
  const site = await serveChanged(littleMemory);
  try {
    const { page } = await openReady(session, site.address);
    await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
    await drop(page, "too-many-lines.svg", hugeDrawing(), "image/svg+xml");
    await until(page, () => document.querySelector('.finding[data-code="engine-memory"]'));
    assert.match(await page.$eval('.finding[data-code="engine-memory"]', (one) => one.textContent), /ran out of memory.*still here.*try again/is);
    assert.ok(await page.$eval("#save", (one) => one.disabled), "nothing half made is offered");
    assert.match(await page.$eval("#sentence", (one) => one.textContent), /lamp-panel\.gcode/);
    await relaid(page, () => page.evaluate(() => document.getElementById("undo").click()));
    await ready(page);
    assert.ok((await save(page, session)).bytes.length > 10_000);
  } finally {
    await site.stop();
  }
});

inBrowsers("a worker that is killed in the middle of a job can be cancelled, and the next job runs", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
  await openPatterns(page);
  // A run that nobody answers any more, however soon it would have been laid.
  await page.evaluate(() => {
    const send = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, ...rest) {
      if (message.op === "lay") Worker.prototype.postMessage = send;
      else send.call(this, message, ...rest);
    };
  });
  await takePattern(page, 4);
  await until(page, () => document.documentElement.dataset.phase === "laying");
  await page.workers()[0].close();
  await page.evaluate(() => document.getElementById("cancel").click());
  assert.ok(await page.$eval("#save", (one) => one.disabled));
  await relaid(page, () => takePattern(page, 2));
  assert.ok((await save(page, session)).bytes.length > 10_000);
}, { only: ["chrome"] });

inBrowsers("a job goes on while its tab is hidden, and can be saved when it is seen again", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await openPatterns(page);
  const other = await session.browser.newPage();
  await other.bringToFront();
  await until(page, () => document.visibilityState === "hidden");
  await relaid(page, () => takePattern(page, 6));
  assert.equal(await page.evaluate(() => document.visibilityState), "hidden", "it was laid out of sight");
  await page.bringToFront();
  await until(page, () => document.visibilityState === "visible");
  assert.ok((await save(page, session)).bytes.length > 10_000);
});

inBrowsers("two clicks on Save give one file", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.evaluate(() => {
    const button = document.getElementById("save");
    button.click();
    button.click();
  });
  const { bytes } = await downloaded(session);
  await new Promise((wake) => setTimeout(wake, 1500));
  assert.deepEqual(await readdir(session.downloads), []);
  assert.ok((await save(page, session)).bytes.equals(bytes), "and the next click another");
});

const CANCELS = long ? 200 : 20;

inBrowsers(`cancelled at ${CANCELS} random instants of laying and saving, the page is as it was and nothing is half written`, async ({ session, t }) => {
  const seed = 7;
  const random = draw(seed);
  t.diagnostic(`seed ${seed}`);
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
  await openPatterns(page);
  const patterns = [3, 5];
  const wanted = [];
  let span = 0;
  for (const index of patterns) {
    const from = performance.now();
    await relaid(page, () => takePattern(page, index));
    span = Math.max(span, performance.now() - from);
    wanted.push((await save(page, session)).bytes);
  }
  let cut = 0;
  for (let i = 0; i < CANCELS; i++) {
    const which = i % 2;
    const saving = i % 5 === 4;
    if (saving) await relaid(page, () => takePattern(page, patterns[which]));
    const { running, stops, handedOver } = await page.evaluate(async (index, saving, wait) => {
      const marks = document.documentElement.dataset;
      const before = Number(marks.saved);
      if (saving) document.getElementById("save").click();
      else document.querySelectorAll(".pattern")[index].click();
      await new Promise((wake) => setTimeout(wake, wait));
      const running = saving ? marks.phase === "saving" : marks.laid !== marks.steps;
      document.getElementById("cancel").click();
      await new Promise((wake) => setTimeout(wake));
      return { running, stops: document.querySelectorAll('.finding[data-level="stop"]').length, handedOver: Number(marks.saved) - before };
    }, patterns[which], saving, random() * (saving ? 60 : Math.min(span, 1500)));
    if (running) cut += 1;
    assert.equal(stops, 0, `cancel ${i}, seed ${seed}`);
    // A save that came before its cancel has given the whole file, any other none.
    if (handedOver > 0) assert.ok((await downloaded(session)).bytes.equals(wanted[which]), `cancel ${i}, seed ${seed}`);
    assert.deepEqual(await readdir(session.downloads), [], `cancel ${i}, seed ${seed}`);
  }
  t.diagnostic(`${cut} of ${CANCELS} were cut short`);
  assert.ok(cut >= CANCELS / 4, `${cut} of ${CANCELS} were cut short`);
  await takePattern(page, 8);
  await relaid(page, () => takePattern(page, patterns[0]));
  assert.ok((await save(page, session)).bytes.equals(wanted[0]));
});

inBrowsers("cancelling frees the page within 100 ms and leaves the state as before; the next job runs", async ({ session, t }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
  await openPatterns(page);
  const sentence = () => page.$eval("#sentence", (one) => one.textContent);
  // The best of three: a busy machine may take the page's time from it.
  const took = [];
  for (const index of [4, 6, 9]) {
    await takePattern(page, index);
    const before = await sentence();
    took.push(await cancelled(page, () => takePattern(page, index + 1), 30));
    assert.notEqual(await sentence(), before, "the pattern that was chosen stays chosen");
    assert.ok(await page.$eval("#save", (one) => one.disabled));
    assert.deepEqual(await page.$$eval(".finding[data-level=stop]", (all) => all.map((one) => one.textContent)), []);
  }
  t.diagnostic(`cancel took ${took.map((one) => one.toFixed(1)).join(", ")} ms`);
  assert.ok(Math.min(...took) <= 100, `${took} ms`);
  await relaid(page, () => takePattern(page, 2));
});

for (const [how, spoil] of [
  ["is full, or holds garbage,", () => {
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
    Storage.prototype.getItem = (key) => (key.endsWith("job") ? '{"sheenlay":1,"job":' : "\u0000[[[");
  }],
  ["is switched off", () => {
    Object.defineProperty(globalThis, "localStorage", { get() { throw new DOMException("denied", "SecurityError"); } });
  }],
]) {
  inBrowsers(`storage that ${how} stops no work, and it is said that settings are not kept`, async ({ session }) => {
    const page = await session.browser.newPage();
    await page.evaluateOnNewDocument(spoil);
    await page.goto(await hosted());
    await until(page, () => /cannot be kept/.test(document.getElementById("toast").textContent));
    await ready(page);
    await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
    const { bytes } = await save(page, session);
    assert.ok(bytes.length > 10_000);
  });
}
