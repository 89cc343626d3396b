// The lamp as it is seen over the bench: its mark, the thread to the middle,
// and the glow it casts. Moved by transforms only, so that following a finger
// costs no drawing.

import { lampMark } from '../state/light.js';
import { h, s } from './dom.js';

const HALF = 22;

/** The mark's parts, to be put under and over the canvas. */
export function createLampMark() {
  const glow = h('div', { class: 'lamp-glow', 'aria-hidden': 'true' });
  const thread = h('div', { class: 'lamp-thread', 'aria-hidden': 'true' });
  const mark = s('svg', { class: 'lamp-mark', viewBox: `${-HALF} ${-HALF} ${2 * HALF} ${2 * HALF}`, 'aria-hidden': 'true', focusable: 'false' },
    Array.from({ length: 12 }, (_, i) => ray((i * Math.PI) / 6, i % 2 ? 17 : 20)),
    s('circle', { class: 'lamp-bulb', r: 8 }));

  return {
    glow, thread, mark,

    /**
     * Puts the lamp of a look into its circle {x, y, reach}, px of the bench;
     * without a face there is only its glow.
     */
    place(look, circle, hasFace) {
      const [u, v] = lampMark(look.azimuth, look.tilt);
      const x = circle.x + u * circle.reach;
      const y = circle.y - v * circle.reach;
      glow.style.transform = `translate(${x}px, ${y}px)`;
      const shown = look.kind === 'light' && hasFace;
      for (const part of [mark, thread]) part.style.display = shown ? '' : 'none';
      if (!shown) return;
      mark.style.transform = `translate(${x - HALF}px, ${y - HALF}px)`;
      thread.style.inlineSize = `${Math.hypot(x - circle.x, y - circle.y)}px`;
      thread.style.transform = `translate(${circle.x}px, ${circle.y}px) rotate(${Math.atan2(y - circle.y, x - circle.x)}rad)`;
    },
  };
}

function ray(angle, to) {
  const [x, y] = [Math.cos(angle), Math.sin(angle)];
  return s('line', { class: 'lamp-ray', x1: 13 * x, y1: 13 * y, x2: to * x, y2: to * y });
}
