// Keeps the job and the habits on the machine, and says so when it cannot.

import { isJob } from './state/shelf.js';
import { jobOf } from './state/state.js';

const QUIET_MS = 400;

/** A keeper over a shelf; it never keeps a file. */
export function createKeeper(shelf, store) {
  let timer = 0;
  let started = false;

  function keep() {
    const state = store.get();
    const sample = state.schema?.samples?.some((one) => one.file === state.piece?.name);
    const kept = shelf.write('job', { sheenlay: 1, job: jobOf(state), pieceName: sample ? '' : state.piece?.name ?? '' })
      && shelf.write('habits', state.habits);
    if (!kept && !state.storageLost) {
      store.act('storageLost');
      store.act('toast', { toast: { text: 'Settings cannot be kept on this machine (storage is full or switched off). All work goes on; save the job as a file to keep it.' } });
    }
  }

  return {
    /** What the last visit left: {job, pieceName}, or null. */
    restore() {
      started = true;
      const kept = shelf.read('job', (value) => isJob(value) && isJob(value.job), null);
      return kept && Object.keys(kept.job).length > 1 ? kept : null;
    },

    update(state, before) {
      if (!started || (state.work === before.work && state.habits === before.habits && state.piece === before.piece)) return;
      clearTimeout(timer);
      timer = setTimeout(keep, QUIET_MS);
    },
  };
}
