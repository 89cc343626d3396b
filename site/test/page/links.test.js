// Links: a preset in the fragment, shown before it is taken over.

import assert from "node:assert/strict";
import { deflateRawSync } from "node:zlib";
import { choose, hosted, inBrowsers, openReady, press, ready, until } from "../harness.js";

const pattern = (page) => page.$eval('.clause[data-section="art"]', (one) => one.textContent);

/** The link that the page would put on the clipboard. */
async function linkOf(page) {
  await page.evaluate(() => {
    globalThis.copied = null;
    Object.defineProperty(navigator, "clipboard", { configurable: true, value: { writeText: async (text) => { globalThis.copied = text; } } });
  });
  await choose(page, "Copy a link");
  await until(page, () => globalThis.copied !== null);
  return page.evaluate(() => globalThis.copied);
}

inBrowsers("a link of any built-in pattern has at most 2,000 characters and shows what it would set before it is taken over", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.click('.clause[data-section="art"]');
  await until(page, () => document.querySelectorAll(".pattern").length > 10);
  let link = "";
  for (let i = 0; i < 4; i++) {
    await page.evaluate((i) => { const all = document.querySelectorAll(".pattern"); all[all.length - 1 - i].click(); }, i);
    link = await linkOf(page);
    assert.ok(link.length <= 2000, `${link.length} characters`);
  }
  await ready(page);
  const sent = await pattern(page);
  await page.close();
  const { page: fresh } = await openReady(session, await hosted());
  await fresh.evaluate(() => localStorage.clear());
  await fresh.goto("about:blank");
  await fresh.goto(link);
  await until(fresh, () => document.querySelector("dialog table.sides, dialog p"));
  await until(fresh, () => /Take it over|same settings/.test(document.querySelector("dialog").textContent));
  if (await fresh.evaluate(() => /Take it over/.test(document.querySelector("dialog").textContent))) await press(fresh, "Take it over", "dialog");
  else await press(fresh, "Close", "dialog");
  await until(fresh, (sent) => document.querySelector('.clause[data-section="art"]').textContent === sent, sent);
  assert.equal(new URL(fresh.url()).hash, "");
});

inBrowsers("hostile links are refused in words with nothing changed", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const before = await page.$eval("#sentence", (one) => one.textContent);
  const pack = (text) => deflateRawSync(Buffer.from(text)).toString("base64url");
  for (const link of [
    `#${"a".repeat(1_000_000)}`,
    "#sl1.%%%not-base64",
    `#sl1.${deflateRawSync(Buffer.alloc(40_000_000)).toString("base64url").slice(0, 60_000)}`,
    "#sl99.AAAA",
    `#sl1.${pack('{"bead":{"widthMM":1e999}}')}`,
    `#sl1.${pack('{"bead":{"widthMM":"NaN"}}')}`,
    `#sl1.${pack('{"art":{"generator":"<img src=x onerror=alert(1)>"}}')}`,
    "#<img src=x onerror=alert(1)>",
  ]) {
    await page.evaluate((link) => {
      for (const one of document.querySelectorAll(".finding button")) if (one.textContent === "Understood") one.click();
      const paste = new Event("paste", { bubbles: true, cancelable: true });
      Object.defineProperty(paste, "clipboardData", { value: { items: [], files: [], getData: () => link } });
      document.body.dispatchEvent(paste);
    }, link);
    await until(page, () => document.querySelector('.finding[data-level="stop"]') || /not a|clipboard/.test(document.getElementById("toast").textContent));
    assert.equal(await page.$eval("#sentence", (one) => one.textContent), before, link.slice(0, 60));
    assert.equal(await page.$$eval("img, dialog[open]", (all) => all.length), 0, "no node comes of it");
  }
});
