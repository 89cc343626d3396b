// The client of the engine's worker: promises in front, messages behind.
//
// Every failure (a worker that does not load, a wasm trap, memory that runs
// out, an answer that cannot be read) rejects with an EngineError that carries
// a finding: code, text, remedy. A cancelled call rejects with an AbortError.
//
// The worker keeps nothing that cannot be rebuilt. Cancelling a running call
// ends the worker at once; the next call starts a new one (in a saved copy from
// the kept WebAssembly.Module) and opens the piece again from the kept File.

import { startWorker } from "./engine-source.js";

export const PROTOCOL = 1;

/** An error that carries what the person needs: see engine/finding. */
export class EngineError extends Error {
  constructor(finding) {
    super(finding.text);
    this.name = "EngineError";
    this.finding = finding;
  }
}

const failure = (code, text, remedy) => new EngineError({ code, level: "stop", text, remedy });

const aborted = () => new DOMException("cancelled", "AbortError");

export class Engine {
  #worker = null;
  #starting = null;
  #module = null;
  #pending = new Map();
  #next = 1;
  #file = null; // {file, choice} of the open piece
  #opened = false; // whether the worker of now holds it

  // ---- calls -------------------------------------------------------------

  hello(options) { return this.#call("hello", {}, options); }
  sample(id, options) { return this.#call("sample", { id }, options); }

  /** Reads the file until its first layers are known: a PieceReport. */
  async openPiece(file, options = {}) {
    const { choice = null } = options;
    const report = await this.#call("open", { file, choice }, { ...options, fresh: true });
    this.#file = { file, choice };
    this.#opened = true;
    return report;
  }

  /** Reads the whole file in the background: a Survey. */
  surveyPiece(options) { return this.#withPiece("survey", {}, options); }
  jobCheck(job, options) { return this.#call("job.check", { job }, options); }
  lay(job, options = {}) { return this.#withPiece("lay", { job, coarse: Boolean(options.coarse) }, options); }
  view(request, options) { return this.#withPiece("view", request, options); }
  thumb(request, options) { return this.#call("thumb", request, options); }
  sheet(request, options) { return this.#withPiece("sheet", request, options); }
  trialKey(job, options) { return this.#call("trial.key", { job }, options); }
  readDrawing(svg, options) { return this.#call("drawing.read", { svg }, options); }
  linkEncode(job, options) { return this.#call("link.encode", { job }, options); }
  linkDecode(text, options) { return this.#call("link.decode", { text }, options); }
  presetRead(text, options) { return this.#call("preset.read", { text }, options); }

  /** Checks the source once more and composes the finished file: {blob, name, size}. */
  save(options) { return this.#withPiece("save", {}, options); }

  /** Ends whatever runs, at once. Pending calls reject with an AbortError. */
  cancel() { this.#stop(aborted()); }

  // ---- the wire ----------------------------------------------------------

  async #withPiece(op, args, options = {}) {
    if (this.#file && !this.#opened) {
      await this.#call("open", this.#file, { signal: options.signal });
      this.#opened = true;
    }
    return this.#call(op, args, options);
  }

  async #call(op, args, { signal, onProgress } = {}) {
    if (signal?.aborted) throw aborted();
    await this.#start();
    if (signal?.aborted) throw aborted();
    return new Promise((resolve, reject) => {
      const id = this.#next++;
      const cancel = () => this.#stop(aborted());
      signal?.addEventListener("abort", cancel, { once: true });
      const settle = (finish) => (value) => {
        signal?.removeEventListener("abort", cancel);
        this.#pending.delete(id);
        finish(value);
      };
      this.#pending.set(id, { resolve: settle(resolve), reject: settle(reject), onProgress, share: 0 });
      this.#worker.postMessage({ id, op, args });
    });
  }

  #start() {
    this.#starting ??= this.#begin().catch((error) => {
      this.#stop(error);
      throw error;
    });
    return this.#starting;
  }

  async #begin() {
    const worker = await startWorker(this.#module);
    this.#worker = worker;
    const ready = new Promise((resolve, reject) => {
      this.#pending.set(0, { resolve, reject });
    });
    worker.onmessage = ({ data }) => this.#receive(data);
    worker.onerror = (event) => {
      event.preventDefault?.();
      this.#stop(failure("engine-stopped", `The engine stopped: ${event.message || "it could not be loaded"}.`,
        "Try again; if it happens again, load the page anew. The file you opened is still here."));
    };
    worker.onmessageerror = () => this.#stop(failure("engine-garbled", "The engine's answer could not be read.", "Try again."));
    this.#module = (await ready).module ?? this.#module;
  }

  #receive({ id, result, error, progress }) {
    const call = this.#pending.get(id);
    if (!call) return;
    if (progress) {
      call.share = Math.max(call.share, progress.share); // never goes back
      call.onProgress?.({ stage: progress.stage, share: call.share });
      return;
    }
    if (id === 0) this.#pending.delete(0);
    if (!error) return call.resolve(result);
    call.reject(new EngineError(error));
    if (error.fatal) this.#stop(new EngineError(error));
  }

  #stop(reason) {
    this.#worker?.terminate();
    this.#worker = null;
    this.#starting = null;
    this.#opened = false;
    const calls = [...this.#pending.values()];
    this.#pending.clear();
    for (const call of calls) call.reject(reason);
  }
}
