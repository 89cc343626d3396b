// Letting the browser breathe between two steps of longer work, so that no
// step delays what the person does.

/** Resolves in a task of its own. */
export function breath() {
  return globalThis.scheduler?.yield?.() ?? new Promise((done) => setTimeout(done));
}

/** Resolves in the task after the next frame is painted; at once where none is painted. */
export function painted(document) {
  if (document.hidden) return breath();
  return new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    document.addEventListener('visibilitychange', done, { once: true }); // hidden meanwhile: no frame comes
  });
}
