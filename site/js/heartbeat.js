// Whether the worker still lives. A worker can end without a message or an
// event: the system takes its memory, or the browser loses its process. A call
// would then wait for ever.
//
// Every beat the worker is asked for a sign. An engine without work answers at
// once. While it runs a job it sees no message, since WebAssembly holds its
// thread, and what it tells of its progress is the sign; a stage that tells
// nothing for a while is common on a slow machine, so a working engine is given
// long, and silence is only told, never acted upon.
//
// Silence is counted in beats, not by the clock: a page that slept or was kept
// back in a hidden tab has counted few.

const BEAT_MS = 5000;
/** Beats without a sign after which an engine at rest is taken for dead. */
const IDLE_BEATS = 3;
/** The same for an engine at work: a minute. */
const BUSY_BEATS = 12;

/**
 * A heart: `ping` asks the worker for a sign, `isBusy` reports whether a call
 * goes on, `told` hears true when the worker has fallen silent and false when
 * it is heard again.
 */
export function createHeartbeat({ ping, isBusy, told }) {
  let timer = null;
  let beats = 0;
  let askedAtRest = false; // the sign was asked for before there was work
  let isSilent = false;

  function beat() {
    if (beats === 0) {
      askedAtRest = !isBusy();
      ping();
    }
    beats += 1;
    if (isSilent || beats <= (askedAtRest ? IDLE_BEATS : BUSY_BEATS)) return;
    isSilent = true;
    told(true);
  }

  function heard() {
    beats = 0;
    if (!isSilent) return;
    isSilent = false;
    told(false);
  }

  return {
    /** A worker was started. */
    begin() {
      clearInterval(timer);
      heard();
      timer = setInterval(beat, BEAT_MS);
      timer.unref?.(); // outside a browser it keeps nothing alive
    },

    /** The worker said something, whatever it was. */
    heard,

    /** Reports whether the worker has fallen silent. */
    isSilent: () => isSilent,

    /** The worker was ended. */
    end() {
      clearInterval(timer);
      heard();
    },
  };
}
