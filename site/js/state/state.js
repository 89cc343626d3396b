// The one state of the page and every way it can change. Plain data in,
// plain data out; who is allowed to call these is the controller.

import { amend, begin, push, redo, undo } from './history.js';
import { same, valueAt, withValue } from './job-path.js';
import { completed } from './verdict.js';

/** An empty job of this version. */
export const EMPTY_JOB = Object.freeze({ sheenlay: 1 });

/** The state before the engine has answered. */
export function initial(habits = {}) {
  return {
    schema: null,
    work: begin({ job: EMPTY_JOB, pieceKey: null }),
    piece: null,
    survey: null,
    report: null,
    stale: false,
    givenUp: false,
    run: { phase: 'starting', share: 0, stage: '' },
    problem: null,
    card: null,
    look: {
      kind: 'light', below: true,
      surface: habits.surface ?? null, colour: habits.colour ?? '#cf6f2c',
      azimuth: 102, tilt: 16, turning: false, tilting: false,
      upTo: 1, playing: false,
      old: true, fresh: true, covered: true,
    },
    saved: null,
    toast: null,
    habits: { singleKeys: true, ...habits },
    storageLost: false,
  };
}

/** What stood before the first state: nothing, in its shape. */
export const NOTHING = Object.freeze({ look: {}, work: { present: {} } });

/** The state after one action {type, ...}. Unknown types are programmer errors. */
export function reduce(state, action) {
  const change = CHANGES[action.type];
  if (!change) throw new Error(`no such action: ${action.type}`);
  return change(state, action);
}

/** The job that is being worked on. */
export function jobOf(state) {
  return state.work.present.job;
}

const CHANGES = {
  schema: (state, { schema }) => ({ ...state, schema, look: { ...state.look, surface: state.look.surface ?? schema.surfaces?.find((one) => one.id === 'silk')?.id ?? schema.surfaces?.[0]?.id ?? null } }),

  /** One value of the job; edits of one gesture are one step of undo. */
  edit(state, { path, value, label, gesture = null }) {
    const job = jobOf(state);
    if (same(valueAt(job, path), value)) return state;
    return worked(state, { ...state.work.present, job: withValue(job, path, value) }, label ?? path, gesture);
  },

  /** Several values at once: {path: value}. */
  edits(state, { values, label, gesture = null }) {
    let job = jobOf(state);
    for (const [path, value] of Object.entries(values)) job = withValue(job, path, value);
    if (same(job, jobOf(state))) return state;
    return worked(state, { ...state.work.present, job }, label, gesture);
  },

  /** A whole other job (opened, imported, reset). */
  job: (state, { job, label }) => worked(state, { ...state.work.present, job: { ...job, sheenlay: 1 } }, label),

  /** The job as restored after a reload: no step of undo. */
  restored: (state, { job }) => ({ ...state, work: amend(state.work, { ...state.work.present, job: { ...job, sheenlay: 1 } }) }),

  /** A piece was opened; loading is a step that can be taken back. */
  piece(state, { key, name, size, report, silent = false, values = {} }) {
    let job = withValue(jobOf(state), 'piece', undefined);
    for (const [path, value] of Object.entries(values)) job = withValue(job, path, value);
    const present = { job, pieceKey: key };
    const next = silent || state.work.present.pieceKey === null
      ? { ...state, work: amend(state.work, present) }
      : worked(state, present, `open ${name}`);
    return { ...next, piece: { key, name, size, report }, survey: null, report: null, givenUp: false, saved: null, problem: null };
  },

  /**
   * The piece of another step (or, after a refused file, the same one) was
   * opened again.
   */
  reopened(state, { key, name, size, report }) {
    const same = state.piece?.key === key && state.work.present.pieceKey === key;
    return { ...state, piece: { key, name, size, report }, survey: same ? state.survey : null, report: same ? state.report : null };
  },

  /** The whole file was read: what that adds to the report of the job laid meanwhile comes with it. */
  survey: (state, { survey }) => ({ ...state, survey, report: completed(state.report, survey.laid) }),
  /** A finished run; a coarse one is a glimpse and nothing to save. */
  report: (state, { report, coarse = false }) => ({ ...state, report, stale: coarse, givenUp: false, saved: null }),

  /** A run was cancelled or failed: the report speaks of an older job. */
  givenUp: (state) => ({ ...state, stale: true, givenUp: true }),

  run: (state, { run }) => ({ ...state, run: { ...state.run, ...run }, givenUp: state.givenUp && run.phase !== 'laying' }),
  problem: (state, { problem }) => ({ ...state, problem }),
  card: (state, { card }) => ({ ...state, card }),
  look: (state, { look }) => ({ ...state, look: { ...state.look, ...look } }),
  saved: (state, { saved }) => ({ ...state, saved }),
  toast: (state, { toast }) => ({ ...state, toast }),
  habit: (state, { habits }) => ({ ...state, habits: { ...state.habits, ...habits } }),
  storageLost: (state) => ({ ...state, storageLost: true }),
  undo: (state) => stepped(state, undo(state.work)),
  redo: (state) => stepped(state, redo(state.work)),
};

function worked(state, present, label, gesture = null) {
  return { ...state, work: push(state.work, present, label, gesture), saved: null, problem: null, stale: true, givenUp: false };
}

function stepped(state, work) {
  return work === state.work ? state : { ...state, work, saved: null, problem: null, stale: true, givenUp: false };
}
