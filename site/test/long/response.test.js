// Checks 1, 10, 16 and 17: the saved copy is ready soon, a hostile link holds
// nothing up, a long job can be cancelled at once, and the page stays free.

import assert from "node:assert/strict";
import { deflateRawSync } from "node:zlib";
import { pathToFileURL } from "node:url";
import { drop, dropPiece, hosted, inBrowsers, launch, open, openPatterns, openReady, relaid, savedCopy, takePattern, testdata, until } from "../harness.js";
import { figures, processorTimeOf } from "../measuring.js";

const sleep = (ms) => new Promise((wake) => setTimeout(wake, ms));

/** A drawing of crossing waves that takes the engine very long to lay. */
function longJob() {
  const lines = Array.from({ length: 30_000 }, (_, i) => `<path fill="none" stroke="#000" d="M${(i * 7) % 100} ${i / 300}q2 ${i % 5} 4 0t4 0t4 0t4 0"/>`);
  return Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">${lines.join("\n")}</svg>`);
}

inBrowsers("the saved copy is ready soon after a double click", async ({ name, session, t }) => {
  const record = figures(name, t);
  let best = Infinity;
  for (let round = 0; round < 3; round++) {
    const from = performance.now();
    const { page, troubles } = await open(session, pathToFileURL(savedCopy()).href);
    await until(page, () => !/Starting/.test(document.getElementById("verdict").textContent) && document.querySelector(".clause[data-section]"));
    best = Math.min(best, performance.now() - from);
    assert.deepEqual(troubles, []);
    await page.close();
  }
  await record.take(1, "saved copy, from opening to an engine that answers", best / 1000, "s", { atMost: 1.5 });
  record.close();
});

inBrowsers("a long job is cancelled at once, its core comes to rest, and the next job starts", async ({ name, t }) => {
  const own = await launch(name);
  const record = figures(name, t);
  try {
    const { page } = await openReady(own, await hosted());
    await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
    await drop(page, "waves.svg", longJob(), "image/svg+xml");
    await until(page, () => document.documentElement.dataset.phase === "laying");
    await sleep(1500);
    const times = await page.evaluate(async () => {
      const from = performance.now();
      document.getElementById("cancel").click();
      await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
      return { drawn: performance.now() - from };
    });
    await record.take(16, "cancel, until the page shows it", times.drawn, "ms", { atMost: 100 });
    const from = performance.now();
    await sleep(3000);
    const used = await processorTimeOf(own);
    await sleep(1000);
    await record.take(16, "share of a core in use three seconds after a cancel", ((await processorTimeOf(own)) - used) / ((performance.now() - from - 3000) / 1000), "", { atMost: 0.25 });

    await relaid(page, () => page.evaluate(() => document.getElementById("undo").click()));
    await drop(page, "waves.svg", longJob(), "image/svg+xml");
    await until(page, () => document.documentElement.dataset.phase === "laying");
    await sleep(1500);
    const begun = await page.evaluate(async () => {
      const words = () => document.querySelector(".bench-work-words")?.textContent ?? "";
      const start = performance.now();
      document.getElementById("cancel").click();
      document.querySelector(".bench-work-words").textContent = ""; // of the run before
      document.getElementById("undo").click();
      const { dataset } = document.documentElement;
      await new Promise((done) => {
        const look = () => (/[1-9]\d* %/.test(words()) || dataset.laid === dataset.steps ? done() : setTimeout(look, 5));
        look();
      });
      return performance.now() - start;
    });
    await record.take(16, "from cancel to the first progress of the next job", begun, "ms", { atMost: 300 });
    await until(page, () => document.documentElement.dataset.laid === document.documentElement.dataset.steps);
  } finally {
    await own.close();
  }
  record.close();
});

inBrowsers("the page stays free while the heaviest job runs, and its progress never goes back", async ({ name, session, t }) => {
  const record = figures(name, t);
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "lamp-panel.gcode", await testdata("sliced/lamp-panel.gcode"));
  await openPatterns(page);
  await page.evaluate(() => {
    const watch = { longest: 0, tasks: 0, shares: [], said: [] };
    globalThis.watch = watch;
    let last = performance.now();
    const door = new MessageChannel();
    door.port1.onmessage = () => {
      const now = performance.now();
      watch.longest = Math.max(watch.longest, now - last);
      last = now;
      setTimeout(() => { last = performance.now(); door.port2.postMessage(0); }, 1);
    };
    door.port2.postMessage(0);
    if (PerformanceObserver.supportedEntryTypes.includes("longtask")) {
      new PerformanceObserver((list) => { for (const one of list.getEntries()) watch.tasks = Math.max(watch.tasks, one.duration); }).observe({ type: "longtask" });
    }
    const bar = document.querySelector('[role="progressbar"]');
    new MutationObserver(() => watch.shares.push(Number(bar.getAttribute("aria-valuenow")))).observe(bar, { attributes: true });
    new MutationObserver(() => watch.said.push(performance.now())).observe(document.getElementById("status"), { childList: true, characterData: true, subtree: true });
  });
  await relaid(page, () => takePattern(page, 9));
  const { longest, tasks, shares, said } = await page.evaluate(() => globalThis.watch);
  if (name === "chrome") await record.take(17, "longest task of the page while a job runs and is drawn", tasks, "ms", { atMost: 50 });
  else await record.take(17, "longest gap between two messages of the page while a job runs and is drawn", longest, "ms", { atMost: 50 });
  assert.deepEqual(shares, [...shares].sort((a, b) => a - b), "progress never goes back");
  const gaps = said.slice(1).map((at, i) => at - said[i]).filter((gap) => gap > 20);
  assert.ok(gaps.every((gap) => gap > 900), `said at most once a second: ${gaps}`);
  record.close();
});

inBrowsers("hostile links hold nothing up", async ({ name, session, t }) => {
  const record = figures(name, t);
  const { page } = await openReady(session, await hosted());
  let longest = 0;
  for (const text of ["a".repeat(1_000_000), `1.${deflateRawSync(Buffer.alloc(10_000_000)).toString("base64url")}`]) {
    longest = Math.max(longest, await page.evaluate(async (text) => {
      const paste = new Event("paste", { bubbles: true, cancelable: true });
      Object.defineProperty(paste, "clipboardData", { value: { items: [], files: [], getData: () => `#${text}` } });
      let most = 0, last = performance.now();
      const ticking = setInterval(() => { most = Math.max(most, performance.now() - last); last = performance.now(); }, 5);
      document.body.dispatchEvent(paste);
      await new Promise((wake) => setTimeout(wake, 500));
      clearInterval(ticking);
      return most;
    }, text));
  }
  await record.take(10, "longest gap of the page while a hostile link is refused", longest, "ms", { atMost: 200 });
  record.close();
});
