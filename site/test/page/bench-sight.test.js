// What stays in sight and what leads on: the first paint before everything
// else, the verdict on a narrow screen, a finding and its setting, thumbnails
// after a cancel.

import assert from "node:assert/strict";
import { cancelled, drop, hosted, inBrowsers, open, openReady, ready, relaid, testdata, until } from "../harness.js";
import { closeCard, openCard, setField } from "../bench-steps.js";

inBrowsers("the engine starts after the first paint, and nothing that is seen moves when it comes", async ({ session }) => {
  const { page } = await open(session, "about:blank", { width: 412, height: 823 });
  await page.evaluateOnNewDocument(() => {
    globalThis.Worker = class extends Worker {
      constructor(...given) {
        super(...given);
        globalThis.engineBegan ??= performance.now();
      }
    };
    globalThis.shifted = 0;
    if (PerformanceObserver.supportedEntryTypes.includes("layout-shift")) {
      new PerformanceObserver((list) => { for (const one of list.getEntries()) globalThis.shifted += one.value; }).observe({ type: "layout-shift", buffered: true });
    }
  });
  await page.goto(await hosted(), { waitUntil: "load" });
  await ready(page);
  const { painted, began, shifted } = await page.evaluate(() => ({ painted: performance.getEntriesByName("first-contentful-paint")[0].startTime, began: globalThis.engineBegan, shifted: globalThis.shifted }));
  assert.ok(painted < began, `painted after ${painted.toFixed(0)} ms, the engine begun after ${began.toFixed(0)} ms`);
  assert.ok(shifted <= 0.02, `layout shift ${shifted.toFixed(4)}`); // a tenth of what Core Web Vitals call good
});

const tag = await testdata("sliced/shelf-tag.gcode");

/** How the strip stands: {shown, words, top, bottom} in pixels of the window. */
const strip = (page) => page.$eval(".glance", (one) => {
  const { top, bottom, height } = one.getBoundingClientRect();
  return { shown: height > 0, words: one.textContent, top, bottom };
});

inBrowsers("on a narrow screen the verdict stays in sight, also beside a card, and its button saves", async ({ session }) => {
  const { page } = await openReady(session, await hosted(), { width: 390, height: 844 });
  await page.evaluate(() => scrollTo(0, 0));
  await until(page, () => document.querySelector(".glance").getBoundingClientRect().height > 0);
  const low = await strip(page);
  assert.match(low.words, /^Ready\. 15\.\d m, \d+ min\.Save$/);
  assert.ok(Math.abs(low.bottom - 844) < 1, "at the lower edge");
  await openCard(page, "bead");
  await relaid(page, () => setField(page, "bead.widthMM", "0.2"));
  const high = await strip(page);
  assert.match(high.words, /^Not yet: 1 thing stands in the way\.Save$/);
  assert.ok(await page.$eval(".glance .main", (one) => one.hidden), "nothing to save");
  assert.ok(Math.abs(high.top) < 1, "at the upper edge, above the card");
  assert.ok(await page.$eval(".bench-over .thin", (one) => one.getAttribute("d").length > 0), "the bare face shows its outline");
  await closeCard(page);
  await relaid(page, () => page.click("#undo"));
  await page.click(".glance-words");
  await until(page, () => document.querySelector(".glance").getBoundingClientRect().height === 0);
  assert.equal(await page.evaluate(() => document.activeElement.id), "verdict");
  await page.evaluate(() => scrollTo(0, 0));
  await until(page, () => document.querySelector(".glance").getBoundingClientRect().height > 0);
  await page.click(".glance .main");
  await until(page, () => Number(document.documentElement.dataset.saved) === 1);
  await page.setViewport({ width: 1440, height: 900 });
  await until(page, () => document.querySelector(".glance").getBoundingClientRect().height === 0);
});

inBrowsers("a finding leads to the setting that mends it", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  /** Presses the button of a finding and answers which field has the focus then. */
  const led = async (code, words) => {
    await page.evaluate((code, words) => {
      const entry = document.querySelector(`.finding[data-code="${code}"]`);
      for (let fold = entry.querySelector("details") ?? entry; fold; fold = fold.parentElement?.closest("details")) fold.open = true;
      [...entry.querySelectorAll("button")].find((one) => one.textContent === words).click();
    }, code, words);
    await until(page, () => document.activeElement.closest(".card .field, .card .live"));
    return page.evaluate(() => document.activeElement.closest("[data-path]")?.dataset.path ?? document.activeElement.getAttribute("aria-label"));
  };
  await openCard(page, "art");
  await page.evaluate(() => document.querySelector('input[name="art-kind"][value="lettering"]').click());
  await relaid(page, () => setField(page, "art.capHeightMM", "3"));
  await closeCard(page);
  assert.equal(await led("lettering-thin", "Set “height of capitals”"), "art.capHeightMM");
  await closeCard(page);
  await relaid(page, () => page.evaluate(() => [...document.querySelectorAll(".menu button")].find((one) => one.textContent === "Start afresh").click()));
  assert.equal(await led("coverage-lines-close", "Set “line width”"), "bead.widthMM");
});

inBrowsers("thumbnails that a cancel took away are drawn when the engine is back; a closed card hears nothing more", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted());
  await openCard(page, "bead");
  const old = await page.evaluateHandle(() => document.querySelector(".card"));
  await openCard(page, "art");
  await cancelled(page, () => page.evaluate(() => document.querySelectorAll(".pattern")[2].click()));
  await page.evaluate(() => [...document.querySelectorAll("#verdict button")].find((one) => one.textContent === "Lay it now")?.click());
  await until(page, () => [...document.querySelectorAll(".pattern canvas")].every((one) => one.getContext("2d").getImageData(0, 0, one.width, one.height).data.some((value) => value > 0)));
  const before = await old.evaluate((one) => one.textContent);
  await relaid(page, () => drop(page, "tag.gcode", tag));
  assert.equal(await old.evaluate((one) => one.textContent), before);
  assert.deepEqual(troubles, []);
});
