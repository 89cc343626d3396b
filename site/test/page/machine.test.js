// The machine: what is read and what is typed, kept machines as files, and what
// a sliced file says about itself that the new layer makes wrong.

import assert from "node:assert/strict";
import { downloaded, dropPiece, hosted, inBrowsers, openReady, press, ready, relaid, testdata, until } from "../harness.js";
import { closeCard, openCard, sentence, setField } from "../bench-steps.js";

/** The tag, which says at its end for which machine it was sliced, and how long it takes. */
async function tag() {
  const source = await testdata("sliced/shelf-tag.gcode");
  return Buffer.concat([source, Buffer.from(";TIME:1234\n; nozzle_diameter = 0.4\n; bed_shape = 0x0,250x0,250x210,0x210\n")]);
}

const origin = (page, path) => page.$eval(`[data-path="${path}"] .field-from`, (one) => (one.hidden ? "" : one.textContent));

inBrowsers("each field of the machine says whether it was read, typed, or is not in the file", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "tag.gcode", await tag());
  assert.match(await sentence(page), /at 22 mm\/s.*250 × 210 mm bed/, "speed and bed are the file's own");
  await openCard(page, "machine");
  assert.equal(await origin(page, "machine.nozzleMM"), "from the file");
  assert.match(await page.$eval('[data-path="machine.nozzleMM"] .field-from', (one) => one.title), /^The file notes it: “; nozzle_diameter = 0\.4”\.$/);
  assert.equal(await origin(page, "machine.bedShape"), "from the file");
  assert.equal(await origin(page, "machine.bedHeightMM"), "not in the file");
  assert.equal(await origin(page, "machine.maxFlowMM3s"), "", "no file shows that");
  await relaid(page, () => setField(page, "machine.nozzleMM", "0.5"));
  assert.equal(await origin(page, "machine.nozzleMM"), "typed; the file has 0.4 mm");
  await until(page, () => /sliced for a nozzle of 0\.4 mm; the machine has one of 0\.5 mm/.test(document.body.textContent));
  await relaid(page, () => setField(page, "machine.bedShape", "Round"));
  assert.equal(await origin(page, "machine.bedShape"), "typed; the file has Rectangular");
  await until(page, () => /sliced for another bed: its shape/.test(document.body.textContent));
  await closeCard(page);
  await openCard(page, "bead");
  assert.equal(await origin(page, "bead.speedMMs"), "from the file");
  await relaid(page, () => setField(page, "bead.speedMMs", "20"));
  assert.equal(await origin(page, "bead.speedMMs"), "typed; the file has 22 mm/s", "typed at the default stays typed");
});

/** Gives the card's hidden picker a file, as the system's picker does. */
const importFile = (page, name, text) => page.evaluate((name, text) => {
  const picker = document.querySelector('.card input[type="file"]');
  const transfer = new DataTransfer();
  transfer.items.add(new File([text], name, { type: "application/json" }));
  picker.files = transfer.files;
  picker.dispatchEvent(new Event("change", { bubbles: true }));
}, name, text);

const offered = (page) => page.$$eval("#machine-preset option", (all) => all.map((one) => one.textContent));

const choosePreset = (page, name) => page.evaluate((name) => {
  const select = document.getElementById("machine-preset");
  select.selectedIndex = [...select.options].findIndex((one) => one.textContent === name);
  select.dispatchEvent(new Event("change", { bubbles: true }));
}, name);

inBrowsers("a machine is kept, exported, forgotten, imported and used; one that cannot be is refused by field", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "tag.gcode", await tag());
  await openCard(page, "machine");
  await relaid(page, () => setField(page, "machine.bedHeightMM", "199"));
  await page.$eval('[aria-label="Name for this machine"]', (one) => { one.value = "the one by the window"; });
  await press(page, "Keep", ".card");
  await until(page, () => /is kept/.test(document.getElementById("toast").textContent));
  await press(page, "Export all", ".card");
  const { name, bytes } = await downloaded(session);
  assert.match(name, /^machines.*\.json$/);
  const file = JSON.parse(bytes.toString());
  assert.equal(file.schema, "sheenlay-machines/1");
  const [kept] = file.presets;
  assert.deepEqual([kept.name, kept.bedHeightMM, kept.bedWidthMM, kept.nozzleMM, kept.speedMMs], ["the one by the window", 199, 250, 0.4, 22], "typed and read values alike");

  await choosePreset(page, "the one by the window");
  await press(page, "Forget", ".card");
  assert.ok(!(await offered(page)).includes("the one by the window"));
  const before = await sentence(page);
  for (const [field, value, words] of [["maxNozzleC", 500, /Hottest nozzle is 500 °C; permitted is 150 to 350 °C/], ["nozzleMM", -0.4, /Nozzle is -0\.4 mm; permitted is 0\.1 to 2 mm/], ["firstWidthMM", 0.19, /for a 0\.4 mm nozzle, is 0\.19 mm; permitted is 0\.24 to 0\.8 mm/]]) {
    await importFile(page, "bad.json", JSON.stringify({ ...file, presets: [{ ...kept, [field]: value }] }));
    await until(page, (source) => new RegExp(source).test(document.getElementById("toast").textContent), words.source);
    assert.match(await page.$eval("#toast", (one) => one.textContent), /was not taken over.*Nothing has changed/);
    assert.ok(!(await offered(page)).includes("the one by the window"));
  }
  assert.equal(await sentence(page), before);

  await importFile(page, "machines.json", bytes.toString());
  await until(page, () => /1 machine taken over/.test(document.getElementById("toast").textContent));
  await relaid(page, () => setField(page, "machine.bedHeightMM", "250"));
  await relaid(page, () => choosePreset(page, "the one by the window"));
  assert.equal(await page.$eval('[data-path="machine.bedHeightMM"] input', (one) => one.value), "199");
  await ready(page);
});

inBrowsers("what the file says of its time is said to be wrong, with the true difference", async ({ session }) => {
  const { page } = await openReady(session, await hosted());
  await dropPiece(page, "tag.gcode", await tag());
  await until(page, () => /something about total time that holds for the file as it was sliced; the first would have to say [\d.]+ s \([+-][\d.]+ s\)/.test(document.body.textContent));
});
