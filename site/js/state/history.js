// Undo and redo over whole working states (job and piece together).

/** Steps that can be taken back. */
export const DEPTH = 50;

/** An empty history standing at `present`. */
export function begin(present) {
  return { past: [], present, future: [], gesture: null };
}

/**
 * The history after a change. Changes that carry the same gesture (one drag,
 * one burst of arrow keys) are one step.
 */
export function push(history, present, label, gesture = null) {
  const going = gesture !== null && gesture === history.gesture;
  const past = going ? history.past : [...history.past, { state: history.present, label }].slice(-DEPTH);
  return { past, present, future: [], gesture };
}

/** One step back; the same history when there is none. */
export function undo(history) {
  const last = history.past.at(-1);
  if (!last) return history;
  return {
    past: history.past.slice(0, -1),
    present: last.state,
    future: [{ state: history.present, label: last.label }, ...history.future],
    gesture: null,
  };
}

/** One step forward again; the same history when there is none. */
export function redo(history) {
  const [next, ...future] = history.future;
  if (!next) return history;
  return {
    past: [...history.past, { state: history.present, label: next.label }],
    present: next.state,
    future,
    gesture: null,
  };
}

/** The history with its present replaced and no step made of it. */
export function amend(history, present) {
  return { ...history, present };
}
