// Calls that the page gives up. No message reaches a worker while the engine
// works, so the id of such a call is written where both can see it, in memory
// that page and worker share; the engine looks there and returns. Where a page
// may not share memory (in a saved copy) its worker is ended instead.

/** Ids stand at their remainder: so many calls may be given up at once. */
const SLOTS = 64;

/**
 * The calls given up. The engine may take `patience()` ms to return from one,
 * then `overdue` is called.
 */
export function createGivenUp({ patience, overdue }) {
  const left = new Map(); // id -> operation, of those that the worker has not returned from
  let timer = null;
  let returned = null; // settles `atRest`

  function settle() {
    clearTimeout(timer);
    left.clear();
    returned?.();
    returned = null;
    self.atRest = null;
  }

  const self = {
    /** What the worker is given, or null where no memory can be shared. */
    slots: globalThis.crossOriginIsolated ? new Int32Array(new SharedArrayBuffer(4 * SLOTS)) : null,

    /** A promise while the worker has not returned yet, else null. */
    atRest: null,

    add(id, op) {
      Atomics.store(self.slots, id % SLOTS, id);
      left.set(id, op);
      if (self.atRest) return;
      self.atRest = new Promise((resolve) => { returned = resolve; });
      timer = setTimeout(overdue, patience());
    },

    /** The worker has returned from a call: its operation, if it had been given up. */
    end(id) {
      const op = left.get(id);
      left.delete(id);
      if (left.size === 0) settle();
      return op;
    },

    /** The worker was ended. */
    clear: settle,
  };
  return self;
}
