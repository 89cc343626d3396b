// What is taken in hand on the face: the lamp, the window, the pattern, the
// lay of a zone, a line of the old layer; with mouse, touch and tilt.

import assert from "node:assert/strict";
import { hosted, inBrowsers, openReady, ready, relaid, until } from "../harness.js";
import { closeCard, look, openCard, sentence } from "../bench-steps.js";

/** Middle and size of the bench, and pixels of the page for a millimetre. */
async function benchOf(page) {
  await page.evaluate(() => document.getElementById("bench").scrollIntoView({ block: "center" }));
  return page.evaluate(() => {
    const box = document.getElementById("bench").getBoundingClientRect();
    const rule = document.querySelector(".scale-rule").getAttribute("d").match(/h([\d.]+)m0/)[1];
    const mm = Number(document.querySelector(".scale-text").textContent.match(/[\d.]+/)[0]);
    return { x: box.left + box.width / 2, y: box.top + box.height / 2, width: box.width, height: box.height, scale: Number(rule) / mm };
  });
}

const lamp = (page) => page.evaluate(() => [...document.querySelectorAll('.look-options [aria-label^="Lamp"]')].map((one) => Number(one.value)));

async function dragBy(page, from, by, { steps = 6 } = {}) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x + by.x, from.y + by.y, { steps });
  await page.mouse.up();
}

/**
 * Finger moves by the browser's own input: each step is a list of places. The
 * fingers are lifted one after another, the later ones moved a little before.
 */
async function touch(page, steps) {
  const fingers = [];
  for (const [x, y] of steps[0]) fingers.push(await page.touchscreen.touchStart(x, y));
  for (const step of steps.slice(1)) for (const [i, [x, y]] of step.entries()) await fingers[i].move(x, y);
  for (const [i, finger] of fingers.entries()) {
    if (i > 0) await finger.move(steps.at(-1)[i][0] + 2, steps.at(-1)[i][1]);
    await finger.end();
  }
}

inBrowsers("the lamp follows the mouse, the arrow keys and its two fields", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const bench = await benchOf(page);
  await dragBy(page, bench, { x: bench.height * 0.3, y: 0 });
  const [direction, height] = await lamp(page);
  assert.ok(direction <= 1 || direction >= 359, `the lamp stands to the right: ${direction}°`);
  assert.ok(height < 70, `and low: ${height}°`);
  await page.focus("#bench");
  await page.keyboard.press("ArrowUp");
  assert.notDeepEqual(await lamp(page), [direction, height]);
  await page.focus('[aria-label^="Lamp direction"]');
  await page.keyboard.press("ArrowUp");
  assert.match(await page.$eval("#bench", (one) => one.getAttribute("aria-label")), /lamp from the/);
});

inBrowsers("a finger drags the lamp, two fingers pan and zoom", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted(), { width: 390, height: 844 });
  const bench = await benchOf(page);
  const before = await lamp(page);
  await touch(page, [[[bench.x, bench.y]], [[bench.x - 30, bench.y + 40]], [[bench.x - 60, bench.y + 60]]]);
  await until(page, (before) => String([...document.querySelectorAll('.look-options [aria-label^="Lamp"]')].map((one) => Number(one.value))) !== before, String(before));
  const [direction] = await lamp(page);
  assert.ok(direction > 180 && direction < 270, `lower left: ${direction}°`);
  const held = await lamp(page);
  await touch(page, [20, 40, 60, 80].map((off) => [[bench.x - off, bench.y], [bench.x + off, bench.y]]));
  await until(page, (scale) => {
    const wide = Number(document.querySelector(".scale-rule").getAttribute("d").match(/h([\d.]+)m0/)[1]);
    return wide / Number(document.querySelector(".scale-text").textContent.match(/[\d.]+/)[0]) > scale * 2.5;
  }, bench.scale);
  assert.deepEqual(await lamp(page), held, "a pinch leaves the lamp alone");
  await look(page, "lines");
  const outline = () => page.$eval(".bench-over .thin", (one) => one.getAttribute("d"));
  await until(page, () => document.querySelector(".bench-over .thin"));
  const stood = await outline();
  await touch(page, [[[bench.x, bench.y]], [[bench.x + 30, bench.y]], [[bench.x + 60, bench.y + 10]]]);
  await until(page, (stood) => document.querySelector(".bench-over .thin").getAttribute("d") !== stood, stood);
  assert.equal(await page.$eval("#bench", (one) => one.dataset.busy), undefined, "no finger is left on it");
  assert.deepEqual(troubles, []);
});

inBrowsers("the tilt of the device moves the lamp until it is switched off", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.evaluateOnNewDocument(() => Object.defineProperty(Navigator.prototype, "maxTouchPoints", { get: () => 5 }));
  await page.reload({ waitUntil: "load" });
  await ready(page);
  const tilt = (beta, gamma) => page.evaluate((beta, gamma) => { dispatchEvent(new DeviceOrientationEvent("deviceorientation", { beta, gamma })); }, beta, gamma);
  await page.evaluate(() => [...document.querySelectorAll(".looks button")].find((one) => one.textContent === "Tilt").click());
  await until(page, () => [...document.querySelectorAll(".looks button")].find((one) => one.textContent === "Tilt").getAttribute("aria-pressed") === "true");
  await tilt(35, 40); // held as one reads, tipped to the right
  await until(page, () => document.querySelector('[aria-label^="Lamp direction"]').value === "0");
  assert.deepEqual(await lamp(page), [0, 45]);
  await tilt(75, 0); // tipped back
  await until(page, () => document.querySelector('[aria-label^="Lamp direction"]').value === "90");
  await page.evaluate(() => [...document.querySelectorAll(".looks button")].find((one) => one.textContent === "Tilt").click());
  await tilt(35, -40);
  assert.deepEqual(await lamp(page), [90, 45]);
});

inBrowsers("the pattern is dragged: centre, edges and 15° pull, Alt lets go, the fields say the same", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.evaluate(() => { const box = document.getElementById("below"); if (box.checked) box.click(); });
  await look(page, "both");
  await until(page, () => document.querySelector(".bench-over .frame"));
  const bench = await benchOf(page);
  const half = 45; // the coaster is 90 mm across
  await relaid(page, () => dragBy(page, bench, { x: (half - 1) * bench.scale, y: 3 }));
  assert.match(await sentence(page), /moved by 45, 0 mm/, "the edge and the centre line pull");
  await relaid(page, () => page.click("#undo"));
  assert.match(await sentence(page), /centred/);
  await page.keyboard.down("Alt");
  await relaid(page, () => dragBy(page, bench, { x: (half - 1) * bench.scale, y: 3 }));
  await page.keyboard.up("Alt");
  assert.match(await sentence(page), /moved by 4[34](\.\d)?, -0\.\d mm/, "with Alt nothing pulls");
  await relaid(page, () => page.click("#undo"));
  assert.match(await sentence(page), /centred/);
  const knob = await page.$eval('[data-grip="turn"]', (one) => { const box = one.getBoundingClientRect(); return { x: box.left + box.width / 2, y: box.top + box.height / 2 }; });
  const reach = bench.y - knob.y;
  const turned = (43 * Math.PI) / 180; // two degrees short of 45
  await relaid(page, () => dragBy(page, knob, { x: -reach * Math.sin(turned), y: reach - reach * Math.cos(turned) }));
  assert.match(await sentence(page), /turned 45°/);
  await openCard(page, "placement");
  assert.equal(await page.$eval('[data-path="placement.turnDeg"] input', (one) => one.value), "45");
  await closeCard(page);
  await page.focus("#bench");
  await page.keyboard.press("ArrowRight");
  await until(page, () => /moved by 0\.5, 0 mm/.test(document.getElementById("sentence").textContent));
});

inBrowsers("the lay of a zone is dragged on its dial, is pinned, and is let go again", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const bench = await benchOf(page);
  await page.mouse.click(bench.x - 30, bench.y + 20);
  await until(page, () => document.querySelector(".dial-round .knob"));
  const pinned = () => page.evaluate(() => { document.querySelectorAll(".fold").forEach((one) => { one.open = true; }); return document.getElementById("folds").innerText; });
  const dial = await page.$eval(".dial-round", (one) => { const box = one.getBoundingClientRect(); return { x: box.left + box.width / 2, y: box.top + (box.height * 116) / 130, reach: (box.width * 100) / 232 }; });
  const knob = await page.$eval(".dial-round .knob", (one) => { const box = one.getBoundingClientRect(); return { x: box.left + box.width / 2, y: box.top + box.height / 2 }; });
  const to = (degrees) => ({ x: dial.x + dial.reach * Math.cos((degrees * Math.PI) / 180) - knob.x, y: dial.y - dial.reach * Math.sin((degrees * Math.PI) / 180) - knob.y });
  await relaid(page, () => dragBy(page, knob, to(62))); // two degrees from 60: it snaps
  assert.match(await pinned(), /60°, pinned/);
  await relaid(page, () => page.evaluate(() => [...document.querySelectorAll(".dial button")].find((one) => one.textContent === "Unpin").click()));
  assert.doesNotMatch(await pinned(), /pinned/);
});

inBrowsers("a line of the old layer is told apart by its shape, and corrected by a click with effect", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const legend = () => page.$$eval(".legend", (all) => all.filter((one) => one.offsetParent).flatMap((one) => [...one.children].map((entry) => entry.textContent)));
  const area = () => page.evaluate(() => [...document.querySelectorAll(".figures dt")].find((one) => one.textContent === "Area of the face").nextSibling.textContent);
  await look(page, "both");
  assert.deepEqual(await legend(), ["Wall", "Fill", "Skirt"]);
  const dashes = await page.$$eval(".legend .mark", (all) => all.filter((one) => one.getClientRects().length).map((one) => one.getAttribute("stroke-dasharray") ?? one.getAttribute("d")));
  assert.equal(new Set(dashes).size, 3, "each class has a line of its own shape");
  const before = await area();
  const bench = await benchOf(page);
  // The skirt is a square of 98 mm about the coaster: its right side.
  await page.mouse.click(bench.x + 49 * bench.scale, bench.y);
  await until(page, () => document.querySelector('[aria-label="What this line is"]'));
  assert.equal(await page.$eval('[aria-label="What this line is"]', (one) => one.value), "skirt");
  await relaid(page, () => page.select('[aria-label="What this line is"]', "fill"));
  assert.ok((await legend()).includes("Fill (corrected)"), String(await legend()));
  assert.ok(!(await legend()).includes("Skirt"));
  assert.notEqual(await area(), before, "what is fill belongs to the face");
  await relaid(page, () => page.click("#undo"));
  assert.equal(await area(), before);
});
