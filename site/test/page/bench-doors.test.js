// What comes in: pasted, picked and dropped things, the next file of a batch,
// and the way back from every one of them.

import assert from "node:assert/strict";
import { choose, drop, dropPiece, hosted, inBrowsers, openReady, ready, relaid, testdata, until } from "../harness.js";
import { closeCard, openCard, png, sentence, setField } from "../bench-steps.js";

const drawing = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40"><rect width="20" height="40" fill="#123456"/><rect x="20" width="20" height="40" fill="#abcdef"/></svg>';

/** Puts text on the clipboard by typing and copying it, then pastes it on the page. */
async function pasteText(page, text) {
  await page.evaluate((text) => {
    const field = document.createElement("textarea");
    field.id = "typed";
    field.value = text;
    document.querySelector("main").append(field);
    field.focus();
    field.select();
  }, text);
  const press = async (key) => {
    await page.keyboard.down("Control");
    await page.keyboard.press(key);
    await page.keyboard.up("Control");
  };
  await press("c");
  await page.evaluate(() => { document.getElementById("typed").remove(); document.getElementById("verdict").focus(); });
  await press("v");
}

inBrowsers("an SVG pasted as text becomes the pattern", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted());
  await relaid(page, () => pasteText(page, drawing));
  assert.match(await sentence(page), /the shapes of pasted\.svg/);
  assert.match(await page.$eval("#face-words", (one) => one.textContent), /2 kinds of zone/);
  assert.deepEqual(troubles, []);
});

inBrowsers("a dropped drawing is taken as what it holds, and as what was chosen where it holds both", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  for (const [name, svg, kind] of [
    ["waves.svg", await testdata("drawings/harbour-waves.svg"), "lines"],
    ["lighthouse.svg", await testdata("drawings/lighthouse-zones.svg"), "shapes"],
    ["lines again.svg", await testdata("drawings/harbour-waves.svg"), "lines"],
    ["outlined.svg", drawing.replaceAll("<rect ", '<rect stroke="#000000" '), "lines"],
  ]) {
    await relaid(page, () => drop(page, name, svg, "image/svg+xml"));
    assert.ok((await sentence(page)).includes(`the ${kind} of ${name}`), `${name}: ${await sentence(page)}`);
  }
});

inBrowsers("text that is nothing of ours is refused with a sentence", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await pasteText(page, "reading day at the harbour");
  await until(page, () => /the pasted text.* is not a sliced file/.test(document.getElementById("toast").textContent));
});

inBrowsers("a pasted file is opened like a dropped one", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const source = (await testdata("sliced/shelf-tag.gcode")).toString("base64");
  await relaid(page, () => page.evaluate((source) => {
    const data = new DataTransfer();
    data.items.add(new File([Uint8Array.from(atob(source), (c) => c.charCodeAt(0))], "tag.gcode"));
    document.body.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
  }, source));
  assert.match(await sentence(page), /under tag\.gcode/);
  await ready(page);
}, { only: ["chrome"] }); // the other browser empties a made-up clipboard

inBrowsers("a picture becomes zones by its tones", async ({ session }) => {
  const { page, troubles } = await openReady(session, await hosted());
  // Four bars and four levels: each bar is a kind of its own.
  await relaid(page, () => drop(page, "bars.png", png(88, 88, (x) => [30, 100, 170, 240][Math.floor(x / 22)]), "image/png"));
  assert.match(await sentence(page), /a picture in tones/);
  const words = await page.$eval("#face-words", (one) => one.textContent);
  assert.match(words, /4 kinds of zones: level 1 .*level 4/, words);
  assert.deepEqual(troubles, []);
  await relaid(page, () => page.click("#undo"));
  assert.match(await sentence(page), /tumbling blocks/);
});

inBrowsers("a picture that is none is refused in words and changes nothing", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const before = await sentence(page);
  await drop(page, "torn.png", Buffer.from([0x89, 0x50, 0x4e, 0x47, 1, 2, 3]), "image/png");
  await until(page, () => /torn\.png.*cannot be read as a picture/.test(document.getElementById("verdict").textContent));
  assert.equal(await sentence(page), before);
});

inBrowsers("opening a file, a preset and starting afresh are steps that can be taken back and forth", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  const steps = [await sentence(page)];
  const step = async (work) => {
    await relaid(page, work);
    assert.notEqual(await sentence(page), steps.at(-1));
    steps.push(await sentence(page));
  };
  await step(async () => dropPiece(page, "tag.gcode", await testdata("sliced/shelf-tag.gcode")));
  await openCard(page, "machine");
  await step(() => page.evaluate(() => {
    const select = document.getElementById("machine-preset");
    select.selectedIndex = 1;
    select.dispatchEvent(new Event("change", { bubbles: true }));
  }));
  await closeCard(page);
  await openCard(page, "placement");
  await step(() => setField(page, "placement.turnDeg", "30"));
  await closeCard(page);
  await step(() => choose(page, "Start afresh"));
  for (const [button, order] of [["undo", steps.slice(0, -1).reverse()], ["redo", steps.slice(1)]]) {
    for (const wanted of order) {
      await page.click(`#${button}`);
      await until(page, (wanted) => document.getElementById("sentence").textContent.replace(/\s+/g, " ").trim() === wanted, wanted);
    }
  }
  await ready(page);
});

inBrowsers("the next file goes through the same job", async ({ session, name }) => {
  const { page } = await openReady(session, await hosted());
  await openCard(page, "placement");
  await relaid(page, () => setField(page, "placement.turnDeg", "20"));
  await closeCard(page);
  const source = await testdata("sliced/shelf-tag.gcode");
  await relaid(page, async () => {
    if (name === "chrome") {
      const [chooser] = await Promise.all([page.waitForFileChooser(), choose(page, "Next file, same job")]);
      await chooser.accept([new URL("../../../testdata/sliced/shelf-tag.gcode", import.meta.url).pathname]);
    } else {
      await drop(page, "shelf-tag.gcode", source);
    }
  });
  await ready(page);
  assert.match(await sentence(page), /tumbling blocks, 10 mm, centred, turned 20°, under shelf-tag\.gcode/);
});
