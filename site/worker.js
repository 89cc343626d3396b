// The engine's worker. The build puts Go's loader (wasm_exec.js) before this
// file, so that the whole worker is one classic script: a saved copy can load
// no second one. The worker reads files by slices and writes them straight
// into the engine's memory; it answers {id, op, args} with {id, result} or
// {id, error}, and {id, progress} before.

"use strict";

const SLICE = 4 << 20; // bytes per read and per fingerprint
const END = 256 << 10; // bytes of a file's end, where its settings may stand
const PART = 512 << 10; // bytes worth a call of the engine where no fingerprint is wanted
const TELL_MS = 60; // between two messages of progress
const MOST_INFLATED = 4 * 2 ** 30; // bytes of a gzip file when unpacked
const READ_PATIENCE = 8000; // ms before a stalled stream is given up for a new one
const STREAMS = 3; // that may stall before the file is read by slices instead, which takes more memory
const IN_MEMORY = 512 << 10; // bytes of a new layer that may stay in memory, see save

let exports = null; // of the engine
let speaking = 0; // id of the call that the engine is answering
let piece = null; // {file, name, size, prints: of its slices, as far as it was read, finished}

const stop = (code, text, remedy, more) => Object.assign(new Error(text), { finding: { code, level: "stop", text, remedy, ...more } });

// ---- the engine's memory --------------------------------------------------

const memory = (at, length) => new Uint8Array(exports.mem.buffer, at, length);

function engineCall(op, args) {
  const request = new TextEncoder().encode(JSON.stringify({ protocol: 1, op, args }));
  memory(exports.room(request.length), request.length).set(request);
  const length = exports.call(request.length);
  const reply = JSON.parse(new TextDecoder().decode(memory(exports.answerAt(), length)));
  const buffers = [];
  for (let i = 0; i < exports.bufferCount(); i++) {
    buffers.push(memory(exports.bufferAt(i), exports.bufferLength(i)).slice().buffer);
  }
  exports.release();
  if (reply.error) throw Object.assign(new Error(reply.error.text), { finding: reply.error });
  return { result: reply.result, buffers };
}

function engineFeed(bytes, reader) {
  memory(exports.room(bytes.length), bytes.length).set(bytes);
  return exports.feed(bytes.length, reader) === 1;
}

globalThis.engineProgress = (stage, share) => postMessage({ id: speaking, progress: { stage, share } });

// ---- reading a file -------------------------------------------------------

const sleep = (ms) => new Promise((wake) => setTimeout(wake, ms));

/** Rejects when the promise takes longer than a stream ever should. */
async function withPatience(promise) {
  let over = false;
  const late = sleep(READ_PATIENCE).then(async () => {
    // After a long call of the engine the answer may be waiting behind this.
    if (!over) await sleep(200);
    throw new Error("stalled");
  });
  late.catch(() => {});
  try {
    return await Promise.race([promise, late]);
  } finally {
    over = true;
  }
}

/** Fills the buffer with `enough` bytes or more from a stream that gives whatever it has at hand. */
async function filled(reader, buffer, want, enough) {
  let have = 0;
  while (have < enough) {
    const { value, done } = await reader.read(new Uint8Array(buffer, have, want - have));
    if (done || !value) throw changed();
    buffer = value.buffer;
    have += value.length;
  }
  return new Uint8Array(buffer, 0, have);
}

/**
 * Yields the blob from its first byte to its last: in slices of SLICE bytes
 * (the last one shorter), or, where `enough` is less, in parts of at least that
 * many. What is yielded is good until the next but one is asked for: while one
 * is worked on, the next is read into the other of two buffers.
 */
async function* slices(blob, enough = SLICE) {
  let at = 0;
  for (let streams = 0; streams < STREAMS; streams++) {
    try {
      for await (const bytes of streamed(at > 0 ? blob.slice(at) : blob, enough)) {
        yield bytes;
        at += bytes.length;
      }
      return;
    } catch (error) {
      if (error instanceof TypeError) break; // a browser without such streams
      if (error.message !== "stalled") throw error;
    }
  }
  for (; at < blob.size; at += SLICE) {
    const bytes = new Uint8Array(await blob.slice(at, at + SLICE).arrayBuffer());
    if (bytes.length !== Math.min(SLICE, blob.size - at)) throw changed();
    yield bytes;
  }
}

async function* streamed(blob, enough) {
  const reader = blob.stream().getReader({ mode: "byob" });
  const length = (from) => Math.min(SLICE, blob.size - from);
  const ahead = (buffer, from) => {
    const reading = withPatience(filled(reader, buffer, length(from), Math.min(enough, length(from))));
    reading.catch(() => {}); // told when it is awaited, or of no use any more
    return reading;
  };
  try {
    let spare = new ArrayBuffer(SLICE);
    let reading = blob.size > 0 ? ahead(new ArrayBuffer(SLICE), 0) : null;
    for (let at = 0; at < blob.size;) {
      const bytes = await reading;
      at += bytes.length;
      if (at < blob.size) reading = ahead(spare, at);
      const { buffer } = bytes;
      yield bytes;
      spare = buffer;
    }
  } finally {
    reader.cancel().catch(() => {});
  }
}

const changed = () => stop("file-changed", "The sliced file changed on disk since it was opened.", "Open the file again; nothing was written.");

function readable(error) {
  if (error.finding) return error;
  if (["NotReadableError", "NotFoundError", "AbortError"].includes(error.name)) {
    return stop("file-unreadable", "The file can no longer be read: it was changed, moved or removed.", "Open the file again; nothing was written.");
  }
  return error;
}

const hex = (buffer) => Array.from(new Uint8Array(buffer), (b) => b.toString(16).padStart(2, "0")).join("");
const digest = async (bytes) => hex(await crypto.subtle.digest("SHA-256", bytes));

async function inflated(file) {
  const magic = new Uint8Array(await file.slice(0, 2).arrayBuffer());
  if (magic[0] !== 0x1f || magic[1] !== 0x8b) return { blob: file, packed: false };
  let size = 0;
  const counter = new TransformStream({
    transform(chunk, controller) {
      size += chunk.byteLength;
      if (size > MOST_INFLATED) throw stop("file-too-large", "The packed file unpacks to more than 4 GiB.", "Unpack it on your machine and open the plain file.");
      controller.enqueue(chunk);
    },
  });
  try {
    const stream = file.stream().pipeThrough(new DecompressionStream("gzip")).pipeThrough(counter);
    return { blob: await new Response(stream).blob(), packed: true };
  } catch (error) {
    if (error.finding) throw error;
    throw stop("file-packed-badly", "The file is packed but cannot be unpacked: it is damaged or cut short.", "Save or export it again.");
  }
}

/** Gathers the fingerprints of slices; hashing goes on beside the reading. */
class Prints {
  #running = [];

  /** Takes the next slice; the browser copies it at once. */
  async add(bytes) {
    this.#running.push(digest(bytes));
    await this.#running.at(-2); // never more than two in flight
  }

  all() { return Promise.all(this.#running); }
}

/** Refuses a file whose slices are not those that were read before. */
function compare(prints, before) {
  if (prints.some((print, i) => before[i] && before[i] !== print)) throw changed();
}

// ---- operations -----------------------------------------------------------

let opening = Promise.resolve(); // the engine reads one file at a time

const operations = {
  open(args, id) {
    const mine = opening.then(() => openNow(args, id));
    opening = mine.catch(() => {});
    return mine;
  },

  /**
   * Reads the whole file: all layers counted; unless it is only skimmed, which
   * goes about as fast as the browser reads, every move followed too. The first
   * reading to the end takes the fingerprints along, which are hashed beside it.
   */
  async survey({ skim = false }, id) {
    const target = piece;
    const prints = target.prints.length * SLICE < target.size ? new Prints() : null;
    engineCall("survey.begin", { skim });
    const told = teller(id, "surveying", target.size);
    for await (const bytes of slices(target.file, prints ? SLICE : PART)) {
      await saving;
      if (piece !== target) throw outdated();
      const added = prints?.add(bytes);
      engineFeed(bytes, 1);
      await added;
      told(bytes.length);
    }
    const all = await prints?.all();
    if (piece !== target) throw outdated();
    const { result } = engineCall("survey.end", {});
    if (all) {
      compare(all, target.prints);
      target.prints = all;
    }
    return { ...result, prints: target.prints, fingerprint: await digest(new TextEncoder().encode(target.prints.join(""))) };
  },

  async lay(args) {
    const { result, buffers } = engineCall("lay", args);
    if (!args.coarse) piece.finished = result.ok ? { ...result.finished, block: buffers[0] } : null;
    return result;
  },

  save(_, id) {
    const mine = saveNow(id);
    saving = mine.catch(() => {});
    return mine;
  },
};

let saving = Promise.resolve(); // a survey in the background makes way for it

async function saveNow(id) {
  const { finished } = piece;
  if (!finished) throw stop("nothing-to-save", "There is no finished file of these settings.", "Solve the findings marked stop, or change a setting to lay the pattern anew.");
  await verify(id);
  // A middle part of over about 1 MiB in memory makes one browser copy the
  // whole composed file; read back through a Response it lives in a
  // temporary file.
  const block = new Uint8Array(finished.block);
  const middle = block.length > IN_MEMORY ? await new Response(block).blob() : block;
  const blob = new Blob([piece.file.slice(0, finished.headEnd), middle, piece.file.slice(finished.tailStart)], { type: "text/plain" });
  const size = finished.headEnd + block.length + piece.size - finished.tailStart;
  if (blob.size !== size) throw changed();
  return { blob, name: finished.name, size };
}

async function openNow({ file, choice, prints: before = [], whole }, id) {
  const { blob, packed } = await inflated(file);
  engineCall("piece.begin", { name: file.name, size: blob.size, packed, choice, whole });
  const prints = new Prints();
  const told = teller(id, "reading", blob.size);
  for await (const bytes of slices(blob)) {
    const added = prints.add(bytes);
    const wanted = engineFeed(bytes, 0);
    await added;
    told(bytes.length);
    if (!wanted) break;
  }
  engineFeed(new Uint8Array(await blob.slice(-END).arrayBuffer()), 2);
  const all = await prints.all();
  compare(all, before);
  speaking = id;
  const { result } = engineCall("piece.end", {});
  piece = { file: blob, name: file.name, size: blob.size, prints: all.concat(before.slice(all.length)), finished: null };
  return { ...result, prints: piece.prints };
}

const outdated = () => stop("piece-outdated", "Another file was opened meanwhile.", "");

/** Tells the page how far a reading has come, a few times a second. */
function teller(id, stage, size) {
  let at = 0, last = 0;
  return (bytes) => {
    at += bytes;
    if (performance.now() - last < TELL_MS) return;
    last = performance.now();
    postMessage({ id, progress: { stage, share: Math.min(0.99, at / size) } });
  };
}

/** Reads the source again and compares it, slice by slice, with what was used. */
async function verify(id) {
  const target = piece;
  const prints = new Prints();
  const told = teller(id, "checking the source", target.size);
  for await (const bytes of slices(target.file)) {
    if (piece !== target) throw outdated();
    await prints.add(bytes);
    told(bytes.length);
  }
  const all = await prints.all();
  if (piece !== target) throw outdated();
  compare(all, target.prints);
  target.prints = all;
  return all;
}

// ---- messages -------------------------------------------------------------

async function start({ module, bytes, address, integrity }) {
  const go = new Go();
  let instance;
  if (module) {
    instance = await WebAssembly.instantiate(module, go.importObject);
  } else {
    const source = bytes
      ? { module: await WebAssembly.compile(bytes) }
      : { module: await WebAssembly.compileStreaming(fetch(address, integrity ? { integrity } : {})) };
    module = source.module;
    instance = await WebAssembly.instantiate(module, go.importObject);
  }
  // Where memory cannot grow, Go says so and leaves its program with a code; a
  // call from here would return as if nothing had happened.
  go.exit = () => { throw new EngineEnd(lastWords); };
  listen();
  go.run(instance).catch(() => {});
  exports = instance.exports;
  // The hosted page may not hold a Module: its policy has no wasm keyword, and
  // one browser compiles a Module again where it arrives.
  return { module: bytes ? module : null };
}

/** The engine left its program: nothing of it can be called any more. */
class EngineEnd extends Error {}

let lastWords = ""; // the first that the engine wrote of what ended it

/** Go writes to the standard error of a file system that the loader stands in for. */
function listen() {
  const write = globalThis.fs.writeSync;
  globalThis.fs.writeSync = (stream, bytes) => {
    if (lastWords.length < 400) lastWords += new TextDecoder().decode(bytes);
    return write.call(globalThis.fs, stream, bytes);
  };
}

function explain(error) {
  const known = readable(error);
  if (known.finding) return known.finding;
  const text = String(error?.message ?? error);
  const remedy = "Your file and settings are still here: try again, with a smaller pattern or fewer layers.";
  if (/out of memory|memory\.grow|allocation failed/i.test(text)) {
    return { code: "engine-memory", level: "stop", fatal: true, text: "The engine ran out of memory.", remedy };
  }
  if (error instanceof EngineEnd || error instanceof WebAssembly.RuntimeError) {
    return { code: "engine-ended", level: "stop", fatal: true, text: `The engine met a fault and ended (${text.split("\n")[0].slice(0, 200)}).`, remedy };
  }
  return { code: "engine-error", level: "stop", text: `The engine could not do this: ${text}.`, remedy: "Try again." };
}

function explainStart(error) {
  return { code: "engine-load", level: "stop", text: `The engine could not be loaded (${error?.message ?? error}).`, remedy: "Load the page again; without a net, use a saved copy of it." };
}

// Calls that read files wait for slices; the engine itself answers one call at
// a time, so every other call may run between two slices.
onmessage = async ({ data: { id, op, args } }) => {
  if (op === "ping") return postMessage({}); // a sign of life
  try {
    if (op === "start") {
      const result = await start(args);
      postMessage({ id, result });
      return;
    }
    speaking = id;
    let result, buffers;
    if (operations[op]) {
      result = await operations[op](args, id);
    } else {
      ({ result, buffers } = engineCall(op, args));
      if (buffers.length) result = { ...result, buffers };
    }
    postMessage({ id, result }, buffers ?? []);
  } catch (error) {
    postMessage({ id, error: op === "start" ? explainStart(error) : explain(error) });
  }
};
