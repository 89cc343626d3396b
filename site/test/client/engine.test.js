// The engine's client beside its worker: what fails, is cancelled or asks for
// more leaves a state from which the next call works.

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, afterEach, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { endThreads, loaded, threads } from "./engine-in-node.js";
import { draw } from "../draw.js";
import { writeGiant } from "../giant.js";
import { withLittleMemory } from "../small-memory.js";
import { Engine, EngineError } from "../../js/engine.js";

const long = process.env.SHEENLAY_LONG === "1";
const sliced = (name) => ({ name, path: fileURLToPath(new URL(`../../../testdata/sliced/${name}`, import.meta.url)) });
const job = (more = {}) => ({ sheenlay: 1, ...more });
const wholeEngine = loaded.wasm;
let home;

before(async () => { home = await mkdtemp(join(tmpdir(), "sheenlay-client-")); });
afterEach(async () => {
  loaded.wasm = wholeEngine;
  await endThreads();
});
after(() => rm(home, { recursive: true, force: true }));

/** A file of two dozen fine layers. */
async function tall() {
  const file = { name: "tall.gcode", path: join(home, "tall.gcode") };
  await writeGiant(file.path, 12_000_000);
  return file;
}

/** The bytes of a finished file. */
const bytesOf = async ({ blob }) => Buffer.from(await blob.arrayBuffer());

/** Makes the engine start another worker. */
async function nextWorker(engine) {
  const before = threads.length;
  threads.at(-1).onerror({ message: "it fell over" });
  await engine.hello();
  assert.ok(threads.length > before);
}

const codeOf = (promise) => promise.then(() => "", (error) => error.finding?.code ?? error.name);

test("a job for more layers than were read at first reads on by itself", async () => {
  const engine = new Engine();
  const piece = await engine.openPiece(await tall());
  assert.ok(piece.layersKnown < 11, `${piece.layersKnown} layers are known at first`);
  const report = await engine.lay(job({ layers: { count: 11 } }));
  assert.equal(report.findings.find(({ code }) => code.startsWith("piece-")), undefined);
  assert.ok(report.ok, report.sentence);
  const few = await engine.lay(job());
  assert.ok(few.ok, "and the usual job after it");
});

test("more layers than the file has are refused in words", async () => {
  const engine = new Engine();
  await engine.openPiece(sliced("lamp-panel.gcode"));
  const report = await engine.lay(job({ layers: { count: 9 } }));
  assert.equal(report.ok, false);
  assert.ok(report.findings.some(({ code, remedy }) => code === "piece-few-layers" && remedy));
});

test("memory that runs out is said in words, and the same call works with enough of it", async () => {
  loaded.wasm = withLittleMemory(wholeEngine, 24);
  const engine = new Engine();
  await engine.openPiece(sliced("lamp-panel.gcode"));
  const report = await engine.lay(job());
  const picture = { kind: "lay", maxPx: 8000 };
  const error = await engine.view(picture).then(() => assert.fail("there was memory enough"), (reason) => reason);
  assert.ok(error instanceof EngineError);
  assert.equal(error.finding.code, "engine-memory");
  assert.match(`${error.finding.text} ${error.finding.remedy}`, /ran out of memory.*still here.*try again/is);
  loaded.wasm = wholeEngine;
  assert.ok((await engine.view(picture)).width > 1000, "the piece is held and laid again for it");
  assert.deepEqual((await engine.lay(job())).figures, report.figures);
});

test("an engine that ends without a word can be cancelled, and the next call starts another", async () => {
  const engine = new Engine();
  await engine.openPiece(sliced("shelf-tag.gcode"));
  const laying = codeOf(engine.lay(job()));
  await threads.at(-1).thread.terminate();
  engine.cancel();
  assert.equal(await laying, "AbortError");
  assert.ok((await engine.lay(job())).ok);
});

test("an error event of the worker fails every call that waits, and no later one", async () => {
  const engine = new Engine();
  await engine.openPiece(sliced("shelf-tag.gcode"));
  const waiting = [engine.lay(job()), engine.hello(), engine.thumb({ generator: "tumbling-blocks", params: {}, width: 32, height: 32 })].map(codeOf);
  await new Promise((wake) => setTimeout(wake, 1));
  threads.at(-1).onerror({ message: "it fell over" });
  assert.deepEqual(await Promise.all(waiting), ["engine-stopped", "engine-stopped", "engine-stopped"]);
  assert.ok((await engine.lay(job())).ok);
});

test("an engine that does not load fails in words, and loads when it is there again", async () => {
  loaded.wasm = Buffer.from("no wasm at all");
  const engine = new Engine();
  const error = await engine.hello().catch((reason) => reason);
  assert.equal(error.finding.code, "engine-load");
  loaded.wasm = wholeEngine;
  assert.ok((await engine.hello()).generators.length > 10);
});

test("the fingerprint is that of the native host, and a file that changed meanwhile is not read on", async () => {
  const file = { name: "panel.gcode", path: join(home, "panel.gcode") };
  const bytes = await readFile(sliced("lamp-panel.gcode").path);
  const hex = (data) => createHash("sha256").update(data).digest("hex");
  await writeFile(file.path, bytes);
  const engine = new Engine();
  await engine.openPiece(file);
  const survey = await engine.surveyPiece();
  assert.ok(survey.layers > 3);
  await engine.lay(job());
  const finished = await bytesOf(await engine.save());
  assert.equal(await engine.fingerprint(), hex(hex(bytes)), "SHA-256 of the joined SHA-256s of its slices, of which it has one");
  assert.ok(finished.subarray(-100).equals(bytes.subarray(-100)));
  bytes[bytes.length - 60] ^= 1;
  await writeFile(file.path, bytes);
  await nextWorker(engine); // it opens the file again
  assert.equal(await codeOf(engine.save()), "file-changed");
});

test("what the survey found of the whole file completes the report before, and stays with the piece after a cancel", async () => {
  const engine = new Engine();
  await engine.openPiece(sliced("lamp-panel.gcode"));
  const early = await engine.lay(job());
  assert.equal(early.whole.known, false);
  assert.equal(early.figures.wholeTimeS, undefined);
  const { laid } = await engine.surveyPiece();
  assert.equal(laid.whole.known, true);
  assert.equal(laid.figures.timeS, early.figures.timeS);
  await nextWorker(engine); // it opens the file again, and does not read it to its end
  const late = await engine.lay(job());
  assert.deepEqual(late.whole, laid.whole);
  assert.deepEqual(late.figures, laid.figures);
  const slow = await engine.lay(job({ machine: { accelMMs2: 100 } }));
  assert.equal(slow.whole.again, true);
  const again = await engine.followPiece();
  assert.equal(again.laid.whole.again, false);
  assert.ok(again.timeS > 1.05 * late.figures.oldWholeTimeS, "for the slow machine");
});

test("a file opened while another is surveyed is the one that is surveyed", async () => {
  const engine = new Engine();
  await engine.openPiece(await tall());
  const first = codeOf(engine.surveyPiece());
  await engine.openPiece(sliced("shelf-tag.gcode"));
  const survey = await engine.surveyPiece();
  assert.match(await first, /^(piece-outdated)?$/);
  assert.equal(survey.bytes, (await readFile(sliced("shelf-tag.gcode").path)).length);
  assert.ok((await engine.lay(job())).ok);
});

test("progress of one call never goes back", async () => {
  const engine = new Engine();
  await engine.openPiece(await tall());
  const shares = [];
  await engine.lay(job(), { onProgress: ({ share }) => shares.push(share) });
  assert.ok(shares.length > 3);
  assert.deepEqual(shares, [...shares].sort((a, b) => a - b));
});

test("the link of every built-in pattern is short, gives the same settings elsewhere, and they the same file", async () => {
  const [here, there] = [new Engine(), new Engine()];
  const { generators } = await here.hello();
  assert.ok(generators.length >= 25);
  const seen = new Set();
  for (const [index, { id, params }] of generators.entries()) {
    const own = Object.fromEntries(params.filter(({ key }) => key === "sizeMM").map(({ key, default: value, step }) => [key, value + step]));
    const sent = job({ art: { generator: id, params: own }, bead: { speedMMs: 17 }, placement: { turnDeg: 12 } });
    const checked = await here.jobCheck(sent);
    assert.ok(checked.job, `${id}: ${checked.findings.map(({ text }) => text)}`);
    const { text } = await here.linkEncode(sent);
    assert.ok(text.length <= 1900, `${id}: ${text.length} characters`);
    seen.add(text);
    const got = await there.linkDecode(text);
    // The text may differ: all settings of a decoded job are stated, those of the one sent are not.
    assert.deepEqual((await there.linkDecode((await there.linkEncode(got.job)).text)).job, got.job, id);
    if (index % (long ? 1 : 12) > 0) continue;
    const files = [];
    for (const [engine, asked] of [[here, sent], [there, got.job]]) {
      await engine.openPiece(sliced("shelf-tag.gcode"));
      const report = await engine.lay(asked);
      files.push(report.ok ? await bytesOf(await engine.save()) : Buffer.from(report.sentence));
    }
    assert.ok(files[0].equals(files[1]), id);
  }
  assert.equal(seen.size, generators.length, "each its own");
});

const CANCELS = long ? 200 : 20;

for (const [how, shares] of [["given up in its worker", true], ["ended with its worker, where no memory is shared", false]]) {
  test(`cancelled at ${CANCELS} random instants and ${how}, the engine is as it was and makes the same file`, async (t) => {
    globalThis.crossOriginIsolated = shares;
    const seed = 20260;
    const random = draw(seed);
    t.diagnostic(`seed ${seed}`);
    const engine = new Engine();
    const file = sliced("lamp-panel.gcode");
    await engine.openPiece(file);
    await engine.surveyPiece();
    const from = performance.now();
    await engine.lay(job());
    const span = performance.now() - from;
    const wanted = await bytesOf(await engine.save());
    let cancelled = 0;
    const back = [];
    for (let i = 0; i < CANCELS; i++) {
      const stage = i % 4;
      const stopping = new AbortController();
      const { signal } = stopping;
      const call = [
        () => engine.lay(job({ placement: { turnDeg: i } }), { signal }),
        () => engine.openPiece(file, { signal }),
        () => engine.view({ kind: "lay", maxPx: 1200 }, { signal }),
        () => engine.save({ signal }),
      ][stage]();
      const ended = codeOf(call);
      await new Promise((wake) => setTimeout(wake, random() * span * [0.8, 0.05, 0.3, 0.05][stage]));
      const from = performance.now();
      stopping.abort();
      const code = await ended;
      // After a run or an opening that was cut short there is nothing to show or save.
      assert.match(code, /^(AbortError|save-not-laid|nothing-to-save|view-nothing|no-.*)?$/, `cancel ${i}, seed ${seed}`);
      if (code === "AbortError") {
        cancelled += 1;
        await engine.jobCheck(job());
        back.push(performance.now() - from);
      }
      if (stage === 0 && code === "AbortError") assert.equal(await codeOf(engine.save()), "save-not-laid", `cancel ${i}, seed ${seed}`);
      if (stage < 2) {
        await engine.lay(job());
        assert.ok((await bytesOf(await engine.save())).equals(wanted), `cancel ${i}, seed ${seed}`);
      }
    }
    back.sort((a, b) => a - b);
    t.diagnostic(`${cancelled} were cut short; the next answer came after ${back[back.length >> 1].toFixed(0)} ms, at most ${back.at(-1).toFixed(0)} ms; ${threads.length} workers`);
    assert.ok(cancelled >= CANCELS / 10, `${cancelled} of ${CANCELS} were cut short`);
  });
}
