// The lines in their order: scrubbed, played, panned and zoomed without
// waiting for the engine.

import assert from "node:assert/strict";
import { dropPiece, hosted, inBrowsers, openReady, until } from "../harness.js";
import { look, plate } from "../bench-steps.js";

const words = (page) => page.$eval(".scrub-words", (one) => one.textContent);
const scrubTo = (page, share) => page.$eval(".scrub", (one, share) => {
  one.value = String(share);
  one.dispatchEvent(new Event("input", { bubbles: true }));
}, share);

inBrowsers("scrubbing tells length, time, speed and flow at each place, and both grow along the line", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await look(page, "lines");
  const told = [];
  for (const share of [0.25, 0.5, 0.75]) {
    await scrubTo(page, share);
    await until(page, (share) => document.querySelector(".scrub-words").dataset.share === String(share), share);
    const found = /^([\d.]+) m · (\d+):(\d\d) · ([\d.]+) mm\/s · ([\d.]+) mm³\/s · line (\d+) · at [\d.]+, [\d.]+$/.exec(await words(page));
    assert.ok(found, await words(page));
    const [length, minutes, seconds, speed, flow, line] = found.slice(1).map(Number);
    assert.ok(speed > 0 && flow > 0, `${speed} mm/s, ${flow} mm³/s`);
    told.push({ length, time: 60 * minutes + seconds, line });
  }
  for (const key of ["length", "time", "line"]) assert.ok(told[0][key] < told[1][key] && told[1][key] < told[2][key], `${key}: ${told.map((one) => one[key])}`);
});

inBrowsers("playing moves along the line until it is paused", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await look(page, "lines");
  const at = () => page.$eval(".scrub", (one) => Number(one.value));
  const button = () => page.evaluate(() => [...document.querySelectorAll(".looks button")].find((one) => /^(Play|Pause)$/.test(one.textContent) && one.checkVisibility()).click());
  await button();
  await until(page, () => { const value = Number(document.querySelector(".scrub").value); return value > 0.01 && value < 0.9; });
  const first = await at();
  await until(page, (first) => Number(document.querySelector(".scrub").value) > first, first);
  await button();
  await new Promise((wake) => setTimeout(wake, 300));
  const held = await at();
  await new Promise((wake) => setTimeout(wake, 500));
  assert.equal(await at(), held, "paused");
  await page.focus("#bench");
  await page.keyboard.press("ArrowRight");
  assert.ok(await at() > held, "an arrow key goes on by hand");
});

inBrowsers("a plate with more than 80 m of bead is panned and zoomed at the pace of the screen", async ({ session, t }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "plate.gcode", plate(200));
  const length = await page.evaluate(() => Number(/([\d.]+) m,/.exec(document.querySelector(".verdict-line").textContent)[1]));
  assert.ok(length > 80, `${length} m of bead`);
  await look(page, "lines");
  await until(page, () => / m · /.test(document.querySelector(".scrub-words").textContent));
  // On a busy machine gaps are others' doing too: the pace is that of a page that
  // does nothing, measured just before, and one good round of many is enough.
  const rounds = [];
  const isFluent = ({ quiet, moving }) => moving < 1.25 * Math.max(1000 / 60, quiet);
  while (rounds.length < 8 && !rounds.some(isFluent)) rounds.push(await page.evaluate(async () => {
    const bench = document.getElementById("bench");
    const box = bench.getBoundingClientRect();
    const at = { clientX: box.left + box.width / 2, clientY: box.top + box.height / 2, bubbles: true, cancelable: true };
    const medianGap = async (frames, act) => {
      const gaps = [];
      let last = 0;
      for (let i = 0; i < frames; i++) {
        const now = await new Promise(requestAnimationFrame);
        if (last) gaps.push(now - last);
        last = now;
        act(i, frames);
      }
      return gaps.sort((a, b) => a - b)[Math.floor(gaps.length / 2)];
    };
    const quiet = await medianGap(30, () => {});
    bench.setPointerCapture = () => {};
    bench.dispatchEvent(new PointerEvent("pointerdown", { ...at, pointerId: 1, button: 0 }));
    const moving = await medianGap(90, (i, frames) => {
      if (i < frames / 2) bench.dispatchEvent(new PointerEvent("pointermove", { ...at, clientX: at.clientX + 80 * Math.sin(i / 8), clientY: at.clientY + 60 * Math.cos(i / 8), pointerId: 1 }));
      else bench.dispatchEvent(new WheelEvent("wheel", { ...at, deltaY: i % 30 < 15 ? -120 : 120 }));
      if (i === Math.floor(frames / 2)) bench.dispatchEvent(new PointerEvent("pointerup", { ...at, pointerId: 1, button: 0 }));
    });
    return { quiet, moving };
  }));
  const told = rounds.map(({ quiet, moving }) => `${moving.toFixed(1)} (at rest ${quiet.toFixed(1)})`).join(", ");
  t.diagnostic(`${length} m of bead: a frame every ${told} ms, median of each round`);
  assert.ok(rounds.some(isFluent), `a frame every ${told} ms`);
});
