// The saved copy: one file that works by double-click from any folder.

import assert from "node:assert/strict";
import { copyFile, mkdir, mkdtemp, readFile, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { choose, dropPiece, hosted, downloaded, inBrowsers, open, openPatterns, openReady, press, ready, relaid, save, savedCopy, takePattern, testdata, until } from "../harness.js";

test("the saved copy is at most 4 MB and carries the strictest policy that works", async () => {
  assert.ok((await stat(savedCopy())).size <= 4_000_000);
  const text = await readFile(savedCopy(), "utf8");
  const policy = text.match(/http-equiv="Content-Security-Policy" content="([^"]+)"/)[1].replaceAll("&#39;", "'");
  assert.match(policy, /^default-src 'none'; script-src 'sha256-[^']+' 'wasm-unsafe-eval'; worker-src blob:; style-src 'sha256-[^']+'; img-src blob: data:; connect-src 'none'; base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types app$/);
  assert.ok(text.indexOf("http-equiv") < text.indexOf("<style"), "the policy stands before what it governs");
});

// The last one is opened by a link.
const link = `#1.${deflateRawSync(Buffer.from('{"placement.turnDeg":20}')).toString("base64url")}`;
for (const [folder, fragment] of [["plain", ""], ["with spaces and #1 100%", ""], ["Hafen–Büchereiñ 書", link]]) {
  inBrowsers(`the saved copy works by double-click from the folder “${folder}”`, async ({ session }) => {
    const home = await mkdtemp(join(tmpdir(), "sheenlay-copy-"));
    try {
      await mkdir(join(home, folder));
      const file = join(home, folder, "sheenlay.html");
      await copyFile(savedCopy(), file);
      const { page, troubles } = await open(session, "about:blank");
      const loads = new Set();
      page.on("request", (request) => loads.add(new URL(request.url()).protocol));
      await page.evaluateOnNewDocument(() => addEventListener("securitypolicyviolation", (event) => { console.error(`refused: ${event.violatedDirective}`); }));
      await page.goto(`${pathToFileURL(file).href}${fragment}`);
      await ready(page);
      if (fragment) {
        await until(page, () => /Take it over/.test(document.querySelector("dialog")?.textContent));
        await relaid(page, () => press(page, "Take it over", "dialog"));
        assert.match(await page.$eval("#sentence", (one) => one.textContent), /turned 20°/);
      }
      await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
      const { bytes } = await save(page, session);
      assert.ok(bytes.length > 10_000);
      await page.click("#help");
      await until(page, () => /Why it shines/.test(document.querySelector("dialog")?.textContent));
      await press(page, "Close", "dialog");
      await openPatterns(page);
      assert.deepEqual(troubles, []);
      for (const protocol of loads) assert.ok(["file:", "blob:", "data:"].includes(protocol), `nothing is asked of a server: ${protocol}`);
    } finally {
      await rm(home, { recursive: true, force: true });
    }
  });
}

inBrowsers("one button of the hosted page saves that file, and both make the same finished file", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await choose(page, "Keep a copy");
  const copy = await downloaded(session);
  assert.ok(copy.bytes.equals(await readFile(savedCopy())));
  const source = await testdata("sliced/bookmark.gcode");
  await dropPiece(page, "bookmark.gcode", source);
  const there = await save(page, session);
  const { page: other } = await openReady(session, pathToFileURL(savedCopy()).href);
  await dropPiece(other, "bookmark.gcode", source);
  const here = await save(other, session);
  assert.ok(there.bytes.equals(here.bytes));
});

inBrowsers("edits while the engine of a saved copy works end in a laid job, with one worker", async ({ session }) => {
  const { page } = await openReady(session, pathToFileURL(savedCopy()).href);
  const workers = page.workers().length;
  await openPatterns(page);
  await relaid(page, async () => { for (const index of [3, 5, 2]) await takePattern(page, index); });
  for (let tries = 0; tries < 100 && page.workers().length > workers; tries++) await new Promise((wake) => setTimeout(wake, 50)); // the end of one is told late
  assert.equal(page.workers().length, workers);
});
