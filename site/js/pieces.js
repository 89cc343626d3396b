// The pieces of this visit: files are held here by a key, so that undo can go
// back to one. The engine has one piece open at a time.

import { kindOf, HEAD_BYTES } from './state/intake.js';

/** A shelf of files over `engine`; opening one changes the state. */
export function createPieces(engine, store) {
  const files = new Map();
  let opened = '';
  let next = 1;
  let current = null;

  async function report(key, choice) {
    current?.abort();
    const mine = new AbortController();
    current = mine;
    store.act('run', { run: { phase: 'opening', share: 0, stage: '' } });
    const answer = await engine.openPiece(files.get(key), {
      choice,
      signal: mine.signal,
      onProgress({ share }) {
        if (mine === current) store.act('run', { run: { share: Math.max(store.get().run.share, share ?? 0) } });
      },
    });
    if (mine !== current) throw new DOMException('another piece was opened', 'AbortError');
    opened = signed(key, choice);
    return answer;
  }

  return {
    /** Opens a file as the piece; a refusal leaves everything as it was. */
    async open(file, { silent = false, values = {} } = {}) {
      const key = `piece-${next}`;
      next += 1;
      files.set(key, file);
      try {
        const answer = await report(key, null);
        store.act('piece', { key, name: file.name, size: file.size, report: answer, silent, values });
      } catch (error) {
        files.delete(key);
        opened = '';
        throw error;
      }
    },

    /**
     * Opens what the present step stands at, if that is not open already:
     * after undo, after a refused file, after lines were chosen.
     */
    async follow() {
      const { work } = store.get();
      const key = work.present.pieceKey;
      const choice = choiceOf(work.present.job);
      if (!key || !files.has(key) || opened === signed(key, choice)) return false;
      const file = files.get(key);
      const answer = await report(key, choice);
      store.act('reopened', { key, name: file.name, size: file.size, report: answer });
      return true;
    },

    cancel() {
      current?.abort();
    },

    /** The kind of a file by its name and first bytes. */
    async kind(file) {
      const head = new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer());
      return kindOf(file.name, head);
    },
  };
}

/** Layers that the engine reads of every piece without being asked. */
const LAYERS_AT_ONCE = 3;

/**
 * What the engine must be told when it opens the piece: the lines that the
 * person chose for the first layer, more layers than usual; or null.
 */
export function choiceOf(job) {
  const { firstLine = 0, nextLine = 0 } = job.piece ?? {};
  const layers = job.layers?.count ?? 1;
  const lines = firstLine > 0 && nextLine > firstLine;
  if (!lines && layers <= LAYERS_AT_ONCE) return null;
  return { firstLine: lines ? firstLine : 0, nextLine: lines ? nextLine : 0, layers };
}

function signed(key, choice) {
  return choice ? `${key}:${choice.firstLine}-${choice.nextLine}-${choice.layers}` : key;
}
