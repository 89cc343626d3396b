// The thin drawing over the bench: outline of the face, nozzle,
// handles, scale rule, the place of a finding.

import { plain } from '../state/numbers.js';
import { freeSpan, ruleLength, toScreen } from '../state/viewport.js';
import { fill, s } from './dom.js';

/** How far the turning knob stands off the frame, and the rim under labels. */
const TURNER_PX = 26;
const RIM_PX = 36;

/** The overlay's element and its one drawing function. */
export function createOverlay() {
  const root = s('svg', { class: 'bench-over', 'aria-hidden': 'true', focusable: 'false' });
  return {
    root,
    draw(scene) {
      fill(root, ...parts(scene));
    },
  };
}

/** Centre and reach of the lamp's circle: the part of the bench that is free. */
export function lampCircle(view, covered) {
  const [from, to] = freeSpan(view.width, covered);
  return { x: (from + to) / 2, y: view.height / 2, reach: (Math.min(to - from, view.height) / 2) * 0.9 };
}

function parts({ view, look, rings, bed, frame, snaps, nozzle, place }) {
  const drawn = [];
  if (bed && look.kind !== 'light') drawn.push(s('path', { class: 'thin', d: bedPath(view, bed) }));
  drawn.push(...rings.map((ring) => s('path', { class: 'thin', d: ringPath(view, ring) })));
  if (frame) drawn.push(...frameParts(view, frame));
  for (const line of snaps) drawn.push(snapLine(view, line));
  if (nozzle) drawn.push(...nozzleParts(view, nozzle));
  if (place) drawn.push(...placeParts(view, place));
  drawn.push(...ruleParts(view));
  return drawn;
}

function ringPath(view, flat) {
  let path = '';
  for (let i = 0; i + 1 < flat.length; i += 2) {
    const [x, y] = toScreen(view, flat[i], flat[i + 1]);
    path += `${i === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`;
  }
  return path && `${path}Z`;
}

function bedPath(view, bed) {
  if (bed.round) {
    const [x, y] = toScreen(view, bed.centre[0], bed.centre[1]);
    const r = bed.radius * view.scale;
    return `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;
  }
  const [x0, y0, x1, y1] = bed.box;
  return ringPath(view, [x0, y0, x1, y0, x1, y1, x0, y1]);
}

/** Screen corners and handles of the pattern's frame. */
export function frameCorners(view, frame) {
  const turn = (frame.turn * Math.PI) / 180;
  const place = (u, v) => toScreen(view, frame.centre[0] + u * Math.cos(turn) - v * Math.sin(turn), frame.centre[1] + u * Math.sin(turn) + v * Math.cos(turn));
  const [w, hgt] = frame.half;
  const outside = place(0, hgt + TURNER_PX / view.scale);
  return {
    corners: [place(-w, -hgt), place(w, -hgt), place(w, hgt), place(-w, hgt)],
    top: place(0, hgt),
    turner: isFree(view, outside) ? outside : place(0, hgt - TURNER_PX / view.scale),
  };
}

/** Reports whether a handle can be taken there: not at the rim of the bench. */
function isFree(view, [x, y]) {
  return x > RIM_PX && x < view.width - RIM_PX && y > RIM_PX && y < view.height - RIM_PX;
}

function frameParts(view, frame) {
  const { corners, top, turner } = frameCorners(view, frame);
  const box = `M${corners.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}Z M${top.join(' ')}L${turner.join(' ')}`;
  const grip = (x, y, kind) => s('circle', { class: 'grip', cx: x, cy: y, r: 16, 'data-grip': kind });
  return [
    s('path', { class: 'frame', d: box }),
    ...corners.flatMap(([x, y]) => [s('rect', { class: 'handle', x: x - 5, y: y - 5, width: 10, height: 10 }), grip(x, y, 'scale')]),
    s('circle', { class: 'handle', cx: turner[0], cy: turner[1], r: 6 }),
    grip(turner[0], turner[1], 'turn'),
  ];
}

function snapLine(view, line) {
  const [x, y] = toScreen(view, line.at, line.at);
  return line.axis === 0
    ? s('line', { class: 'snap', x1: x, x2: x, y1: 0, y2: view.height })
    : s('line', { class: 'snap', x1: 0, x2: view.width, y1: y, y2: y });
}

function nozzleParts(view, at) {
  const [x, y] = toScreen(view, at[0], at[1]);
  return [s('circle', { class: 'nozzle', cx: x, cy: y, r: 11 }), s('circle', { class: 'nozzle-core', cx: x, cy: y, r: 4 })];
}

function placeParts(view, at) {
  const [x, y] = toScreen(view, at[0], at[1]);
  return [s('path', { class: 'place', d: `M${x - 22} ${y}h12M${x + 10} ${y}h12M${x} ${y - 22}v12M${x} ${y + 10}v12` }), s('circle', { class: 'place', cx: x, cy: y, r: 10 })];
}

function ruleParts(view) {
  const mm = ruleLength(view);
  const px = mm * view.scale;
  const words = `${plain(mm, 2)} mm`;
  const y = view.height - 16;
  const x = 16;
  return [
    s('rect', { class: 'scale-back', x: x - 8, y: y - 10, width: px + 24 + 6.4 * words.length, height: 20, rx: 3 }),
    s('path', { class: 'scale-rule', d: `M${x} ${y - 5}v10M${x} ${y}h${px}m0 -5v10` }),
    s('text', { class: 'scale-text', x: x + px + 8, y: y + 4, text: words }),
  ];
}
