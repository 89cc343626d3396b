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
    const bytes = await inflate(document.getElementById("engine-bytes"));
    worker.postMessage({ id: 0, op: "start", args: { bytes } }, [bytes]);
  }
  return worker;
}

// The digits of the build's base95, see site/build/page.go: a pair of them holds
// thirteen bits, or fourteen where the lower thirteen are below OVER.
const DIGITS = "\n !\"#$%&'()*+,-./0123456789:;=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~";
const BITS = 13;
const OVER = 95 * 95 - (1 << BITS);

function unpacked(text, length) {
  const value = new Uint8Array(128);
  for (let i = 0; i < DIGITS.length; i++) value[DIGITS.charCodeAt(i)] = i;
  const bytes = new Uint8Array(length);
  let held = 0, count = 0, to = 0;
  for (let at = 0; to < length; at += 2) {
    const pair = value[text.charCodeAt(at)] * 95 + value[text.charCodeAt(at + 1)];
    held |= pair << count;
    for (count += (pair & ((1 << BITS) - 1)) < OVER ? BITS + 1 : BITS; count >= 8 && to < length; count -= 8) {
      bytes[to++] = held; // the array keeps the lowest eight bits
      held >>>= 8;
    }
  }
  return bytes;
}

async function inflate({ textContent, dataset }) {
  return new Response(new Blob([unpacked(textContent, Number(dataset.length))]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}
