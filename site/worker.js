// The engine's worker. The build puts Go's loader (wasm_exec.js) before this
// file, so that the whole worker is one classic script: a saved copy can load
// no second one. The worker reads files by slices and writes them straight
// into the engine's memory; it answers {id, op, args} with {id, result} or
// {id, error}, and {id, progress} before.

"use strict";

const SLICE = 4 << 20; // bytes per read and per fingerprint
const MOST_INFLATED = 4 * 2 ** 30; // bytes of a gzip file when unpacked
const READ_PATIENCE = 8000; // ms before a stalled stream is read by slices instead
const IN_MEMORY = 512 << 10; // bytes of a new layer that may stay in memory, see save

let exports = null; // of the engine
let speaking = 0; // id of the call that the engine is answering
let piece = null; // {file, name, fingerprints: [], whole: false, finished: null}

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

const withPatience = (promise) => Promise.race([promise, new Promise((_, reject) =>
  setTimeout(() => reject(new Error("stalled")), READ_PATIENCE))]);

/** Yields the blob in slices of SLICE bytes (the last one shorter). */
async function* slices(blob) {
  let at = 0;
  try {
    const reader = blob.stream().getReader({ mode: "byob" });
    try {
      let buffer = new ArrayBuffer(SLICE);
      while (at < blob.size) {
        const want = Math.min(SLICE, blob.size - at);
        let have = 0;
        while (have < want) {
          const { value, done } = await withPatience(reader.read(new Uint8Array(buffer, have, want - have)));
          if (done || !value) throw changed();
          buffer = value.buffer;
          have += value.length;
        }
        yield new Uint8Array(buffer, 0, want);
        at += want;
      }
    } finally {
      reader.cancel().catch(() => {});
    }
  } catch (error) {
    if (error.message !== "stalled" && !(error instanceof TypeError)) throw error;
    for (; at < blob.size; at += SLICE) {
      const bytes = new Uint8Array(await blob.slice(at, at + SLICE).arrayBuffer());
      if (bytes.length !== Math.min(SLICE, blob.size - at)) throw changed();
      yield bytes;
    }
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

// ---- operations -----------------------------------------------------------

const operations = {
  async open({ file, choice }, id) {
    const { blob, packed } = await inflated(file);
    const next = { file: blob, name: file.name, size: blob.size, fingerprints: [], whole: false, finished: null, modified: file.lastModified };
    engineCall("piece.begin", { name: file.name, size: blob.size, packed, choice });
    let at = 0;
    for await (const bytes of slices(blob)) {
      const wanted = engineFeed(bytes, 0);
      next.fingerprints.push(await digest(bytes));
      at += bytes.length;
      postMessage({ id, progress: { stage: "reading", share: Math.min(0.99, at / blob.size) } });
      if (!wanted) break;
    }
    const { result } = engineCall("piece.end", {});
    piece = next;
    return result;
  },

  async survey(_, id) {
    const target = piece;
    engineCall("survey.begin", { size: target.size });
    const fingerprints = [];
    let at = 0;
    for await (const bytes of slices(target.file)) {
      if (piece !== target) throw stop("survey-outdated", "Another file was opened meanwhile.", "");
      engineFeed(bytes, 1);
      fingerprints.push(await digest(bytes));
      const before = target.fingerprints[fingerprints.length - 1];
      if (before && before !== fingerprints.at(-1)) throw changed();
      at += bytes.length;
      postMessage({ id, progress: { stage: "surveying", share: at / target.size } });
    }
    target.fingerprints = fingerprints;
    target.whole = true;
    const { result } = engineCall("survey.end", {});
    result.fingerprint = await digest(new TextEncoder().encode(fingerprints.join("")));
    return result;
  },

  async lay(args) {
    const { result, buffers } = engineCall("lay", args);
    if (!args.coarse) piece.finished = result.ok ? { ...result.finished, block: buffers[0] } : null;
    return result;
  },

  async save(_, id) {
    const { finished } = piece;
    if (!finished) throw stop("nothing-to-save", "There is no finished file yet.", "Solve the findings marked stop first.");
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
  },
};

/** Reads the source again and compares it, slice by slice, with what was used. */
async function verify(id) {
  const fingerprints = [];
  let at = 0;
  for await (const bytes of slices(piece.file)) {
    const print = await digest(bytes);
    const before = piece.fingerprints[fingerprints.length];
    if (before && before !== print) throw changed();
    fingerprints.push(print);
    at += bytes.length;
    postMessage({ id, progress: { stage: "checking the source", share: at / piece.size } });
  }
  if (at !== piece.size) throw changed();
  piece.fingerprints = fingerprints;
  piece.whole = true;
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
  go.run(instance).catch(() => {});
  exports = instance.exports;
  // The hosted page may not hold a Module: its policy has no wasm keyword, and
  // one browser compiles a Module again where it arrives.
  return { module: bytes ? module : null };
}

function explain(error) {
  const known = readable(error);
  if (known.finding) return known.finding;
  const text = String(error?.message ?? error);
  if (error instanceof WebAssembly.RuntimeError || /unreachable|out of memory|memory access|exited/i.test(text)) {
    return { code: "engine-memory", level: "stop", fatal: true, text: `The engine ran out of memory or met a fault (${text}).`, remedy: "Your file and settings are still here: try again, with a smaller pattern or fewer layers." };
  }
  return { code: "engine-error", level: "stop", text: `The engine could not do this: ${text}.`, remedy: "Try again." };
}

// Calls that read files wait for slices; the engine itself answers one call at
// a time, so every other call may run between two slices.
onmessage = async ({ data: { id, op, args } }) => {
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
    postMessage({ id, error: explain(error) });
  }
};
