// What goes wrong is said in words, and work goes on.

import assert from "node:assert/strict";
import { mkdtemp, rm, truncate, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { dropPiece, hosted, inBrowsers, openReady, pick, ready, save, testdata, until } from "../harness.js";

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
      const { page } = await openReady(session, await hosted());
      await pick(page, path);
      await until(page, () => document.querySelector(".verdict-name")?.textContent.includes("coaster.gcode") && !document.getElementById("save").disabled);
      await page.evaluate(() => document.querySelector('.clause[data-section="piece"]').click());
      await until(page, () => /Whole file/.test(document.querySelector('.card[data-section="piece"]')?.textContent));
      await change(path, bytes);
      await page.evaluate(() => document.getElementById("save").click());
      await until(page, () => document.querySelector('.finding[data-code="file-changed"], .finding[data-code="file-unreadable"]'));
      assert.match(await page.$eval('.finding[data-level="stop"]', (one) => one.textContent), /changed.*nothing was written/s);
      assert.ok(await page.$eval(".verdict-saved", (one) => one.hidden), "no file is offered");
    } finally {
      await rm(home, { recursive: true, force: true });
    }
  });
}

inBrowsers("an engine that traps says so; the file is still there and a retry works without reload", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
  const [worker] = page.workers();
  await worker.evaluate("exports = new Proxy(exports, { get: (from, name) => name === 'call' ? () => { throw new WebAssembly.RuntimeError('unreachable'); } : from[name] }); undefined");
  await page.evaluate(() => document.querySelector('input[name="look"][value="lines"]').click());
  await until(page, () => document.querySelector('.finding[data-code="engine-ended"]'));
  assert.match(await page.$eval('.finding[data-code="engine-ended"]', (one) => one.textContent), /still here.*try again/is);
  const { bytes } = await save(page, session);
  assert.ok(bytes.length > 10_000);
  // The driver of the other browser cannot run anything in a worker.
}, { only: ["chrome"] });

inBrowsers("cancelling frees the page within 100 ms and leaves the state as before; the next job runs", async ({ session, t }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
  await page.click('.clause[data-section="art"]');
  await until(page, () => document.querySelectorAll(".pattern").length > 10);
  await page.evaluate(() => document.querySelectorAll(".pattern")[4].click());
  await until(page, () => document.querySelector(".bench-work") && /Laying|%/.test(document.querySelector(".bench-work").textContent) && document.getElementById("save").disabled);
  const took = await page.evaluate(() => {
    const from = performance.now();
    document.getElementById("cancel").click();
    return performance.now() - from;
  });
  t.diagnostic(`cancel took ${took.toFixed(1)} ms`);
  assert.ok(took <= 100, `${took} ms`);
  await page.evaluate(() => document.querySelectorAll(".pattern")[2].click());
  await ready(page);
});

inBrowsers("storage that throws, or holds garbage, stops no work, and it is said that settings are not kept", async ({ session }) => {
  const address = await hosted();
  const page = await session.browser.newPage();
  await page.evaluateOnNewDocument(() => {
    Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };
    Storage.prototype.getItem = (key) => (key.endsWith("job") ? '{"sheenlay":1,"job":' : "\u0000[[[");
  });
  await page.goto(address);
  await until(page, () => /cannot be kept/.test(document.getElementById("toast").textContent));
  await ready(page);
  await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
  const { bytes } = await save(page, session);
  assert.ok(bytes.length > 10_000);
});
