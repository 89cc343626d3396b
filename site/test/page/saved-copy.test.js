// The saved copy: one file that works by double-click from any folder.

import assert from "node:assert/strict";
import { copyFile, mkdir, mkdtemp, readFile, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "node:test";
import { choose, dropPiece, hosted, downloaded, inBrowsers, open, openReady, press, ready, save, savedCopy, shown, testdata, until } from "../harness.js";

test("the saved copy is at most 4 MB and carries the strictest policy that works", async () => {
  assert.ok((await stat(savedCopy())).size <= 4_000_000);
  const text = await readFile(savedCopy(), "utf8");
  const policy = text.match(/http-equiv="Content-Security-Policy" content="([^"]+)"/)[1].replaceAll("&#39;", "'");
  assert.match(policy, /^default-src 'none'; script-src 'sha256-[^']+' 'wasm-unsafe-eval'; worker-src blob:; style-src 'sha256-[^']+'; img-src blob: data:; connect-src 'none'; base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types app$/);
  assert.ok(text.indexOf("http-equiv") < text.indexOf("<style"), "the policy stands before what it governs");
});

for (const folder of ["plain", "with spaces and #1 100%", "Hafen–Büchereiñ 書"]) {
  inBrowsers(`the saved copy works by double-click from the folder “${folder}”`, async ({ session }) => {
    const home = await mkdtemp(join(tmpdir(), "sheenlay-copy-"));
    try {
      await mkdir(join(home, folder));
      const file = join(home, folder, "sheenlay.html");
      await copyFile(savedCopy(), file);
      const { page, troubles } = await open(session, "about:blank");
      const loads = new Set();
      page.on("request", (request) => loads.add(new URL(request.url()).protocol));
      await page.goto(pathToFileURL(file).href);
      await page.evaluate(() => addEventListener("securitypolicyviolation", (event) => { console.error(`refused: ${event.violatedDirective}`); }));
      await ready(page);
      await dropPiece(page, "shelf-tag.gcode", await testdata("sliced/shelf-tag.gcode"));
      const { bytes } = await save(page, session);
      assert.ok(bytes.length > 10_000);
      await page.click("#help");
      await until(page, () => /Why it shines/.test(document.querySelector("dialog")?.textContent));
      await press(page, "Close", "dialog");
      await page.click('.clause[data-section="art"]');
      await until(page, () => document.querySelectorAll(".pattern").length > 10);
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
  await page.click('.clause[data-section="art"]');
  await until(page, () => document.querySelectorAll(".pattern").length > 10);
  for (const index of [3, 5, 2]) await page.evaluate((index) => document.querySelectorAll(".pattern")[index].click(), index);
  await ready(page);
  assert.equal(page.workers().length, workers);
});
