// The pieces of this visit: files are held here by a key, so that undo can go
// back to one. The engine has one piece open at a time.

import { kindOf, HEAD_BYTES } from './state/intake.js';

/** A shelf of files over `engine`; `act` changes the state. */
export function createPieces(engine, store) {
  const files = new Map();
  let opened = null;
  let next = 1;
  let current = null;

  async function report(key) {
    current?.abort();
    current = new AbortController();
    const mine = current;
    store.act('run', { run: { phase: 'opening', share: 0, stage: '' } });
    const answer = await engine.openPiece(files.get(key).file, {
      signal: mine.signal,
      onProgress: ({ share }) => { if (mine === current) store.act('run', { run: { share: Math.max(store.get().run.share, share ?? 0) } }); },
    });
    if (mine !== current) throw new DOMException('another piece was opened', 'AbortError');
    opened = key;
    return answer;
  }

  return {
    /** Opens a file as the piece; a refusal leaves everything as it was. */
    async open(file, { silent = false, values = {} } = {}) {
      const key = `piece-${next}`;
      next += 1;
      files.set(key, { file });
      const before = opened;
      try {
        const answer = await report(key);
        store.act('piece', { key, name: file.name, size: file.size, report: answer, silent, values });
        return true;
      } catch (error) {
        files.delete(key);
        if (before && opened !== before) opened = null;
        throw error;
      }
    },

    /** Makes the piece of the present step the open one again. */
    async reopen() {
      const key = store.get().work.present.pieceKey;
      if (!key || key === opened || !files.has(key)) return false;
      const { file } = files.get(key);
      const answer = await report(key);
      store.act('reopened', { key, name: file.name, size: file.size, report: answer });
      return true;
    },

    /** The engine lost its piece (a failed opening, a restart): open anew. */
    forget() {
      opened = null;
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
