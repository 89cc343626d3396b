// When the engine runs: after the last change, coarsely while something is
// being dragged, never two runs at once, and an outdated one is given up.

/** Quiet time after a change before a full run, ms. */
const QUIET_MS = 180;

/**
 * A runner. `lay(options)` runs the engine once: options {coarse, signal,
 * onProgress} -> report. `told` hears {begun}, {progress}, {report, coarse},
 * {failed}.
 */
export function createRunner(lay, told) {
  let timer = 0;
  let full = null;
  let coarseRuns = false;
  let coarseAgain = false;
  let dragging = false;

  async function runCoarse() {
    if (coarseRuns) {
      coarseAgain = true;
      return;
    }
    coarseRuns = true;
    try {
      const report = await lay({ coarse: true });
      if (dragging) told({ report, coarse: true });
    } catch {
      // A coarse run is only a glimpse; the full run that follows reports.
    }
    coarseRuns = false;
    if (coarseAgain && dragging) {
      coarseAgain = false;
      runCoarse();
    }
  }

  async function runFull() {
    stop();
    const mine = new AbortController();
    full = mine;
    let share = 0;
    told({ begun: true });
    try {
      const report = await lay({
        coarse: false,
        signal: mine.signal,
        onProgress(progress) {
          share = Math.max(share, Math.min(1, progress.share ?? 0));
          if (full === mine) told({ progress: { stage: progress.stage ?? '', share } });
        },
      });
      if (full === mine) {
        full = null;
        told({ report, coarse: false });
      }
    } catch (error) {
      if (full !== mine) return;
      full = null;
      told({ failed: error });
    }
  }

  function stop() {
    clearTimeout(timer);
    const going = full;
    full = null;
    going?.abort();
    return going !== null;
  }

  return {
    /** The job changed. */
    changed() {
      if (dragging) {
        runCoarse();
        return;
      }
      stop();
      timer = setTimeout(runFull, QUIET_MS);
    },

    /** A drag begins or ends; at its end the full run follows. */
    setDragging(on) {
      dragging = on;
      if (on) stop();
      else timer = setTimeout(runFull, QUIET_MS);
    },

    /** Runs at once, without waiting for quiet. */
    now: runFull,

    /** Gives up what is going on; true when there was something. */
    cancel: stop,
  };
}
