// Using the page: fifty steps back and forth, the next visit, and the smallest
// window.

import assert from "node:assert/strict";
import { dropPiece, hosted, inBrowsers, openPatterns, openReady, ready, relaid, takePattern, testdata, until } from "../harness.js";

inBrowsers("fifty edits are undone to the first state and redone to the last", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.click('.clause[data-section="bead"]');
  await until(page, () => document.querySelector('[data-path="bead.widthMM"] input'));
  const value = () => page.$eval('[data-path="bead.widthMM"] input', (one) => one.value);
  const first = await value();
  await page.evaluate(() => {
    const input = document.querySelector('[data-path="bead.widthMM"] input');
    for (let i = 0; i < 50; i++) {
      input.value = (0.4 + i * 0.002).toFixed(3);
      input.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });
  const last = await value();
  assert.notEqual(last, first);
  await page.evaluate(() => { for (let i = 0; i < 50; i++) document.getElementById("undo").click(); });
  await until(page, (first) => document.querySelector('[data-path="bead.widthMM"] input').value === first, first);
  await page.evaluate(() => { for (let i = 0; i < 50; i++) document.getElementById("redo").click(); });
  await until(page, (last) => document.querySelector('[data-path="bead.widthMM"] input').value === last, last);
  await ready(page);
});

inBrowsers("what was set is there again after a reload, and the file of the last visit is asked for by name", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "reading-day.gcode", await testdata("sliced/shelf-tag.gcode"));
  await openPatterns(page);
  await relaid(page, () => takePattern(page, 5));
  const wanted = await page.$eval('.clause[data-section="art"]', (one) => one.textContent);
  await until(page, () => { const { job, pieceName } = JSON.parse(localStorage.getItem("sheenlay.1.job") ?? "{}"); return job?.art?.generator && pieceName === "reading-day.gcode"; });
  assert.ok(await page.evaluate(() => JSON.stringify(localStorage).length < 2000), "settings only are kept, never a file");
  await page.reload({ waitUntil: "load" });
  await until(page, () => /Your settings are back\. Drop reading-day\.gcode again/.test(document.getElementById("toast").textContent));
  await ready(page);
  assert.equal(await page.$eval('.clause[data-section="art"]', (one) => one.textContent), wanted);
});

inBrowsers("at 320 by 256 pixels nothing scrolls sideways and every target has 24 pixels", async ({ session }) => {
  const { page } = await openReady(session, await hosted(), { width: 320, height: 256 });
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320), "no sideways scroll");
  const small = await page.evaluate(() => [...document.querySelectorAll("button, select, input:not([type=radio]):not([type=checkbox])")]
    .filter((one) => one.offsetParent && one.getClientRects().length)
    .map((one) => ({ box: one.getBoundingClientRect(), words: one.textContent || one.getAttribute("aria-label") || one.type }))
    .filter(({ box }) => box.width < 24 || box.height < 24).map(({ box, words }) => `${words}: ${box.width} x ${box.height}`));
  assert.deepEqual(small, []);
});
