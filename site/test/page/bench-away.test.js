// What is taken away: the report, the text before and after, the key of the
// trial plate, pictures and films of the light.

import assert from "node:assert/strict";
import { downloaded, hosted, inBrowsers, openReady, press, relaid, testdata, until } from "../harness.js";
import { closeCard, openCard } from "../bench-steps.js";

inBrowsers("the report is copied as text with figures in words", async ({ session, name }) => {
  const address = await hosted();
  if (name === "chrome") await session.browser.defaultBrowserContext().overridePermissions(new URL(address).origin, ["clipboard-read", "clipboard-sanitized-write"]);
  const { page } = await openReady(session, address);
  await page.waitForSelector("::-p-xpath(//button[text()='Copy the report'])");
  await page.bringToFront();
  // The folds are drawn anew when the whole file has been followed: the button of
  // a moment ago may be gone. A copy needs a click of the person's own.
  for (let tries = 0; ; tries += 1) {
    await page.evaluate(() => document.querySelectorAll(".fold").forEach((one) => { one.open = true; }));
    const button = await page.$("::-p-xpath(//button[text()='Copy the report'])");
    const failed = await button?.click().then(() => null, (error) => error);
    if (failed === null) break;
    assert.ok(tries < 10, `${failed}`);
  }
  await until(page, () => /The report is on the clipboard/.test(document.getElementById("toast").textContent));
  await page.evaluate(() => {
    const field = document.createElement("textarea");
    field.id = "landing";
    document.querySelector("main").append(field);
    field.focus();
  });
  await page.keyboard.down("Control");
  await page.keyboard.press("v");
  await page.keyboard.up("Control");
  const text = await page.$eval("#landing", (one) => one.value);
  assert.match(text, /^Sheenlay report: harbour-tile\.gcode\nReady\. One unbroken line, 1\d\.\d m/);
  assert.match(text, /\nLength of the pattern: 1\d\.\d m\n/);
  assert.match(text, /\nCovered: 9\d(\.\d)? %\n/);
});

inBrowsers("the first layer is shown as text before and after", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await until(page, () => document.querySelectorAll("pre.code").length === 2);
  const texts = await page.$$eval("pre.code", (all) => all.map((one) => one.textContent));
  const source = (await testdata("sliced/harbour-tile.gcode")).toString("latin1");
  assert.equal(texts.length, 2);
  const [before, now] = texts;
  for (const line of before.split("\n").slice(0, 40)) assert.ok(source.includes(line), `“${line}” stands in the source`);
  assert.match(now, /^; sheenlay: new face begins/);
  assert.match(now, /\nG1 .*E/);
});

inBrowsers("the key of the trial plate is shown, saved as a table, and printed by itself", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await page.evaluate(() => { globalThis.printed = []; globalThis.print = () => globalThis.printed.push(document.querySelector(".print-only").innerText); });
  await openCard(page, "art");
  await relaid(page, () => page.evaluate(() => document.querySelector('input[name="art-kind"][value="trial"]').click()));
  await press(page, "Print the key", ".card");
  await until(page, () => document.querySelector("dialog[open] table"));
  const rows = await page.$$eval("dialog[open] tbody tr", (all) => all.length);
  assert.ok(rows >= 4, `${rows} patches`);
  await press(page, "Save as a table", "dialog");
  const { name, bytes } = await downloaded(session);
  assert.match(name, /trial-plate-key\.tsv/);
  assert.ok(bytes.toString().trim().split("\n").length > rows, "one row for each patch, and a head");
  await press(page, "Print the key", ".card");
  await until(page, () => document.querySelector("dialog[open] table"));
  await press(page, "Print", "dialog .dialog-foot");
  await until(page, () => globalThis.printed.length === 1);
  assert.ok(await page.$(".print-only"));
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  assert.equal(await page.$(".print-only"), null, "it is gone after printing");
  await press(page, "Use a patch", ".card");
  await until(page, () => document.querySelector("dialog[open] select"));
  const told = await page.evaluate(() => {
    document.getElementById("patch").selectedIndex = 6;
    const into = document.getElementById("patch-machine");
    into.selectedIndex = into.options.length - 1;
    into.dispatchEvent(new Event("change"));
    document.getElementById("patch-name").value = "after the trial";
    return document.getElementById("patch").selectedOptions[0].textContent;
  });
  const [, wide, flow] = /^B2: line width ([\d.]+) mm, flow ([\d.]+) %$/.exec(told);
  await relaid(page, () => press(page, "Use it", "dialog"));
  await until(page, () => /B2 is taken over.*written into “after the trial”/.test(document.getElementById("toast").textContent));
  const kept = await page.evaluate(() => JSON.parse(localStorage.getItem("sheenlay.1.machines")).find((one) => one.name === "after the trial").machine);
  assert.deepEqual([kept.firstWidthMM, kept.flowPercent], [Number(wide), Number(flow)], "the values of the key stand in the machine");
  assert.equal(kept.name, "after the trial");
  await closeCard(page);
});

inBrowsers("the light is saved as a picture", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await press(page, "Picture", ".looks");
  const { name, bytes } = await downloaded(session);
  assert.match(name, /^harbour-tile-face(\(\d+\))?\.png$/);
  assert.deepEqual([...bytes.subarray(0, 8)], [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  const [width, height] = [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
  const bench = await page.$eval("#bench", (one) => [one.clientWidth, one.clientHeight]);
  assert.deepEqual([width, height], bench);
  const tones = await page.evaluate(async (base64) => {
    const bitmap = await createImageBitmap(new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], { type: "image/png" }));
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
    const context = canvas.getContext("2d");
    context.drawImage(bitmap, 0, 0);
    return new Set(new Uint32Array(context.getImageData(0, 0, bitmap.width, bitmap.height).data.buffer)).size;
  }, bytes.toString("base64"));
  assert.ok(tones > 100, `${tones} tones`);
});

inBrowsers("one turn of the lamp is saved as a short film", async ({ session }) => {
  const { page } = await openReady(session, await hosted(), { width: 800, height: 700 });
  const stood = await page.$eval('[aria-label^="Lamp direction"]', (one) => one.value);
  let done = false;
  const saved = downloaded(session).finally(() => { done = true; });
  // A machine under other work may drop every frame; the page says so then.
  for (let tries = 0; !done && tries < 3; tries++) {
    await press(page, "Film", ".looks");
    const refused = () => page.evaluate(() => /too busy to record/.test(document.getElementById("toast").textContent));
    while (!done && !(await refused())) await new Promise((wake) => setTimeout(wake, 200));
  }
  const { name: file, bytes } = await saved;
  assert.match(file, /^harbour-tile-lamp\.(webm|mp4)$/);
  assert.ok(bytes.length > 20_000, `${bytes.length} bytes`);
  if (file.endsWith("webm")) assert.deepEqual([...bytes.subarray(0, 4)], [0x1a, 0x45, 0xdf, 0xa3], "the head of an EBML file (RFC 8794)");
  assert.equal(await page.$eval('[aria-label^="Lamp direction"]', (one) => one.value), stood, "the lamp stands where it stood");
}, { settings: () => ({ preferences: { "browser.helperApps.neverAsk.saveToDisk": "video/webm,video/mp4" } }) }); // another list of files that are saved unasked
