// Using the page: keyboard only, undo, small screens, readers of the page.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { downloaded, hosted, inBrowsers, openReady, ready, until } from "../harness.js";

const axe = await readFile(fileURLToPath(new URL("../node_modules/axe-core/axe.min.js", import.meta.url)), "utf8");

async function violations(page) {
  return page.evaluate(async () => (await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }))
    .violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`));
}

for (const theme of ["light", "dark", "forced"]) {
  inBrowsers(`no state breaks a rule of WCAG 2.2 AA that can be tested by machine, ${theme} colours`, async ({ session }) => {
    const { page } = await openReady(session, await hosted());
    const tools = await page.createCDPSession();
    await tools.send("Emulation.setEmulatedMedia", { features: [
      { name: "prefers-color-scheme", value: theme === "dark" ? "dark" : "light" }, { name: "forced-colors", value: theme === "forced" ? "active" : "none" }] });
    await page.evaluate(axe);
    assert.deepEqual(await violations(page), [], "laid");
    for (const section of ["art", "placement", "piece", "keep", "bead", "prime", "machine"]) {
      await page.evaluate((section) => document.querySelector(`.clause[data-section="${section}"]`).click(), section);
      await until(page, (section) => document.querySelector(`.card[data-section="${section}"]`), section);
      assert.deepEqual(await violations(page), [], section);
      await page.keyboard.press("Escape");
    }
    for (const look of ["lines", "both"]) {
      await page.evaluate((look) => document.querySelector(`input[name="look"][value="${look}"]`).click(), look);
      assert.deepEqual(await violations(page), [], look);
    }
  }, { only: ["chrome"] });
}

inBrowsers("fifty edits are undone to the first state and redone to the last", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.click('.clause[data-section="bead"]');
  await until(page, () => document.querySelector('[data-path="bead.widthMM"] input'));
  const value = () => page.$eval('[data-path="bead.widthMM"] input', (one) => one.value);
  const first = await value();
  await page.evaluate(() => {
    const input = document.querySelector('[data-path="bead.widthMM"] input');
    for (let i = 0; i < 50; i++) {
      input.value = (0.4 + i * 0.002).toFixed(3);
      input.dispatchEvent(new Event("change", { bubbles: true }));
    }
  });
  const last = await value();
  assert.notEqual(last, first);
  await page.evaluate(() => { for (let i = 0; i < 50; i++) document.getElementById("undo").click(); });
  await until(page, (first) => document.querySelector('[data-path="bead.widthMM"] input').value === first, first);
  await page.evaluate(() => { for (let i = 0; i < 50; i++) document.getElementById("redo").click(); });
  await until(page, (last) => document.querySelector('[data-path="bead.widthMM"] input').value === last, last);
  await ready(page);
});

inBrowsers("at 320 by 256 pixels nothing scrolls sideways and every target has 24 pixels", async ({ session }) => {
  const { page } = await openReady(session, await hosted(), { width: 320, height: 256 });
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= 320), "no sideways scroll");
  const small = await page.evaluate(() => [...document.querySelectorAll("button, select, input:not([type=radio]):not([type=checkbox])")]
    .filter((one) => one.offsetParent && one.getClientRects().length)
    .map((one) => ({ box: one.getBoundingClientRect(), words: one.textContent || one.getAttribute("aria-label") || one.type }))
    .filter(({ box }) => box.width < 24 || box.height < 24).map(({ box, words }) => `${words}: ${box.width} x ${box.height}`));
  assert.deepEqual(small, []);
});

inBrowsers("with reduced motion nothing moves by itself", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const tools = await page.createCDPSession();
  await tools.send("Emulation.setEmulatedMedia", { features: [{ name: "prefers-reduced-motion", value: "reduce" }] });
  assert.deepEqual(await page.evaluate(() => document.getAnimations().map((one) => one.animationName ?? one.transitionProperty)), []);
}, { only: ["chrome"] });

inBrowsers("the whole job is done by keyboard, with the focus always to be seen", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const tabTo = async (check) => {
    for (let i = 0; i < 150; i++) {
      await page.keyboard.press("Tab");
      const at = await page.evaluate((check) => {
        const one = document.activeElement;
        const { outlineStyle, boxShadow } = getComputedStyle(one);
        return { here: one.matches(check), seen: one === document.body || outlineStyle !== "none" || boxShadow !== "none" || one.matches("input, canvas, summary"), html: one.outerHTML.slice(0, 100) };
      }, check);
      assert.ok(at.seen, `focus cannot be seen on ${at.html}`);
      if (at.here) return;
    }
    assert.fail(`Tab does not come to ${check}`);
  };
  await tabTo('.clause[data-section="bead"]');
  await page.keyboard.press("Enter");
  await until(page, () => document.activeElement.matches(".card input, .card select, .card button"));
  await tabTo('[data-path="bead.widthMM"] input');
  const before = await page.evaluate(() => document.activeElement.value);
  await page.keyboard.press("ArrowUp");
  await page.keyboard.press("ArrowUp");
  assert.notEqual(await page.evaluate(() => document.activeElement.value), before);
  await page.keyboard.press("Escape");
  await until(page, () => !document.querySelector(".card"));
  await ready(page);
  await tabTo("#save");
  await page.keyboard.press("Enter");
  assert.ok((await downloaded(session)).bytes.length > 1000);
});
