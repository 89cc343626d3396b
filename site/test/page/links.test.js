// Links: a preset in the fragment, shown before it is taken over.

import assert from "node:assert/strict";
import { deflateRawSync } from "node:zlib";
import { dropPiece, hosted, inBrowsers, linkOf, long, open, openPatterns, openReady, press, ready, relaid, save, takePattern, testdata, until } from "../harness.js";

const pattern = (page) => page.$eval('.clause[data-section="art"]', (one) => one.textContent);

/** Opens an address in a profile that has never seen the page. */
async function inFreshProfile(session, address) {
  const context = await session.browser.createBrowserContext();
  const { page } = await open({ browser: context }, address);
  return { page, close: () => context.close() };
}

inBrowsers("the link of a pattern is taken over in a fresh profile, with equal settings and the same file to the byte", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const tag = await testdata("sliced/shelf-tag.gcode");
  await dropPiece(page, "shelf-tag.gcode", tag);
  await openPatterns(page);
  const count = await page.$$eval(".pattern", (all) => all.length);
  assert.ok(count >= 25, `${count} patterns`);
  for (const i of long ? [count - 1, 8, 3, 14] : [count - 1]) {
    await relaid(page, () => takePattern(page, i));
    const link = await linkOf(page);
    assert.ok(link.length <= 2000, `${link.length} characters`);
    const sent = { words: await pattern(page), bytes: (await save(page, session)).bytes };
    const fresh = await inFreshProfile(session, link);
    try {
      await until(fresh.page, () => /Take it over/.test(document.querySelector("dialog")?.textContent));
      await relaid(fresh.page, () => press(fresh.page, "Take it over", "dialog"));
      assert.equal(await pattern(fresh.page), sent.words);
      assert.equal(new URL(fresh.page.url()).hash, "");
      assert.equal((await linkOf(fresh.page)).replace(/.*#/, ""), link.replace(/.*#/, ""), "the same settings");
    } finally {
      await fresh.close();
    }
    // Downloads of another profile have no folder of their own: the file is made here again.
    const { page: again } = await openReady(session, link);
    await until(again, () => /Take it over/.test(document.querySelector("dialog")?.textContent));
    await relaid(again, () => press(again, "Take it over", "dialog"));
    await dropPiece(again, "shelf-tag.gcode", tag);
    assert.ok((await save(again, session)).bytes.equals(sent.bytes), `${sent.words}: the same file`);
    await again.close();
  }
});

const pack = (text) => `1.${deflateRawSync(Buffer.from(text)).toString("base64url")}`;

const hostile = [
  ["a million characters", "a".repeat(1_000_000), /^link-too-long$/],
  ["no base64", "1.%%%not-base64", /^link-damaged$/],
  ["no stream", "1.AAAABBBBCCCC", /^link-damaged$/],
  ["a bomb of ten megabytes", `1.${deflateRawSync(Buffer.alloc(10_000_000)).toString("base64url")}`, /^link-bomb$/],
  ["a form of the future", "99.AAAABBBBCCCC", /^link-version$/],
  ["a number beyond all numbers", pack('{"bead.widthMM":1e999}'), /^link-|^job-/],
  ["no number", pack('{"bead.widthMM":"NaN"}'), /^link-|^job-/],
  ["a huge number", pack('{"bead.widthMM":1e300}'), /^job-/],
  ["markup for a pattern", pack('{"art.generator":"<img src=x onerror=alert(1)>"}'), /./],
  ["markup for a field", pack('{"<img src=x onerror=alert(1)>":1}'), /^link-unknown-field$/],
  ["another person's file", pack('{"art.svg":"<svg/>","piece.file":"/etc/passwd"}'), /^link-unknown-field$/],
];

inBrowsers("hostile links are refused in words with nothing changed, pasted or in the address", async ({ session, t }) => {
  const { page } = await openReady(session, await hosted());
  const before = await page.$eval("#sentence", (one) => one.textContent);
  const unchanged = async (where, words) => {
    assert.equal(await where.$eval("#sentence", (one) => one.textContent), before, words);
    assert.equal(await where.$$eval("img", (all) => all.length), 0, `${words}: no node comes of it`);
  };
  for (const [words, text, code] of hostile) {
    const gap = await page.evaluate(async (text) => {
      for (const one of document.querySelectorAll(".finding button")) if (one.textContent === "Understood") one.click();
      const paste = new Event("paste", { bubbles: true, cancelable: true });
      Object.defineProperty(paste, "clipboardData", { value: { items: [], files: [], getData: () => `#${text}` } });
      let longest = 0, last = performance.now();
      const ticking = setInterval(() => { longest = Math.max(longest, performance.now() - last); last = performance.now(); }, 5);
      document.body.dispatchEvent(paste);
      await new Promise((wake) => setTimeout(wake, 300));
      clearInterval(ticking);
      return longest;
    }, text);
    t.diagnostic(`${words}: longest gap between two ticks of the page ${gap.toFixed(0)} ms`);
    await until(page, () => document.querySelector('.finding[data-level="stop"]') || document.querySelector("dialog[open]"));
    const refused = await page.evaluate(() => document.querySelector('.finding[data-level="stop"]')?.dataset.code ?? "");
    if (refused) assert.match(refused, code, words);
    else await press(page, "Leave it", "dialog");
    await unchanged(page, words);
  }
  for (const [words, text, code] of [hostile[0], hostile[3]]) {
    const { page: other } = await open(session, "about:blank");
    await other.goto(`${await hosted()}#${text.slice(0, 900_000)}`);
    await until(other, () => document.querySelector('.finding[data-level="stop"]'));
    assert.match(await other.$eval('.finding[data-level="stop"]', (one) => one.dataset.code), code, words);
    await ready(other);
    await unchanged(other, words);
    await other.close();
  }
});
