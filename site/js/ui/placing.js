// Dragging the pattern: move, turn and scale, with snapping. Every drag ends
// in the same values that the placement card shows as numbers.

import { PLACEMENT } from '../state/paths.js';
import { snapMove, snapScale, snapTurn } from '../state/snap.js';
import { valueAt } from '../state/job-path.js';
import { jobOf } from '../state/state.js';
import { toBed, toScreen } from '../state/viewport.js';

let gestures = 0;

/** The placing of a store's job; `use.changing(on)` is told of a drag. */
export function createPlacing(store, use) {
  let lines = [];

  const now = () => {
    const job = jobOf(store.get());
    return {
      x: valueAt(job, PLACEMENT.x) ?? 0,
      y: valueAt(job, PLACEMENT.y) ?? 0,
      turn: valueAt(job, PLACEMENT.turn) ?? 0,
      scale: valueAt(job, PLACEMENT.scale) ?? 1,
    };
  };

  function put(values, gesture, label) {
    store.act('edits', { values, gesture, label });
  }

  return {
    /** The pattern's frame over a face box. */
    frame(face) {
      const { x, y, turn, scale } = now();
      return {
        centre: [(face[0] + face[2]) / 2 + x, (face[1] + face[3]) / 2 + y],
        half: [((face[2] - face[0]) / 2) * scale, ((face[3] - face[1]) / 2) * scale],
        turn,
      };
    },

    snaps: () => lines,

    /** Begins a drag where one is possible, else null (the view pans). */
    start({ view, x, y, alt, target, face }) {
      const grip = target?.dataset?.grip;
      const frame = this.frame(face);
      const at = toBed(view, x, y);
      if (!grip && !isInside(at, frame)) return null;
      const begun = now();
      const middle = toScreen(view, frame.centre[0], frame.centre[1]);
      const reach = Math.hypot(x - middle[0], y - middle[1]);
      const gesture = `place-${(gestures += 1)}`;
      use.changing(true);
      return {
        move(px, py, event) {
          const free = alt || event.altKey;
          const to = toBed(view, px, py);
          lines = [];
          if (grip === 'turn') {
            const degrees = (Math.atan2(to[1] - frame.centre[1], to[0] - frame.centre[0]) * 180) / Math.PI - 90;
            put({ [PLACEMENT.turn]: snapTurn(degrees, free) }, gesture, 'turn the pattern');
          } else if (grip === 'scale') {
            const grown = Math.hypot(px - middle[0], py - middle[1]) / Math.max(1, reach);
            put({ [PLACEMENT.scale]: snapScale(Math.min(20, Math.max(0.05, begun.scale * grown)), free) }, gesture, 'scale the pattern');
          } else {
            const snapped = snapMove(begun.x + to[0] - at[0], begun.y + to[1] - at[1], face, view.scale, free);
            lines = snapped.lines;
            put({ [PLACEMENT.x]: round(snapped.x), [PLACEMENT.y]: round(snapped.y) }, gesture, 'move the pattern');
          }
        },
        end() {
          lines = [];
          use.changing(false);
        },
      };
    },

    /** One arrow key: half a millimetre, five with Shift. */
    nudge([right, up], wide, mirrored) {
      const step = wide ? 5 : 0.5;
      const { x, y } = now();
      put({ [PLACEMENT.x]: round(x + right * step * (mirrored ? -1 : 1)), [PLACEMENT.y]: round(y + up * step) }, 'nudge', 'move the pattern');
    },
  };
}

function isInside([x, y], frame) {
  const turn = (-frame.turn * Math.PI) / 180;
  const dx = x - frame.centre[0];
  const dy = y - frame.centre[1];
  const u = dx * Math.cos(turn) - dy * Math.sin(turn);
  const v = dx * Math.sin(turn) + dy * Math.cos(turn);
  return Math.abs(u) <= frame.half[0] && Math.abs(v) <= frame.half[1];
}

function round(mm) {
  return Math.round(mm * 100) / 100;
}
