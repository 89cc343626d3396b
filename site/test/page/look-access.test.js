// For everybody: no rule of WCAG 2.2 A and AA that can be tested by machine is
// broken in any state, in light, dark and forced colours; the whole job goes by
// keyboard; small windows and large text lose nothing; nothing moves by itself.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { downloaded, drop, hosted, inBrowsers, open, openReady, ready, relaid, save, testdata, until } from "../harness.js";
import { closeCard, openCard, plate, sentence } from "../bench-steps.js";

const axe = await readFile(fileURLToPath(new URL("../node_modules/axe-core/axe.min.js", import.meta.url)), "utf8");

async function assertAccessible(page, state) {
  const found = await page.evaluate(async () => (await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }))
    .violations.map(({ id, nodes }) => `${id}: ${nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`));
  assert.deepEqual(found, [], state);
}

/** Walks through every state of the page and judges each. */
async function judgeStates(session, address) {
  const { page } = await openReady(session, address);
  // Empty: the engine is never answered, as on a slow line.
  const empty = await session.browser.newPage();
  await empty.evaluateOnNewDocument(() => { Worker.prototype.postMessage = () => {}; });
  await empty.goto(address, { waitUntil: "load" });
  await empty.evaluate(axe);
  await assertAccessible(empty, "empty");
  await empty.close();
  await page.bringToFront();
  await page.evaluate(axe);
  await until(page, () => document.querySelectorAll(".fold").length > 5);
  await page.evaluate(() => document.querySelectorAll(".fold").forEach((one) => { one.open = true; }));
  await assertAccessible(page, "loaded");
  for (const section of ["art", "placement", "piece", "keep", "bead", "prime", "machine"]) {
    await openCard(page, section);
    await page.evaluate(() => document.querySelectorAll(".card details").forEach((one) => { one.open = true; }));
    await assertAccessible(page, `the card ${section}`);
    await closeCard(page);
  }
  for (const look of ["lines", "both", "light"]) {
    await page.evaluate((look) => document.querySelector(`input[name="look"][value="${look}"]`).click(), look);
    await assertAccessible(page, look);
  }
  await page.focus("#bench");
  await page.keyboard.press("Enter");
  await until(page, () => document.querySelector(".dial"));
  await assertAccessible(page, "the dial of a zone");
  await page.keyboard.press("Escape");
  await page.evaluate(() => [...document.querySelectorAll("#tools button")].find((one) => one.textContent === "Job").click());
  await assertAccessible(page, "the menu");
  await page.keyboard.press("Escape");
  await save(page, session);
  await until(page, () => !document.querySelector(".verdict-saved").hidden);
  await assertAccessible(page, "done");
  await drop(page, "empty.gcode", Buffer.from("G1 X1\n"));
  await until(page, () => document.querySelector(".verdict-line").textContent.startsWith("That did not work"));
  await assertAccessible(page, "error");
  // Working: a run that is never answered.
  await page.evaluate(() => {
    const send = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, ...rest) { if (message.op !== "lay") send.call(this, message, ...rest); };
  });
  await drop(page, "plate.gcode", plate(30));
  await until(page, () => document.documentElement.dataset.phase === "laying" && !document.querySelector(".bench-work").hidden);
  await assertAccessible(page, "working");
}

for (const theme of ["light", "dark", "forced"]) {
  inBrowsers(`no state breaks a rule of WCAG 2.2 AA that a machine can test, in ${theme} colours`, async ({ session }) => {
    const { page } = await open(session, await hosted());
    const media = { light: "(prefers-color-scheme: light)", dark: "(prefers-color-scheme: dark)", forced: "(forced-colors: active)" }[theme];
    assert.ok(await page.evaluate((media) => matchMedia(media).matches, media), media);
    await judgeStates(session, await hosted());
  }, { settings: themed(theme) });
}

/** A browser with the theme as a person would have set it. */
function themed(theme) {
  return (name) => (name === "firefox"
    ? { preferences: { "layout.css.prefers-color-scheme.content-override": theme === "dark" ? 0 : 1, "ui.useAccessibilityTheme": theme === "forced" ? 1 : 0, "browser.display.document_color_use": theme === "forced" ? 2 : 0 } }
    : { flags: [...(theme === "dark" ? ["--force-dark-mode", "--blink-settings=preferredColorScheme=0"] : []), ...(theme === "forced" ? ["--force-high-contrast"] : [])] });
}

inBrowsers("in dark colours the first frame is dark already", async ({ session }) => {
  const { page } = await open(session, "about:blank");
  await page.evaluateOnNewDocument(() => {
    requestAnimationFrame(() => { globalThis.firstFrame = [document.documentElement, document.body].map((one) => (one ? getComputedStyle(one).backgroundColor : "")); });
  });
  await page.goto(await hosted());
  await until(page, () => globalThis.firstFrame);
  const tones = (await page.evaluate(() => globalThis.firstFrame)).map((one) => one.match(/[\d.]+/g)?.map(Number) ?? []).filter(([, , , alpha = 1]) => alpha > 0);
  assert.ok(tones.some(([red, green, blue]) => Math.max(red, green, blue) < 80), `the ground of the first frame: ${JSON.stringify(tones)}`);
}, { settings: themed("dark") });

inBrowsers("the whole job goes by keyboard: sample, pattern, three values, save; the focus is seen and not covered", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.bringToFront();
  await page.focus(".skip"); // a window that was never used has no focus in one browser
  const tabTo = async (check) => {
    for (let i = 0; i < 200; i++) {
      await page.keyboard.press("Tab");
      const at = await page.evaluate((check) => {
        const one = document.activeElement;
        if (one === document.body) return { here: false, seen: true };
        const marked = one.matches("input") ? one.closest(".number, .look-name, label") ?? one : one;
        const styles = [one, marked].map((each) => getComputedStyle(each));
        const box = one.getBoundingClientRect();
        // Some point of it must be its own, or of what it lies in or holds.
        const free = [0.5, 0.1, 0.9].some((part) => {
          const hit = document.elementFromPoint(Math.min(innerWidth - 1, Math.max(0, box.left + box.width * part)), Math.min(innerHeight - 1, Math.max(0, box.top + box.height / 2)));
          return hit && (hit === one || one.contains(hit) || hit.contains(one) || hit.closest("label") === one.closest("label"));
        });
        return { here: one.matches(check), seen: styles.some(({ outlineStyle, outlineWidth }) => outlineStyle !== "none" && parseFloat(outlineWidth) >= 2) || one.matches("summary"), free, html: one.outerHTML.slice(0, 120) };
      }, check);
      assert.ok(at.seen, `focus cannot be seen on ${at.html}`);
      assert.ok(at.free !== false, `focus is covered on ${at.html}`);
      if (at.here) return;
    }
    assert.fail(`Tab does not come to ${check}`);
  };
  await tabTo('.clause[data-section="piece"]');
  await page.keyboard.press(" ");
  await until(page, () => document.querySelector(".card .sample"));
  await tabTo(".sample:nth-of-type(3)");
  await relaid(page, () => page.keyboard.press("Enter"));
  assert.match(await sentence(page), /shelf-tag\.gcode/);
  await page.keyboard.press("Escape");
  await until(page, () => !document.querySelector(".card"));
  await page.focus(".skip"); // the top of the page
  await tabTo('.clause[data-section="art"]');
  await page.keyboard.press("Enter");
  await until(page, () => document.querySelectorAll(".card .pattern").length > 10);
  await tabTo('.pattern:nth-of-type(2)');
  await page.keyboard.press(" ");
  await until(page, () => !/tumbling/.test(document.getElementById("sentence").textContent));
  await page.keyboard.press("Escape");
  for (const [section, path, keys] of [["placement", "placement.turnDeg", 15], ["bead", "bead.speedMMs", 2], ["keep", "keep.marginMM", 1]]) {
    await page.focus(".skip"); // the top of the page
    await tabTo(`.clause[data-section="${section}"]`);
    await page.keyboard.press("Enter");
    await until(page, () => document.activeElement.closest(".card"));
    const before = await sentence(page);
    if (!(await page.evaluate((path) => document.activeElement.matches(`[data-path="${path}"] input`), path))) await tabTo(`[data-path="${path}"] input`);
    for (let i = 0; i < keys; i++) await page.keyboard.press("ArrowUp");
    await until(page, (before) => document.getElementById("sentence").textContent.replace(/\s+/g, " ").trim() !== before, before);
    await page.keyboard.press("Escape");
    await until(page, () => !document.querySelector(".card"));
  }
  await ready(page);
  await tabTo("#save");
  await page.keyboard.press("Enter");
  assert.match((await downloaded(session)).bytes.toString("latin1"), /sheenlay: new face begins/);
});

for (const [width, height, text] of [[320, 640, 16], [640, 900, 32], [1440, 900, 32]]) {
  inBrowsers(`at ${width} pixels with text of ${text} pixels nothing is lost sideways and targets keep 24 pixels`, async ({ session }) => {
    const { page } = await openReady(session, await hosted(), { width, height });
    assert.equal(await page.evaluate(() => parseFloat(getComputedStyle(document.documentElement).fontSize)), text);
    const sideways = () => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    const small = () => page.evaluate(() => [...document.querySelectorAll('button, select, input, textarea, summary, a')]
      .filter((one) => one.checkVisibility() && !one.closest(".unseen") && !one.matches(".skip, [hidden]"))
      .map((one) => [one, (one.closest("label") ?? one).getBoundingClientRect()])
      .filter(([, box]) => box.width > 0 && (box.width < 24 || box.height < 24))
      .map(([one, box]) => `${one.outerHTML.slice(0, 90)}: ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`));
    assert.equal(await sideways(), 0, "the screen");
    assert.deepEqual(await small(), [], "targets of the screen");
    for (const section of ["art", "placement", "piece", "keep", "bead", "prime", "machine"]) {
      await openCard(page, section);
      assert.equal(await sideways(), 0, `the card ${section}`);
      assert.deepEqual(await small(), [], `targets of the card ${section}`);
      assert.ok(await page.$eval(".card-body", (one) => one.scrollWidth <= one.clientWidth + 1), `${section} fits its card`);
      await closeCard(page);
    }
  }, { settings: (name) => (name === "firefox" ? { preferences: { "font.size.variable.x-western": text } } : { flags: [`--blink-settings=defaultFontSize=${text}`] }) });
}

inBrowsers("with reduced motion nothing moves by itself", async ({ session }) => {
  const { page } = await open(session, await hosted());
  await ready(page);
  assert.ok(await page.evaluate(() => matchMedia("(prefers-reduced-motion: reduce)").matches));
  await drop(page, "tag.gcode", await testdata("sliced/shelf-tag.gcode"));
  for (let i = 0; i < 20; i++) {
    assert.deepEqual(await page.evaluate(() => document.getAnimations().map((one) => one.animationName ?? one.transitionProperty)), []);
    await new Promise((wake) => setTimeout(wake, 50));
  }
  await ready(page);
  await page.evaluate(() => document.querySelectorAll(".fold summary").forEach((one) => one.click()));
  assert.deepEqual(await page.evaluate(() => document.getAnimations().length), 0);
}, { settings: (name) => (name === "firefox" ? { preferences: { "ui.prefersReducedMotion": 1 } } : { flags: ["--force-prefers-reduced-motion"] }) });
