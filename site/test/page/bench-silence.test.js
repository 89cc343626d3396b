// A worker that ends without a word, as when the system takes its memory: the
// person is told in a sentence and begins anew with the same file and job.

import assert from "node:assert/strict";
import { drop, hosted, inBrowsers, open, press, ready, relaid, save, testdata, until } from "../harness.js";
import { openCard, plate, sentence, setField } from "../bench-steps.js";

/** Opens a page whose workers can be reached, with beats ten times as quick. */
async function openQuick(session) {
  const opened = await open(session, "about:blank");
  await opened.page.evaluateOnNewDocument(() => {
    const beat = globalThis.setInterval;
    globalThis.setInterval = (work, ms) => beat(work, ms / 10);
    globalThis.workers = [];
    globalThis.Worker = class extends Worker {
      constructor(...given) {
        super(...given);
        globalThis.workers.push(this);
      }
    };
  });
  await opened.page.goto(await hosted(), { waitUntil: "load" });
  await ready(opened.page);
  return opened;
}

const end = (page) => page.evaluate(() => globalThis.workers.at(-1).terminate());
const told = (page) => until(page, () => /The engine is silent\./.test(document.querySelector(".verdict-line").textContent)
  && /no sign of life/.test(document.getElementById("verdict").textContent));

inBrowsers("a worker that dies at rest is noticed, and the engine starts anew with the file and the job", async ({ session }) => {
  const { page, troubles } = await openQuick(session);
  await relaid(page, async () => drop(page, "tag.gcode", await testdata("sliced/shelf-tag.gcode")));
  await openCard(page, "placement");
  await relaid(page, () => setField(page, "placement.turnDeg", "30"));
  const before = await sentence(page);
  const wanted = await save(page, session);
  await end(page);
  await told(page);
  const workers = await page.evaluate(() => globalThis.workers.length);
  await press(page, "Start the engine anew", "#verdict");
  await ready(page);
  assert.ok(await page.evaluate((workers) => globalThis.workers.length > workers, workers), "another worker");
  assert.equal(await sentence(page), before);
  assert.doesNotMatch(await page.$eval("#verdict", (one) => one.textContent), /silent|no sign of life/);
  assert.ok((await save(page, session)).bytes.equals(wanted.bytes), "the same finished file");
  assert.deepEqual(troubles, []);
});

inBrowsers("a worker that dies while it lays is noticed, and the job is laid anew", async ({ session }) => {
  const { page } = await openQuick(session);
  await page.evaluate(() => {
    const root = document.documentElement;
    new MutationObserver((_, watcher) => {
      if (root.dataset.phase !== "laying") return;
      watcher.disconnect();
      setTimeout(() => globalThis.workers.at(-1).terminate(), 20);
    }).observe(root, { attributes: true, attributeFilter: ["data-phase"] });
  });
  await drop(page, "plate.gcode", plate(60));
  await told(page);
  await press(page, "Start the engine anew", "#verdict");
  await ready(page);
  assert.match(await sentence(page), /under plate\.gcode/);
  assert.match((await save(page, session)).bytes.toString("latin1"), /sheenlay: new face begins/);
});

inBrowsers("a page that works on, or rests for long, is not said to be silent", async ({ session }) => {
  const { page } = await openQuick(session);
  await page.evaluate(() => {
    globalThis.silences = 0;
    new MutationObserver(() => {
      if (/is silent/.test(document.getElementById("verdict").textContent)) globalThis.silences += 1;
    }).observe(document.getElementById("verdict"), { childList: true, subtree: true, characterData: true });
  });
  await relaid(page, () => drop(page, "plate.gcode", plate(60)));
  await new Promise((wake) => setTimeout(wake, 6000)); // as a minute of rest
  assert.equal(await page.evaluate(() => globalThis.silences), 0);
});
