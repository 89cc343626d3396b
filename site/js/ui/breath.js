// Letting the browser breathe between two steps of longer work, so that no
// step delays what the person does.

/** Resolves in a task of its own. */
export function breath() {
  return globalThis.scheduler?.yield?.() ?? new Promise((done) => setTimeout(done));
}
