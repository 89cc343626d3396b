// The whole finished file: its size is said before it is saved, it is the same
// whichever way the sliced file came in, and what reading a large file to its
// end tells comes later and is shown when it comes.

import assert from "node:assert/strict";
import { mkdtemp, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { drop, hosted, inBrowsers, openReady, pick, press, ready, relaid, save, testdata, until } from "../harness.js";
import { closeCard, openCard } from "../bench-steps.js";
import { writeGiant } from "../giant.js";

/** The size that the page says the finished file will have. */
const saidSize = (page) => page.$eval(".verdict-name", (one) => Number(one.title.replace(/[^0-9]/g, "")));

inBrowsers("the size said before saving is the size of the saved file", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  for (const name of ["harbour-tile.gcode", "shelf-tag.gcode", "lamp-panel.gcode"]) {
    const source = await testdata(`sliced/${name}`);
    await relaid(page, () => drop(page, name, source));
    await ready(page);
    const said = await saidSize(page);
    const { bytes } = await save(page, session);
    assert.equal(said, bytes.length, name);
    assert.notEqual(bytes.length, source.length, "it is not the size of the source");
    assert.match(await page.$eval(".verdict-name", (one) => one.textContent), new RegExp(`, ${(said / 1000).toFixed(1)} kB;`));
  }
});

inBrowsers("a sample, a drop, a pick and a paste of one file give the same finished bytes", async ({ session, name: browser }) => {
  const { page } = await openReady(session, await hosted());
  const name = "shelf-tag.gcode";
  const source = await testdata(`sliced/${name}`);
  const folder = await mkdtemp(join(tmpdir(), "sheenlay-pick-"));
  try {
    await writeFile(join(folder, name), source);
    const ways = {
      async sample() {
        await openCard(page, "piece");
        await press(page, "Shelf tag", ".card");
      },
      drop: () => drop(page, name, source),
      pick: () => pick(page, join(folder, name)),
      paste: () => page.evaluate((name, base64) => {
        const file = new File([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], name);
        const data = new DataTransfer();
        data.items.add(file);
        const event = new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true });
        // One browser empties a made-up clipboard: there the event brings its own.
        if (!event.clipboardData?.files.length) Object.defineProperty(event, "clipboardData", { value: data });
        document.body.dispatchEvent(event);
      }, name, source.toString("base64")),
    };
    const finished = {};
    for (const [way, open] of Object.entries(ways)) {
      await relaid(page, open);
      await ready(page);
      await closeCard(page);
      const saved = await save(page, session);
      finished[way] = saved.bytes;
      assert.match(saved.name, /^shelf-tag-sheenlay.*\.gcode$/, way);
      // Another piece between, so that each way is a change.
      await relaid(page, async () => drop(page, "harbour-tile.gcode", await testdata("sliced/harbour-tile.gcode")));
    }
    for (const [way, bytes] of Object.entries(finished)) assert.ok(bytes.equals(finished.drop), `${way} in ${browser}`);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});

inBrowsers("what following a file of 70 MB to its end tells is shown when it comes", async ({ session, t }) => {
  const folder = await mkdtemp(join(tmpdir(), "sheenlay-large-"));
  const path = join(folder, "reading-day-plate.gcode");
  try {
    const { layers } = await writeGiant(path, 70_000_000);
    const { page, troubles } = await openReady(session, await hosted());
    const figures = () => page.$eval('.fold[data-name="figures"]', (one) => one.textContent);
    await page.evaluate(() => {
      globalThis.seen = [];
      const note = () => {
        const text = document.querySelector('.fold[data-name="figures"]')?.textContent ?? "";
        if (text && text !== globalThis.seen.at(-1)) globalThis.seen.push(text);
      };
      new MutationObserver(note).observe(document.getElementById("folds"), { childList: true, subtree: true });
    });
    await relaid(page, () => pick(page, path));
    await until(page, () => /Time of the finished file/.test(document.querySelector('.fold[data-name="figures"]')?.textContent));
    const text = await figures();
    assert.match(text, /The finished file takes/);
    const early = await page.evaluate(() => globalThis.seen.find((one) => /Joins at line/.test(one) && !/Time of the finished file/.test(one)));
    assert.ok(early, "the figures stood before without what was not known yet");
    assert.match(await page.$eval(".verdict-line", (one) => one.textContent), /^Ready/);
    assert.ok(layers > 100);
    assert.equal((await stat(path)).size, 70_000_000);
    assert.deepEqual(troubles, []);
    t.diagnostic(text.slice(0, 200));
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});
