// How far the page is, in numbers that only grow, on the element given: for
// whoever drives the page without looking at it. A button that is disabled for
// a moment may be missed; a number that was reached stays.
//
//   data-phase  what goes on: starting, opening, laying, saving or idle
//   data-steps  changes of the job or the piece so far
//   data-laid   the last of them that the engine has answered with a report
//   data-saved  finished files handed over so far

import { NOTHING } from '../state/state.js';

/** Writes the marks on `element`, as a view of the state. */
export function createMilestones(element) {
  const marks = element.dataset;
  let steps = 0;
  let saved = 0;

  return {
    update(state, before) {
      if (before !== NOTHING && (state.work.present !== before.work.present || state.piece !== before.piece)) steps += 1;
      if (state.saved && state.saved !== before.saved) saved += 1;
      marks.phase = state.run.phase;
      marks.steps = String(steps);
      marks.saved = String(saved);
      if (state.report && !state.stale && state.run.phase === 'idle') marks.laid = marks.steps;
    },
  };
}
