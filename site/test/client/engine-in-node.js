// The page's engine client with the real worker and the real engine, without
// a browser: the worker runs in a thread of node, a file {name,
// path} is read from the disk whenever the worker opens it.
// Import this before site/js/engine.js is used. What the engine writes when it
// ends is not shown: tests make it end.

import { readFile, readdir } from "node:fs/promises";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { Worker as Thread } from "node:worker_threads";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const engines = resolve(root, process.env.SHEENLAY_DIST ?? "dist", "engine");
const [version] = await readdir(engines);
const source = await readFile(join(engines, version, "worker.js"), "utf8");

/** What the threads load; a test may put other bytes here. */
export const loaded = { wasm: await readFile(join(engines, version, "engine.wasm")) };

/** Every worker started so far, the last one of now. */
export const threads = [];

const inThread = `
  const { parentPort, workerData } = require("node:worker_threads");
  const { readFileSync } = require("node:fs");
  globalThis.fetch = async () => new Response(workerData.wasm, { headers: { "Content-Type": "application/wasm" } });
  globalThis.postMessage = (message, transfer) => parentPort.postMessage(message, transfer ?? []);
  globalThis.navigator ??= {};
  globalThis.onmessage = null;
  parentPort.on("message", (data) => {
    if (data.args?.file?.path) data.args.file = Object.assign(new Blob([readFileSync(data.args.file.path)]), { name: data.args.file.name });
    globalThis.onmessage({ data });
  });
  require("node:vm").runInThisContext(workerData.source, { filename: "worker.js" });
`;

globalThis.Worker = class {
  constructor() {
    this.thread = new Thread(inThread, { eval: true, stdout: true, stderr: true, workerData: { source, wasm: loaded.wasm } });
    threads.push(this);
    this.thread.on("message", (data) => this.onmessage?.({ data }));
    this.thread.on("error", (error) => this.onerror?.({ message: error.message }));
  }

  postMessage(message, transfer) { this.thread.postMessage(message, transfer); }
  terminate() { this.thread.terminate(); }
};
// A thread shares memory as a hosted page and its worker do.
globalThis.crossOriginIsolated = true;
globalThis.document = { getElementById: (id) => (id === "engine" ? { dataset: { worker: "/engine/worker.js", wasm: "/engine/engine.wasm" } } : null) };

/** Ends the threads that a test leaves. */
export const endThreads = () => Promise.all(threads.splice(0).map(({ thread }) => thread.terminate()));
