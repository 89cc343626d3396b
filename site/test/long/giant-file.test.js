// Checks 12, 13 and 15: a sliced file of 1 GiB is answered, surveyed and saved
// three times in a row, in time and in little memory; ten files one after
// another take no more than one.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { link, mkdtemp, readdir, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before } from "node:test";
import { writeGiant } from "../giant.js";
import { browsers, hosted, inBrowsers, launch, openReady, pick, ready, until } from "../harness.js";
import { figures, memoryOf, watchMemory } from "../measuring.js";

const SIZE = 2 ** 30;
const TEN = 100e6; // bytes of each of ten files
let home, path, truth;

before(async () => {
  home = await mkdtemp(join(tmpdir(), "sheenlay-giant-"));
  path = join(home, "giant.gcode");
  truth = await writeGiant(path, SIZE);
});
after(() => rm(home, { recursive: true, force: true }));

async function fingerprint(file, start, end) {
  const hash = createHash("sha256");
  for await (const chunk of createReadStream(file, { start, end, highWaterMark: 4 << 20 })) hash.update(chunk);
  return hash.digest("hex");
}

/** Waits until the one download is whole: its path and when it was, ms. */
async function wholeDownload(folder, seconds) {
  for (const end = performance.now() + seconds * 1000; performance.now() < end;) {
    const names = await readdir(folder);
    if (names.length === 1 && !/\.(part|crdownload)$/.test(names[0])) {
      const file = join(folder, names[0]);
      const { size } = await stat(file);
      if (size > SIZE / 2) return { file, size, at: performance.now() };
    }
    await new Promise((wake) => setTimeout(wake, 10));
  }
  throw new Error(`no whole download: ${await readdir(folder)}`);
}

/** Notes in the page when what a person waits for is first to be seen. */
async function watch(page, name) {
  await page.evaluate((name) => {
    const seen = { chosen: 0, answered: 0, surveyed: 0, laid: 0 };
    globalThis.seen = seen;
    document.querySelector('input[type="file"]').addEventListener("change", () => { seen.chosen = performance.now(); }, { capture: true, once: true });
    const note = (what, is) => { if (seen.chosen && !seen[what] && is) seen[what] = performance.now(); };
    new MutationObserver(() => {
      const here = document.getElementById("sentence").textContent.includes(name);
      note("answered", here);
      note("surveyed", here && /Whole file/.test(document.querySelector('.card[data-section="piece"]')?.textContent));
      note("laid", here && document.getElementById("save").disabled === false && document.querySelector(".verdict-name").textContent.includes(name));
    }).observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
  }, name);
}

/** Waits until the time of the whole file is known, as it is after its moves were followed. */
const followed = (page) => until(page, () => /The finished file takes/.test(document.getElementById("verdict").textContent));

/** Puts the file into an input of its own, #beside, that the page knows nothing of. */
async function chooseBeside(page, path) {
  await page.evaluate(() => {
    const input = document.createElement("input");
    input.type = "file";
    input.id = "beside";
    document.body.append(input);
  });
  await (await page.$("#beside")).uploadFile(path);
}

/**
 * How long the browser takes to save the bytes of #beside by itself, s: in two
 * slices, as a Blob, by the same kind of link as the page's own.
 */
async function plainSave(page, folder) {
  const from = performance.now();
  await page.evaluate(() => {
    const file = document.getElementById("beside").files[0];
    const middle = Math.floor(file.size / 2);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([file.slice(0, middle), file.slice(middle)], { type: "text/plain" }));
    link.download = "plain.gcode";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  });
  const { file, size, at } = await wholeDownload(folder, 120);
  assert.equal(size, SIZE);
  await rm(file);
  return (at - from) / 1000;
}

/** How fast the browser reads #beside when nothing is done with it, s: the best of three. */
async function plainRead(page) {
  return page.evaluate(async () => {
    const file = document.getElementById("beside").files[0];
    let best = Infinity;
    for (let round = 0; round < 3; round++) {
      const from = performance.now();
      const reader = file.stream().getReader({ mode: "byob" });
      for (let buffer = new ArrayBuffer(4 << 20); ;) {
        const { value, done } = await reader.read(new Uint8Array(buffer));
        if (done) break;
        buffer = value.buffer;
      }
      best = Math.min(best, performance.now() - from);
    }
    return best / 1000;
  });
}

inBrowsers("a file of 1 GiB is answered, surveyed and saved three times in a row", async ({ name, t }) => {
  const own = await launch(name); // memory is counted over a browser of its own
  const record = figures(name, t);
  try {
    const { page, troubles } = await openReady(own, await hosted());
    await page.click('.clause[data-section="piece"]');
    await until(page, () => /Whole file/.test(document.querySelector('.card[data-section="piece"]')?.textContent));
    const idle = await memoryOf(own);
    await watch(page, "giant.gcode");
    const memory = watchMemory(own);
    await pick(page, path);
    await until(page, () => globalThis.seen.surveyed && globalThis.seen.laid);
    const readingPeak = await memory.stop();
    const seen = await page.evaluate(() => globalThis.seen);
    const seconds = (from, to) => (seen[to] - seen[from]) / 1000;
    assert.match(await page.$eval('.card[data-section="piece"]', (one) => one.textContent), new RegExp(`${truth.layers.toLocaleString("en")} layers|${truth.layers} layers`));
    await record.take(12, "first answer for a file of 1 GiB", seconds("chosen", "answered"), "s", { atMost: 1.5 });
    await record.take(12, "the pattern laid on it", seconds("chosen", "laid"), "s");
    await record.take(12, "the whole file surveyed", seconds("chosen", "surveyed"), "s", { atMost: 5 });
    await record.take(12, "most memory over the idle page while reading", readingPeak - idle, "MB", { atMost: 150 });
    await followed(page); // its time is worked out in the background, with the same processors
    await chooseBeside(page, path);
    const plain = await plainRead(page);
    await record.take(12, "the browser reading the file and doing nothing with it", plain, "s");

    const source = { head: await fingerprint(path, 0, truth.headEnd - 1), tail: await fingerprint(path, truth.tailStart) };
    let first = 0;
    const took = { page: Infinity, browser: Infinity };
    for (const round of [1, 2, 3]) {
      const said = (await page.$eval(".verdict-name", (one) => one.textContent)).match(/, ([\d.,]+ GB);/)[1];
      const memory = watchMemory(own);
      const from = performance.now();
      await page.evaluate(() => document.getElementById("save").click());
      const { file, size, at } = await wholeDownload(own.downloads, 120);
      await until(page, () => document.getElementById("save").disabled === false);
      const peak = await memory.stop();
      await record.take(13, `save ${round} of 3, file complete`, (at - from) / 1000, "s", { atMost: 6 });
      took.page = Math.min(took.page, (at - from) / 1000);
      await record.take(13, `save ${round} of 3, most memory over the idle page`, peak - idle, "MB", { atMost: 150 });
      assert.equal(Number(said.replace(" GB", "")).toFixed(1), (size / 1e9).toFixed(1), "the size is said before");
      assert.equal(await fingerprint(file, 0, truth.headEnd - 1), source.head, "the head is the source's");
      assert.equal(await fingerprint(file, size - (SIZE - truth.tailStart)), source.tail, "the tail is the source's");
      const after = await memoryOf(own);
      if (round === 1) first = after;
      else await record.take(15, `memory after save ${round} over that after the first`, after - first, "MB", { atMost: 50 });
      await rm(file);
      // In turn and under the same watch, so that both meet the same machine.
      const watchOfPlain = watchMemory(own);
      took.browser = Math.min(took.browser, await plainSave(page, own.downloads));
      await watchOfPlain.stop();
    }
    await record.take(13, "the browser saving the same bytes by itself, best of 3", took.browser, "s");
    // One browser reads on in a file that changed, so the page reads it again before it saves.
    const least = name === "chrome" ? took.browser : took.browser + plain;
    await record.take(13, name === "chrome" ? "a save over the browser's own, best of 3 each" : "a save over the browser's own reading and saving, best of 3 each", took.page / least, "times", { atMost: 1.25 });
    assert.deepEqual(troubles, []);
  } finally {
    await own.close();
  }
  record.close();
}, { only: browsers });

inBrowsers("ten files of 100 MB one after another leave the memory as one does", async ({ name, t }) => {
  const own = await launch(name);
  const record = figures(name, t);
  const folder = await mkdtemp(join(home, "ten-")); // each browser has its own: the names are the same
  const source = join(folder, "ten.gcode");
  await writeGiant(source, TEN);
  try {
    const { page, troubles } = await openReady(own, await hosted());
    await page.click('.clause[data-section="piece"]');
    const idle = await memoryOf(own);
    const memory = watchMemory(own);
    let first = 0;
    for (let i = 1; i <= 10; i++) {
      const here = `ten-${i}.gcode`;
      await link(source, join(folder, here));
      await pick(page, join(folder, here));
      await until(page, (here) => document.getElementById("sentence").textContent.includes(here) &&
        /Whole file/.test(document.querySelector('.card[data-section="piece"]')?.textContent), here);
      await ready(page);
      // What is counted is what stays, not what reading in the background holds.
      if (i === 1 || i === 10) await followed(page);
      if (i === 1) first = await memoryOf(own);
    }
    const last = await memoryOf(own);
    const peak = await memory.stop();
    await record.take(15, "memory over the idle page after one file of 100 MB", first - idle, "MB");
    await record.take(15, "memory over the idle page after ten files of 100 MB", last - idle, "MB", { atMost: 100 });
    await record.take(15, "most memory over the idle page while ten files of 100 MB are read", peak - idle, "MB");
    assert.deepEqual(troubles, []);
  } finally {
    await own.close();
    await rm(folder, { recursive: true });
  }
  record.close();
}, { only: browsers });
