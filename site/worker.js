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
const COPIED_PER_MS = 250_000; // bytes that a browser writes of a saved file, about
const COARSEST_CLOCK_MS = 2000; // step of the times of change in the oldest file system still in use

let exports = null; // of the engine
let stops = null; // where the page writes the ids of the calls that it gives up, where pages and workers may share memory
let speaking = 0; // id of the call that the engine is answering
let piece = null; // {file, name, size, used: bytes that the new layer came of, isWatched, prints: of its slices, as far as it was read, finished}

const stop = (code, text, remedy, more) => Object.assign(new Error(text), { finding: { code, level: "stop", text, remedy, ...more } });

// ---- the engine's memory --------------------------------------------------

const memory = (at, length) => new Uint8Array(exports.mem.buffer, at, length);

function engineCall(id, op, args) {
  speaking = id;
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

/** Writes bytes where the engine reads them, and answers their print. */
function handOver(bytes) {
  memory(exports.room(bytes.length), bytes.length).set(bytes);
  return exports.quickprint(bytes.length);
}

/** Feeds what was handed over last to a reader of the engine (see protocol.Reader); false when that has enough. */
const feed = (length, reader) => exports.feed(length, reader) === 1;

const isGivenUp = (id) => stops !== null && Atomics.load(stops, id % stops.length) === id;

function unlessGivenUp(id) {
  if (isGivenUp(id)) throw stop("cancelled", "The call was given up.", "");
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

/** Fills the buffer with `want` bytes from a stream that gives whatever it has at hand. */
async function filled(reader, buffer, want) {
  let have = 0;
  while (have < want) {
    const { value, done } = await reader.read(new Uint8Array(buffer, have, want - have));
    if (done || !value) throw changed();
    buffer = value.buffer;
    have += value.length;
  }
  return new Uint8Array(buffer, 0, have);
}

/**
 * Yields the blob from its first byte to its last in slices of SLICE bytes (the
 * last one shorter). What is yielded is good until the next but one is asked
 * for: while one is worked on, the next is read into the other of two buffers.
 */
async function* slices(blob) {
  let at = 0;
  for (let streams = 0; streams < STREAMS; streams++) {
    try {
      for await (const bytes of streamed(at > 0 ? blob.slice(at) : blob)) {
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

async function* streamed(blob) {
  const reader = blob.stream().getReader({ mode: "byob" });
  const length = (from) => Math.min(SLICE, blob.size - from);
  const ahead = (buffer, from) => {
    const reading = withPatience(filled(reader, buffer, length(from)));
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

/**
 * Reports whether the browser itself watches over the file: whether it refuses
 * to read it, for a save too, as soon as its time of change is another. Every
 * browser should; the one without `userAgentData` reads on. A file that was
 * just written could be written again at what its file system calls the same time.
 */
const isWatched = (file) => "userAgentData" in navigator && Date.now() - file.lastModified > COARSEST_CLOCK_MS;

/** Refuses a file whose slices are not those that were read before. */
function compare(prints, before) {
  if (prints.some((print, i) => before[i] !== undefined && before[i] !== print)) throw changed();
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
   * goes about as fast as the browser reads, every move followed too.
   */
  async survey({ skim = false }, id) {
    const target = piece;
    const prints = [];
    engineCall(id, "survey.begin", { skim });
    const told = teller(id, "surveying", target.size);
    for await (const bytes of slices(target.file)) {
      await saving;
      unlessGivenUp(id);
      if (piece !== target) throw outdated();
      prints.push(handOver(bytes));
      feed(bytes.length, 1);
      told(bytes.length);
    }
    compare(prints, target.prints);
    target.prints = prints;
    return { ...engineCall(id, "survey.end", {}).result, prints };
  },

  /** The fingerprint of the whole file as job files carry it: SHA-256 of the joined SHA-256s of its slices. */
  async fingerprint(_, id) {
    const digests = [];
    await readAgain(id, "taking the fingerprint", piece.size, async (bytes) => {
      digests.push(digest(bytes)); // the browser copies the bytes at once and works beside the reading
      await digests.at(-2); // never more than two in flight
    });
    return { fingerprint: await digest(new TextEncoder().encode((await Promise.all(digests)).join(""))) };
  },

  async lay(args, id) {
    const { result, buffers } = engineCall(id, "lay", args);
    if (!args.coarse) piece.finished = result.ok ? { ...result.finished, block: buffers[0] } : null;
    return result;
  },

  save(_, id) {
    const mine = saveNow(id);
    // The browser copies the file after this, and tells nobody when it is done.
    saving = mine.then(({ size }) => sleep(size / COPIED_PER_MS), () => {});
    return mine;
  },
};

let saving = Promise.resolve(); // a survey in the background makes way for it

async function saveNow(id) {
  const { finished } = piece;
  if (!finished) throw stop("nothing-to-save", "There is no finished file of these settings.", "Solve the findings marked stop, or change a setting to lay the pattern anew.");
  await readAgain(id, "checking the source", piece.isWatched ? piece.used : piece.size);
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
  engineCall(id, "piece.begin", { name: file.name, size: blob.size, packed, choice, whole });
  const end = blob.slice(-END).arrayBuffer();
  end.catch(() => {}); // told when it is awaited
  const prints = [];
  let used = 0;
  const told = teller(id, "reading", blob.size);
  for await (const bytes of slices(blob)) {
    unlessGivenUp(id);
    prints.push(handOver(bytes));
    used += bytes.length;
    told(bytes.length);
    if (!feed(bytes.length, 0)) break;
  }
  handOver(new Uint8Array(await end));
  feed(Math.min(END, blob.size), 2);
  compare(prints, before);
  const { result } = engineCall(id, "piece.end", {});
  piece = { file: blob, name: file.name, size: blob.size, used, isWatched: isWatched(blob), prints: prints.concat(before.slice(prints.length)), finished: null };
  return { ...result, prints: piece.prints, isWatched: piece.isWatched };
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

/**
 * Reads so many bytes of the source again and compares them, slice by slice,
 * with what was read before; `also` is given each slice.
 */
async function readAgain(id, stage, size, also) {
  const target = piece;
  const prints = [];
  const told = teller(id, stage, size);
  for await (const bytes of slices(target.file.slice(0, size))) {
    unlessGivenUp(id);
    if (piece !== target) throw outdated();
    prints.push(handOver(bytes));
    await also?.(bytes);
    told(bytes.length);
  }
  if (piece !== target) throw outdated();
  compare(prints, target.prints);
}

// ---- messages -------------------------------------------------------------

async function start({ module, bytes, address, integrity, stops: shared }) {
  stops = shared ?? null;
  const go = new Go();
  go.importObject.host = { stopped: () => Number(isGivenUp(speaking)) };
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
    unlessGivenUp(id);
    let result, buffers;
    if (operations[op]) {
      result = await operations[op](args, id);
    } else {
      ({ result, buffers } = engineCall(id, op, args));
      if (buffers.length) result = { ...result, buffers };
    }
    postMessage({ id, result }, buffers ?? []);
  } catch (error) {
    postMessage({ id, error: op === "start" ? explainStart(error) : explain(error) });
  }
};
