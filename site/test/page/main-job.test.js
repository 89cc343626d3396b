// The main job, on the real page: a sliced file and a drawing go in, both
// layers are seen, and the saved bytes are read by a second reader.

import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { gzipSync } from "node:zlib";
import { openCard } from "../bench-steps.js";
import { drop, dropPiece, hosted, inBrowsers, openReady, pick, ready, relaid, save, testdata, until } from "../harness.js";

const { newMachine, follow } = createRequire(import.meta.url)("../../../testdata/secondreader/reader.js");

/** Head and tail of the finished file are the source's, to the byte. */
function assertSpliced(source, finished, truth) {
  let head = 0;
  while (head < source.length && source[head] === finished[head]) head += 1;
  let tail = 0;
  while (tail < source.length - head && source[source.length - 1 - tail] === finished[finished.length - 1 - tail]) tail += 1;
  const { FromOffset: from } = truth.Layers[0];
  const { ToOffset: to } = truth.Layers[1];
  assert.ok(head >= from, `the head is unchanged for ${head} bytes, the first layer begins at ${from}`);
  assert.ok(tail >= source.length - to, `the tail is unchanged for ${tail} bytes, it has ${source.length - to}`);
  assert.notDeepEqual(source, finished);
}

inBrowsers("a sliced file and an SVG are dropped, both layers are seen, the saved file keeps head and tail to the byte", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted());
  assert.match(await page.$eval("#sentence", (one) => one.textContent.replace(/\s+/g, " ")), /tumbling blocks, 10 mm.*harbour-tile\.gcode/, "on a first visit a sample is laid");
  const source = await testdata("sliced/harbour-tile.gcode");
  await dropPiece(page, "reading-day.gcode", source);
  await relaid(page, async () => drop(page, "waves.svg", await testdata("drawings/lighthouse-zones.svg"), "image/svg+xml"));
  assert.match(await page.$eval("#toast", (one) => one.textContent), /waves\.svg is laid as shapes/);
  await ready(page);
  await page.evaluate(() => document.querySelector('input[name="look"][value="both"]').click());
  await until(page, () => {
    const canvas = [...document.querySelectorAll("#bench canvas")].find((one) => !one.hidden);
    const data = canvas?.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height).data;
    return data && new Set(new Uint32Array(data.buffer)).size > 8;
  });
  const { name, bytes } = await save(page, session);
  assert.equal(name, "reading-day-sheenlay.gcode", "the source is never overwritten");
  const truth = JSON.parse(await testdata("sliced/harbour-tile.json"));
  assertSpliced(source, bytes, truth);
  assert.match(bytes.toString("latin1"), /sheenlay: new face begins[^]*\nG1 /, "the block lays lines");
  assert.deepEqual(troubles, []);
});

for (const name of ["absolute-primed-low", "relative-retracted-lifted", "numbered", "shelf-tag"]) {
  inBrowsers(`the saved file of ${name} hands over to the rest in the state that the source has there, by the second reader`, async ({ session }) => {
    const { page } = await openReady(session, await hosted());
    const source = await testdata(`sliced/${name}.gcode`);
    await relaid(page, () => drop(page, `${name}.gcode`, source));
    if (await page.$('.finding[data-level="stop"]')) {
      assert.match(await page.$eval('.finding[data-level="stop"]', (one) => one.textContent), /\w{3,} \w{2,}/, "a refusal is a sentence");
      return;
    }
    const { bytes } = await save(page, session);
    const truth = JSON.parse(await testdata(`sliced/${name}.json`));
    assertSpliced(source, bytes, truth);
    const cut = truth.Layers[1].ToOffset;
    const before = newMachine(), after = newMachine();
    follow(before, source, 0, cut);
    let beads = 0;
    const start = truth.Layers[0].FromOffset, end = bytes.length - (source.length - cut);
    follow(after, bytes, 0, start);
    follow(after, bytes, start, end, (line, move) => { if (move && move.out > 0 && move.length > 0) beads += 1; });
    assert.ok(beads > 20, `${beads} beads in the new layer`);
    for (const field of ["x", "y", "z", "e", "drawn"]) {
      assert.ok(Math.abs(before[field] - after[field]) < 0.002, `${field} is ${after[field]} where the tail begins, not ${before[field]}`);
    }
    for (const field of ["byCommand", "unit", "relative", "relativeE", "plane", "tool", "work", "feed"]) {
      assert.equal(after[field], before[field], `${field} where the tail begins`);
    }
  });
}

inBrowsers("a packed sliced file gives the same finished file as the plain one", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const source = await testdata("sliced/shelf-tag.gcode");
  await dropPiece(page, "plain.gcode", source);
  const plain = await save(page, session);
  await dropPiece(page, "packed.gcode.gz", gzipSync(source));
  const packed = await save(page, session);
  // The new layer says in a comment which file it was made for.
  assert.equal(packed.bytes.toString("latin1").replaceAll("packed.gcode.gz", "plain.gcode"), plain.bytes.toString("latin1"));
});

inBrowsers("every sample is laid", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted());
  await page.click('.clause[data-section="piece"]');
  await until(page, () => document.querySelectorAll(".sample").length > 0);
  const count = await page.$$eval(".sample", (all) => all.length);
  assert.ok(count >= 3, `${count} samples`);
  for (let i = 0; i < count; i++) {
    await relaid(page, () => page.evaluate((i) => document.querySelectorAll(".sample")[i].click(), i));
    await ready(page);
  }
  assert.deepEqual(troubles, []);
});

inBrowsers("what cannot be used is refused with a sentence of its own", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const refusals = new Set();
  for (const [name, text] of [["empty.gcode", ""], ["part.stl", "solid x"], ["notes.txt", "dear reader"], ["paper.pdf", "%PDF-1.7"], ["page.html", "<p>hello</p>"], ["box.zip", "PK\x03\x04"]]) {
    await page.evaluate(() => document.querySelector('#toast button[aria-label="Close this note"]')?.click());
    await drop(page, name, Buffer.from(text, "latin1"));
    await until(page, (name) => document.getElementById("toast").textContent.includes(name), name);
    refusals.add((await page.$eval("#toast", (one) => one.textContent)).replace(name, ""));
  }
  assert.equal(refusals.size, 6);
  assert.ok(await page.$eval("#save", (one) => !one.disabled), "the piece open before is still there");
});

inBrowsers("a file with a byte order mark, CRLF and no final newline is laid like the plain one", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const text = (await testdata("sliced/shelf-tag.gcode")).toString("latin1").replaceAll("\n", "\r\n").replace(/\r\n$/, "");
  const source = Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), Buffer.from(text, "latin1")]);
  await dropPiece(page, "windows.gcode", source);
  const { bytes } = await save(page, session);
  assert.deepEqual([...bytes.subarray(0, 3)], [0xef, 0xbb, 0xbf]);
  assert.ok(bytes.subarray(-200).equals(source.subarray(-200)));
  assert.ok(!/[^\r]\n/.test(bytes.toString("latin1")), "the new lines end as the old ones do");
});

inBrowsers("dropped, pasted, picked or taken as a sample, a file gives the same finished file; two files and a folder have each its own sentence", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const source = await testdata("sliced/shelf-tag.gcode");
  await dropPiece(page, "shelf-tag.gcode", source);
  const dropped = await save(page, session);
  const home = await mkdtemp(join(tmpdir(), "sheenlay-picked-"));
  try {
    await writeFile(join(home, "shelf-tag.gcode"), source);
    for (const [way, act] of [
      ["pasted", () => page.evaluate((base64) => {
        const paste = new Event("paste", { bubbles: true, cancelable: true });
        const file = new File([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], "shelf-tag.gcode");
        Object.defineProperty(paste, "clipboardData", { value: { items: [], files: [file], getData: () => "" } });
        document.body.dispatchEvent(paste);
      }, source.toString("base64"))],
      ["picked", () => pick(page, join(home, "shelf-tag.gcode"))],
    ]) {
      await dropPiece(page, "bookmark.gcode", await testdata("sliced/bookmark.gcode"));
      await relaid(page, act);
      assert.match(await page.$eval(".verdict-name", (one) => one.textContent), /; shelf-tag\.gcode itself/);
      const { name, bytes } = await save(page, session);
      assert.equal(name, dropped.name, way);
      assert.ok(bytes.equals(dropped.bytes), way);
    }
  } finally {
    await rm(home, { recursive: true, force: true });
  }
  await openCard(page, "piece");
  const sample = () => page.evaluate(() => [...document.querySelectorAll(".sample")].find((one) => /shelf-tag|shelf tag/i.test(one.textContent)).click());
  await relaid(page, sample);
  assert.ok((await save(page, session)).bytes.equals(dropped.bytes), "the sample of that name");
  const said = [];
  for (const [files, isDirectory] of [[["one.gcode", "two.gcode"], false], [["folder"], true]]) {
    await page.evaluate(() => document.querySelector('#toast button[aria-label="Close this note"]')?.click());
    await until(page, () => document.getElementById("toast").hidden);
    await page.evaluate((files, isDirectory) => {
      const fall = new Event("drop", { bubbles: true, cancelable: true });
      const items = files.map(() => ({ kind: "file", webkitGetAsEntry: () => ({ isDirectory }) }));
      Object.defineProperty(fall, "dataTransfer", { value: { items, files: files.map((name) => new File(["G28"], name)), types: ["Files"] } });
      document.body.dispatchEvent(fall);
    }, files, isDirectory);
    await until(page, () => !document.getElementById("toast").hidden);
    said.push(await page.$eval("#toast", (one) => one.textContent));
  }
  assert.match(said[0], /2 files.*one at a time/);
  assert.match(said[1], /folder/);
});
