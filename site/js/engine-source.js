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

async function inflate(base64) {
  const packed = Uint8Array.fromBase64 ? Uint8Array.fromBase64(base64) : Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}
