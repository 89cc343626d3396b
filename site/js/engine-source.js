// Where the worker comes from: the hosted page loads it by address, the saved
// copy carries it inside (see docs/architecture in DEVELOPERS.md). Nothing
// else of the page knows the difference.

import { scriptURL } from "./trusted.js";

const inside = () => document.getElementById("worker-source");

/** Reports whether this page is a saved copy. */
export const isSavedCopy = () => inside() !== null;

let blobAddress = null;

/**
 * Starts a worker and tells it where its engine is: a kept Module, the bytes
 * inside a saved copy, or an address.
 */
export async function startWorker(module) {
  if (!isSavedCopy()) {
    const link = document.getElementById("engine");
    const worker = new Worker(scriptURL(link.dataset.worker));
    worker.postMessage({ id: 0, op: "start", args: module ? { module } : { address: link.dataset.wasm, integrity: link.dataset.integrity } });
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

// The digits of the build's base85, see site/build/page.go.
const DIGITS = "#$%y'()*+,-./0123456789:;x=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvw";

function unpacked(text) {
  const value = new Uint8Array(128);
  for (let i = 0; i < DIGITS.length; i++) value[DIGITS.charCodeAt(i)] = i;
  const words = (text.length - 1) / 5;
  const bytes = new DataView(new ArrayBuffer(4 * words));
  for (let word = 0, at = 1; word < words; word++) {
    let v = 0;
    for (const end = at + 5; at < end; at++) v = v * 85 + value[text.charCodeAt(at)];
    bytes.setUint32(4 * word, v);
  }
  return bytes.buffer.slice(0, 4 * words - value[text.charCodeAt(0)]);
}

async function inflate(text) {
  return new Response(new Blob([unpacked(text)]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}
