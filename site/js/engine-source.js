// Where the worker comes from: the hosted page loads it by address, the saved
// copy carries it inside (see docs/architecture in DEVELOPERS.md). Nothing
// else of the page knows the difference.

import { scriptURL } from "./trusted.js";

const inside = () => document.getElementById("worker-source");

/** Reports whether this page is a saved copy. */
export const isSavedCopy = () => inside() !== null;

let blobAddress = null;

/**
 * Starts a worker and tells it where its engine is: an address, and where the
 * calls that are given up are written down; in a saved copy the bytes inside it,
 * or the Module kept of them, and no such place, which needs memory that is shared.
 */
export async function startWorker(module, stops) {
  if (!isSavedCopy()) {
    const link = document.getElementById("engine");
    const worker = new Worker(scriptURL(link.dataset.worker));
    worker.postMessage({ id: 0, op: "start", args: { address: link.dataset.wasm, integrity: link.dataset.integrity, stops } });
    return worker;
  }
  blobAddress ??= URL.createObjectURL(new Blob([inside().textContent], { type: "text/javascript" }));
  const worker = new Worker(scriptURL(blobAddress));
  if (module) {
    worker.postMessage({ id: 0, op: "start", args: { module } });
  } else {
    const bytes = await inflate(document.getElementById("engine-bytes").textContent);
    worker.postMessage({ id: 0, op: "start", args: { bytes } }, [bytes]);
  }
  return worker;
}

// The digits of the build's base91, see site/build/page.go.
const DIGITS = "!#$%'()*+,-./0123456789:;=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~";
const BITS = 13; // in a pair of them

function unpacked(text) {
  const value = new Uint8Array(128);
  for (let i = 0; i < DIGITS.length; i++) value[DIGITS.charCodeAt(i)] = i;
  const pairs = (text.length - 1) / 2;
  const bytes = new Uint8Array(Math.floor((BITS * pairs - value[text.charCodeAt(0)]) / 8));
  let held = 0, count = 0, to = 0;
  for (let at = 1; to < bytes.length; at += 2) {
    held = (held << BITS) | (value[text.charCodeAt(at)] * 91 + value[text.charCodeAt(at + 1)]);
    for (count += BITS; count >= 8 && to < bytes.length;) {
      count -= 8;
      bytes[to++] = held >> count; // the array keeps the lowest eight bits
    }
  }
  return bytes;
}

async function inflate(text) {
  return new Response(new Blob([unpacked(text)]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}
