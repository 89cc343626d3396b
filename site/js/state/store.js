// Holds the state and tells its listeners of every change.

import { reduce } from './state.js';

/** A store over a first state. Listeners get (state, before). */
export function createStore(first) {
  let state = first;
  const listeners = new Set();
  return {
    get: () => state,
    /** Returns what ends the listening. */
    on(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    act(type, rest = {}) {
      const before = state;
      state = reduce(before, { type, ...rest });
      if (state !== before) for (const listener of listeners) listener(state, before);
      return state;
    },
  };
}
