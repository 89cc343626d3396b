// Snapping of a dragged pattern: centre and edges of the face, steps of 15°.

/** How near a snap must be, in pixels. */
export const REACH_PX = 8;
/** Step of a snapped turn, degrees, and how near it must be. */
export const TURN_STEP = 15;
export const TURN_REACH = 3;

/**
 * Snaps an offset (mm) of the pattern's centre from the face's centre. The
 * centre lines of the face and its edges (pattern centre on an edge) pull.
 * Answer: {x, y, lines: [{axis, at}]}, `at` in bed mm.
 */
export function snapMove(x, y, face, scale, free = false) {
  if (free) return { x, y, lines: [] };
  const reach = REACH_PX / scale;
  const centre = [(face[0] + face[2]) / 2, (face[1] + face[3]) / 2];
  const half = [(face[2] - face[0]) / 2, (face[3] - face[1]) / 2];
  const lines = [];
  const pull = (value, axis) => {
    const goal = [0, -half[axis], half[axis]].find((one) => Math.abs(value - one) <= reach);
    if (goal === undefined) return value;
    lines.push({ axis, at: centre[axis] + goal });
    return goal;
  };
  return { x: pull(x, 0), y: pull(y, 1), lines };
}

/** Snaps a turn in degrees to the nearest step when near; (-180, 180]. */
export function snapTurn(degrees, free = false) {
  const nearest = Math.round(degrees / TURN_STEP) * TURN_STEP;
  const taken = !free && Math.abs(degrees - nearest) <= TURN_REACH ? nearest : Math.round(degrees * 10) / 10;
  const turned = ((((taken + 180) % 360) + 360) % 360) - 180;
  return turned === -180 ? 180 : turned;
}

/** Snaps a scale to whole twentieths when near. */
export function snapScale(scale, free = false) {
  const nearest = Math.round(scale * 20) / 20;
  return !free && Math.abs(scale - nearest) < 0.012 ? nearest : Math.round(scale * 1000) / 1000;
}
