// The client of the engine's worker: promises in front, messages behind.
//
// Every failure (a worker that does not load, a wasm trap, memory that runs
// out, an answer that cannot be read) rejects with an EngineError that carries
// a finding: code, text, remedy. A cancelled call rejects with an AbortError.
//
// A cancelled call is given up (see given-up.js): the engine returns from it and
// keeps all that it holds. Where it cannot be told, or does not return in time,
// the worker is ended. It keeps nothing that cannot be rebuilt: the next call
// starts a new one (in a saved copy from the kept WebAssembly.Module), opens the
// piece again from the kept File, and lays the last job again where a picture or
// a sheet of it is wanted. A file that changed on disk meanwhile is refused by
// its prints.

import { startWorker } from "./engine-source.js";
import { createGivenUp } from "./given-up.js";
import { createHeartbeat } from "./heartbeat.js";

export const PROTOCOL = 1;

/** Bytes of a file that is skimmed before its moves are followed: more than a second's work. */
const SKIM_FIRST = 64 << 20;

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
  #piece = null; // {file, choice, prints, isWatched: by the browser itself, whole: what its survey found} of the open piece
  #held = null; // promise: the worker of now holds it
  #laid = null; // arguments of the last job laid
  #made = false; // whether the worker of now holds what came of it
  #laying = 0; // runs that go on
  #dropped = false; // the last run was cancelled
  #printed = null; // promise: the prints of the piece are known to its end, or it could not be read to there
  #cancels = 0; // how often everything was cancelled
  #startMS = 0; // that a worker took to be ready

  /** Called with true when the worker gives no sign of life, with false when it does again. */
  onSilence = null;

  #heart = createHeartbeat({
    ping: () => this.#worker?.postMessage({ op: "ping" }),
    isBusy: () => this.#pending.size > 0,
    told: (isSilent) => this.onSilence?.(isSilent),
  });

  // An engine that has not returned in a quarter of the time that starting another
  // worker takes is in a stretch where it does not look: another is sooner there.
  #givenUp = createGivenUp({ patience: () => this.#startMS / 4, overdue: () => this.#stop(aborted()) });

  // ---- calls -------------------------------------------------------------

  hello(options) { return this.#call("hello", {}, options); }
  sample(id, options) { return this.#call("sample", { id }, options); }

  /** Reads the file until its first layers are known: a PieceReport. */
  async openPiece(file, options = {}) {
    const { choice = null } = options;
    const { prints: before = [], whole } = this.#piece?.file === file ? this.#piece : {};
    const { prints, isWatched, ...report } = await this.#call("open", { file, choice, prints: before, whole }, options);
    if (this.#piece?.file !== file) this.#printed = null;
    this.#piece = { file, choice, prints, isWatched, whole };
    this.#held = Promise.resolve();
    this.#laid = null;
    this.#made = this.#dropped = false;
    return report;
  }

  /**
   * Reads the whole file in the background: a Survey. Of a large file its time
   * and filament come later, on the same object, of which `onWhole` is told.
   */
  surveyPiece({ onWhole, ...options } = {}) {
    const piece = this.#piece;
    const isLarge = piece.file.size > SKIM_FIRST;
    const surveying = isLarge ? this.#survey(piece, { skim: true }, options) : this.followPiece(options);
    this.#printed = surveying.catch(() => {});
    if (isLarge) {
      surveying.then(async (survey) => {
        if (this.#piece?.file === piece.file) onWhole?.(Object.assign(survey, await this.followPiece()));
      }).catch(() => {}); // told by the survey, or when the file is saved
    }
    return surveying;
  }

  /** Follows the whole file, as for the machine of the job laid last: a Survey. */
  async followPiece(options) {
    const piece = this.#piece;
    const survey = await this.#survey(piece, {}, options);
    const { laid, ...whole } = survey;
    if (this.#piece?.file === piece.file) this.#piece = { ...this.#piece, whole };
    return survey;
  }

  /** The fingerprint of the whole file, as job files carry it. */
  async fingerprint(options) { return (await this.#withPiece("fingerprint", {}, options)).fingerprint; }

  jobCheck(job, options) { return this.#call("job.check", { job }, options); }

  /** Runs a job: a Report. Reads more layers of the file when it asks for them. */
  async lay(job, options = {}) {
    const args = { job, coarse: Boolean(options.coarse) };
    this.#laying += 1;
    try {
      let report = await this.#withPiece("lay", args, options);
      const layers = report.findings?.find((one) => one.code === "piece-needs-more")?.value;
      if (layers) {
        await this.#readOn(layers);
        report = await this.#withPiece("lay", args, options);
      }
      this.#laid = args;
      this.#made = true;
      this.#dropped = false;
      return report;
    } catch (error) {
      this.#dropped ||= !args.coarse && error.name === "AbortError";
      throw error;
    } finally {
      this.#laying -= 1;
    }
  }

  view(request, options) { return this.#withLaid("view", request, options); }
  thumb(request, options) { return this.#call("thumb", request, options); }
  sheet(request, options) { return this.#withLaid("sheet", request, options); }
  trialKey(job, options) { return this.#call("trial.key", { job }, options); }
  trialUse(job, patch, preset, options) { return this.#call("trial.use", { job, patch, preset }, options); }
  readDrawing(svg, options) { return this.#call("drawing.read", { svg }, options); }
  linkEncode(job, options) { return this.#call("link.encode", { job }, options); }
  linkDecode(text, options) { return this.#call("link.decode", { text }, options); }
  presetRead(text, options) { return this.#call("preset.read", { text }, options); }

  /** Checks the source once more and composes the finished file: {blob, name, size}. */
  async save(options) {
    if (this.#dropped) {
      throw failure("save-not-laid", "The last run was cancelled, so there is no finished file of these settings.",
        "Change a setting, or undo the change, to lay the pattern anew.");
    }
    // A file whose prints are known to its end can be compared to its end.
    if (this.#printed && !this.#piece.isWatched) await this.#until(this.#printed);
    return this.#withLaid("save", {}, options);
  }

  /** Ends at once whatever a person waits for. Such calls reject with an AbortError. */
  cancel() {
    this.#cancels += 1;
    if (!this.#givenUp.slots || this.#heart.isSilent()) this.#stop(aborted());
    for (const [id, call] of this.#pending) {
      if (!call.isBackground) this.#giveUp(id);
    }
  }

  // ---- the wire ----------------------------------------------------------

  async #withPiece(op, args, options) {
    await this.#holdAtRest();
    return this.#call(op, args, options);
  }

  /** The same for what needs the last job's outcome in the worker of now. */
  async #withLaid(op, args, options) {
    await this.#holdAtRest();
    if (!this.#made && this.#laid && this.#laying === 0) {
      await this.#call("lay", this.#laid, { signal: options?.signal });
      this.#made = true;
    }
    return this.#call(op, args, options);
  }

  /**
   * Makes the worker of now hold the piece, once for all who wait for it: one
   * of them being cancelled must not fail the others.
   */
  async #hold() {
    if (!this.#piece) return;
    if (!this.#held) {
      const held = this.#call("open", this.#piece, { isBackground: true });
      this.#held = held;
      held.catch(() => {
        if (this.#held === held) this.#held = null;
      });
    }
    await this.#held;
  }

  /** The same, once the worker has returned from every call given up, or was ended for it. */
  async #holdAtRest() {
    for (;;) {
      await this.#givenUp.atRest;
      const held = this.#hold();
      await held;
      if (!this.#givenUp.atRest) return;
    }
  }

  async #readOn(layers) {
    const { firstLine = 0, nextLine = 0 } = this.#piece.choice ?? {};
    this.#piece = { ...this.#piece, choice: { firstLine, nextLine, layers } };
    this.#held = null;
    await this.#hold();
  }

  /** A reading that was cut short, because the worker was ended for another call, is begun again. */
  async #inBackground(piece, op, args, options = {}) {
    for (;;) {
      try {
        return await this.#withPiece(op, args, { ...options, isBackground: true });
      } catch (error) {
        const cutShort = error.name === "AbortError" || error.finding?.code === "piece-outdated";
        if (options.signal?.aborted || !cutShort || this.#piece?.file !== piece.file) throw error;
      }
    }
  }

  /** Reads the file to its end; from then on its prints are known to there. */
  async #survey(piece, args, options) {
    const { prints, ...survey } = await this.#inBackground(piece, "survey", args, options);
    if (this.#piece?.file === piece.file) this.#piece = { ...this.#piece, prints };
    return survey;
  }

  /** Waits like a call, so that cancelling ends the waiting too. */
  #until(promise) {
    return new Promise((resolve, reject) => {
      const id = this.#next++;
      this.#pending.set(id, { resolve, reject });
      promise.then(() => {
        this.#pending.delete(id);
        resolve();
      });
    });
  }

  async #call(op, args, { signal, onProgress, isBackground = false } = {}) {
    if (signal?.aborted) throw aborted();
    const cancels = this.#cancels;
    await this.#givenUp.atRest;
    await this.#start();
    if (signal?.aborted || !this.#worker || (this.#cancels !== cancels && !isBackground)) throw aborted();
    return new Promise((resolve, reject) => {
      const id = this.#next++;
      const cancel = () => this.#giveUp(id);
      signal?.addEventListener("abort", cancel, { once: true });
      const settle = (finish) => (value) => {
        signal?.removeEventListener("abort", cancel);
        this.#pending.delete(id);
        finish(value);
      };
      this.#pending.set(id, { op, isBackground, resolve: settle(resolve), reject: settle(reject), onProgress, share: 0 });
      this.#worker.postMessage({ id, op, args });
    });
  }

  /** Rejects a call at once; a call that went to the worker, this makes it return from. */
  #giveUp(id) {
    if (!this.#givenUp.slots) {
      this.#stop(aborted());
      return;
    }
    const { op, reject } = this.#pending.get(id);
    if (op) this.#givenUp.add(id, op);
    this.#pending.delete(id);
    reject(aborted());
  }

  /** What the worker holds after it did to the end what was given up. */
  #doneInVain(op) {
    if (op === "open") this.#held = null;
    if (op === "open" || op === "lay") this.#made = false;
  }

  #start() {
    if (!this.#starting) {
      const starting = this.#begin(() => this.#starting === starting);
      this.#starting = starting;
      starting.catch((error) => {
        if (this.#starting === starting) this.#stop(error);
      });
    }
    return this.#starting;
  }

  async #begin(isWanted) {
    const from = performance.now();
    const worker = await startWorker(this.#module, this.#givenUp.slots);
    if (!isWanted()) {
      worker.terminate();
      throw aborted();
    }
    this.#worker = worker;
    this.#heart.begin();
    const ready = new Promise((resolve, reject) => {
      this.#pending.set(0, { resolve, reject, isBackground: true });
    });
    worker.onmessage = ({ data }) => this.#receive(data);
    worker.onerror = (event) => {
      event.preventDefault?.();
      this.#stop(failure("engine-stopped", `The engine stopped: ${event.message || "it could not be loaded"}.`,
        "Try again; if it happens again, load the page anew. The file you opened is still here."));
    };
    worker.onmessageerror = () => this.#stop(failure("engine-garbled", "The engine's answer could not be read.", "Try again."));
    this.#module = (await ready).module ?? this.#module;
    this.#startMS = performance.now() - from;
  }

  #receive({ id, result, error, progress }) {
    this.#heart.heard();
    const call = this.#pending.get(id);
    if (!call) {
      const op = progress ? null : this.#givenUp.end(id);
      if (op && result) this.#doneInVain(op);
      if (error?.fatal) this.#stop(new EngineError(error));
      return;
    }
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
    this.#heart.end();
    this.#givenUp.clear();
    this.#starting = null;
    this.#held = null;
    this.#made = false;
    const calls = [...this.#pending.values()];
    this.#pending.clear();
    for (const call of calls) call.reject(reason);
    if (reason.name === "AbortError") queueMicrotask(() => this.#warm());
  }

  /**
   * After a cancel another job usually follows: the next worker need not wait
   * for it. Begun once for all that is cancelled together.
   */
  #warm() {
    (this.#piece ? this.#hold() : this.#start()).catch(() => {});
  }
}
