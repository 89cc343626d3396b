// The main job in real browsers: sliced file and drawing in, finished file
// out, everything outside the new layer byte for byte the person's own.

import assert from "node:assert/strict";
import { after, before, describe, it } from "node:test";
import { pathToFileURL } from "node:url";
import { join } from "node:path";
import { browsers, downloaded, drop, launch, open, root, serve, testdata } from "../harness.js";

const ready = (page) => page.waitForFunction(() => /Ready[.,]/.test(document.querySelector("#verdict")?.textContent ?? ""), { timeout: 60_000 });
const sentence = (page) => page.$eval("#sentence", (e) => e.textContent.replace(/\s+/g, " "));
const clickButton = (page, words) => page.evaluate((words) => {
  [...document.querySelectorAll("button")].find((b) => b.textContent.includes(words)).click();
}, words);

/** Splits a finished file into head, new block and tail by the source's bytes. */
function split(source, finished) {
  let head = 0;
  while (head < source.length && source[head] === finished[head]) head++;
  let tail = 0;
  while (tail < source.length - head && source.at(-1 - tail) === finished.at(-1 - tail)) tail++;
  return { head, tail, block: finished.subarray(head, finished.length - tail).toString("latin1") };
}

for (const name of browsers) {
  describe(`main job in ${name}`, () => {
    let server, session, page, troubles;
    before(async () => {
      server = await serve();
      session = await launch(name);
      ({ page, troubles } = await open(session, server.address));
      await ready(page);
    });
    after(async () => {
      await session?.close();
      server?.stop();
    });

    it("shows the sample laid and lit on a first visit", async () => {
      assert.match(await sentence(page), /tumbling blocks, 10 mm.*harbour-tile\.gcode/);
    });

    it("takes a dropped file and saves it with only the first layer new", async () => {
      const source = await testdata("sliced/relative-retracted-lifted.gcode");
      await drop(page, "shelf-label.gcode", source);
      await page.waitForFunction(() => document.querySelector("#sentence").textContent.includes("shelf-label.gcode"), { timeout: 60_000 });
      await ready(page);
      await clickButton(page, "Save the finished file");
      const file = await downloaded(session);
      assert.equal(file.name, "shelf-label-sheenlay.gcode");
      const { head, tail, block } = split(source, file.bytes);
      // The truth kept beside the file: a cut may lie on any line of these spans.
      const { Layers: [first, second] } = JSON.parse(await testdata("sliced/relative-retracted-lifted.json"));
      assert.ok(head >= first.FromOffset, `head of ${head} bytes`);
      assert.ok(tail >= source.length - second.ToOffset, `tail of ${tail} bytes`);
      assert.match(block, /sheenlay: new face begins/);
      assert.match(block, /tumbling-blocks/);
    });

    it("offers a finished file only while nothing stops it, in words", async () => {
      await drop(page, "notes.txt", Buffer.from("Reading day: ten o'clock at the harbour."));
      await page.waitForFunction(() => /notes\.txt/.test(document.body.textContent), { timeout: 30_000 });
      await ready(page);
    });

    it("met no error and no refused load", () => assert.deepEqual(troubles, []));
  });

  describe(`saved copy in ${name}`, () => {
    it("works from a file by itself", async () => {
      const session = await launch(name);
      try {
        const { page, troubles } = await open(session, pathToFileURL(join(root, "dist", "sheenlay.html")).href);
        await ready(page);
        assert.deepEqual(troubles, []);
      } finally {
        await session.close();
      }
    });
  });
}
