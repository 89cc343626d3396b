// What is said in each state: after a cancel, when the file cannot be read to
// its end, where nothing may be laid; and that no note hides the verdict.

import assert from "node:assert/strict";
import { cancelled, drop, dropPiece, hosted, inBrowsers, openReady, ready, relaid, testdata, until } from "../harness.js";
import { closeCard, look, openCard, pixelsNear, plate, setField, toneOf } from "../bench-steps.js";

const verdict = (page) => page.$eval(".verdict-line", (one) => one.textContent);

const hasFigures = (page) => until(page, () => document.querySelectorAll("#folds .figures dt").length > 20);

inBrowsers("a cancelled run leaves no old figures beside “Not laid yet”, and is laid on demand", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await hasFigures(page);
  await dropPiece(page, "plate.gcode", plate(120));
  await openCard(page, "bead");
  await cancelled(page, () => setField(page, "bead.widthMM", "0.5"));
  await until(page, () => document.querySelector(".verdict-line").textContent.startsWith("Not laid yet."));
  assert.equal(await page.$$eval("#folds .figures dt", (all) => all.length), 0, "no figures of the job before");
  assert.ok(await page.$eval("#save", (one) => one.disabled));
  await page.evaluate(() => [...document.querySelectorAll("#verdict button")].find((one) => one.textContent === "Lay it now").click());
  await ready(page);
  await hasFigures(page);
});

inBrowsers("a file that cannot be read to its end is said in words, and what is laid stays", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  // The worker answers the survey as it does when a disk or a net drive fails.
  await page.evaluate(() => {
    const send = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (message, ...rest) {
      if (message.op !== "survey") return send.call(this, message, ...rest);
      setTimeout(() => this.dispatchEvent(new MessageEvent("message", { data: { id: message.id, error: { code: "file-unreadable", level: "stop", text: "The file can no longer be read: it was changed, moved or removed.", remedy: "Open the file again; nothing was written." } } })));
    };
  });
  await drop(page, "tag.gcode", await testdata("sliced/shelf-tag.gcode"));
  await until(page, () => /can no longer be read/.test(document.getElementById("verdict").textContent));
  await until(page, () => /That did not work\. tag\.gcode is still here/.test(document.getElementById("verdict").textContent.replace(/\s+/g, " ")));
  await page.evaluate(() => [...document.querySelectorAll("button")].find((one) => one.textContent === "Understood").click());
  await ready(page);
  assert.match(await verdict(page), /^Ready/);
});

inBrowsers("notes of the moment hide neither verdict nor save button, at any size", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  for (const [width, height] of [[1440, 900], [820, 1180], [390, 844], [320, 640]]) {
    await page.setViewport({ width, height });
    await page.evaluate(() => document.querySelector('#toast button[aria-label="Close this note"]')?.click());
    await drop(page, "part.stl", Buffer.from("solid"));
    await until(page, () => !document.getElementById("toast").hidden);
    for (const target of [".verdict-line", "#save", "#sentence"]) {
      const covered = await page.evaluate((target) => {
        document.querySelector(target).scrollIntoView({ block: "center" });
        const [a, b] = [document.getElementById("toast"), document.querySelector(target)].map((one) => one.getBoundingClientRect());
        return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
      }, target);
      assert.equal(covered, false, `${target} at ${width} by ${height}`);
    }
    assert.ok(await page.evaluate(() => { const box = document.getElementById("toast").getBoundingClientRect(); return box.left >= 0 && box.right <= innerWidth; }), `inside the window at ${width}`);
  }
});

inBrowsers("a place that nothing may be laid on stops the job; a mistyped one is explained", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await openCard(page, "machine");
  await setField(page, "machine.keepOut", "60 60 70");
  await until(page, () => /needs four numbers/.test(document.querySelector(".card").textContent));
  await relaid(page, () => setField(page, "machine.keepOut", "100 100 120 120"));
  assert.match(await page.$eval('.finding[data-level="stop"]', (one) => one.textContent), /keep|clip|kept free|not be laid/i);
  assert.ok(await page.$eval("#save", (one) => one.disabled));
  await relaid(page, () => setField(page, "machine.keepOut", ""));
  await ready(page);
});

inBrowsers("joined gaps of drawn lines are drawn and named", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const line = (y) => `<path d="M4 ${y}H16M18 ${y}H36" fill="none" stroke="#000000"/>`;
  await relaid(page, () => drop(page, "gaps.svg", Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">${[10, 20, 30].map(line).join("")}</svg>`), "image/svg+xml"));
  await openCard(page, "art");
  await relaid(page, () => setField(page, "art.joinGaps", true));
  await closeCard(page);
  await look(page, "both");
  await until(page, () => [...document.querySelectorAll(".legend li")].some((one) => one.getClientRects().length && /gaps? joined/.test(one.textContent)));
  const added = await toneOf(page, "added");
  let seen = 0;
  for (let tries = 0; tries < 40 && seen < 20; tries++) {
    await new Promise((wake) => setTimeout(wake, 250));
    seen = await pixelsNear(page, added, 30);
  }
  assert.ok(seen >= 20, `${seen} pixels in the tone of joined gaps`);
});
