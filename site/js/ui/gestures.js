// Pointers on the bench: one drags or taps, two pan and zoom, the wheel zooms.

/** Pixels a pointer may wander and still be a tap. */
const TAP_PX = 5;

/**
 * Listens on `element`. `use` gives: start({x, y, pan, alt, target}) -> a
 * drag {move(x, y, event), end(kept)} or null to pan; pan(dx, dy);
 * zoom(factor, x, y); tap(x, y).
 */
export function listen(element, use) {
  const down = new Map();
  let drag = null;
  let begun = null;
  let moved = false;
  let two = null;

  const where = (event) => {
    const box = element.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  element.addEventListener('pointerdown', (event) => {
    if (event.target.closest('button, input, select, a, .dial, .bench-work')) return;
    element.setPointerCapture(event.pointerId);
    const at = where(event);
    down.set(event.pointerId, at);
    if (down.size === 1) {
      begun = at;
      moved = false;
      drag = use.start({ ...at, pan: event.button === 1 || event.shiftKey, alt: event.altKey, target: event.target });
      element.dataset.busy = 'drag';
    } else {
      drag?.end(false);
      drag = null;
      moved = true;
      two = span(down);
    }
  });

  element.addEventListener('pointermove', (event) => {
    const before = down.get(event.pointerId);
    if (!before) return;
    const at = where(event);
    down.set(event.pointerId, at);
    if (two) {
      const now = span(down);
      use.pan(now.x - two.x, now.y - two.y);
      if (two.reach > 0) use.zoom(now.reach / two.reach, now.x, now.y);
      two = now;
      return;
    }
    if (!moved && Math.hypot(at.x - begun.x, at.y - begun.y) < TAP_PX) return;
    moved = true;
    if (drag) drag.move(at.x, at.y, event);
    else use.pan(at.x - before.x, at.y - before.y);
  });

  const up = (event) => {
    if (!down.delete(event.pointerId)) return;
    two = down.size > 1 ? span(down) : null; // a finger that stays on goes on panning
    if (down.size > 0) return;
    delete element.dataset.busy;
    drag?.end(moved && event.type === 'pointerup');
    drag = null;
    if (!moved && event.type === 'pointerup' && event.button === 0) use.tap(begun.x, begun.y);
  };
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', up);

  element.addEventListener('wheel', (event) => {
    if (event.target.closest('.dial')) return;
    event.preventDefault();
    const { x, y } = where(event);
    use.zoom(Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.05 : 0.0016)), x, y);
  }, { passive: false });
}

/** The middle and the reach of the first two pointers that are down. */
function span(down) {
  const [a, b] = [...down.values()];
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, reach: Math.hypot(a.x - b.x, a.y - b.y) };
}
