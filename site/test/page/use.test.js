// Using the page: fifty steps back and forth, the next visit, and the smallest
// window.

import assert from "node:assert/strict";
import { closeCard, openCard, setField } from "../bench-steps.js";
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

inBrowsers("the face has a twin in words; Enter and Space both press every button that is not the browser's own", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const described = await page.$eval("#bench", (one) => document.getElementById(one.getAttribute("aria-describedby")).textContent);
  assert.match(described, /^A face of 90\.0 by 90\.0 mm with 1 island\. One unbroken line, 1\d\.\d m, .*9\d(\.\d)? % covered.* kinds of zones: .* at \d+°.* (no|\d+) stops?, (no|\d+) cautions?, (no|\d+) notes?\.$/);
  await page.bringToFront();
  const sections = await page.$$eval('[role="button"]:not(button)', (all) => all.map((one) => one.dataset.section));
  assert.deepEqual(sections, ["art", "placement", "piece", "keep", "bead", "prime", "machine"], "parts of the sentence, and nothing else");
  for (const section of sections) {
    for (const key of ["Enter", " "]) {
      await page.focus(`.clause[data-section="${section}"]`);
      await page.keyboard.press(key);
      await until(page, (section) => document.querySelector(`.card[data-section="${section}"]`), section);
      await closeCard(page);
    }
  }
});

inBrowsers("Ctrl+Z in a field takes back what was typed there, outside it the last step of the job", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const control = async (key) => {
    await page.keyboard.down("Control");
    await page.keyboard.press(key);
    await page.keyboard.up("Control");
  };
  const steps = () => page.evaluate(() => document.documentElement.dataset.steps);
  await openCard(page, "placement");
  await relaid(page, () => setField(page, "placement.turnDeg", "30"));
  const before = await steps();
  const field = '[data-path="placement.turnDeg"] input';
  await page.bringToFront();
  await page.focus(field);
  await page.keyboard.type("7");
  assert.match(await page.$eval(field, (one) => one.value), /7/);
  await control("z");
  await until(page, (field) => document.querySelector(field).value === "30", field);
  assert.equal(await steps(), before, "the job was not touched");
  await page.focus("#bench");
  await relaid(page, () => control("z"));
  assert.doesNotMatch(await page.$eval("#sentence", (one) => one.textContent), /turned 30°/);
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
