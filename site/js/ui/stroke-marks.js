// How the strokes of the old layer are told apart: each class by the shape of
// its line as well as by its tone, the same on the face and in the legend.
// The style sheet holds the tones (.mark-…), this file the shapes.

import { s } from './dom.js';

/** Dashes and width in pixels; `round` makes dots of short dashes, `rungs` cross the line. */
const SHAPES = {
  wall: { dash: [], width: 1.75 },
  fill: { dash: [], width: 0.75 },
  skirt: { dash: [9, 4], width: 1.75 },
  brim: { dash: [4, 3], width: 1.75 },
  support: { dash: [0.1, 5], width: 3, round: true },
  priming: { dash: [9, 4, 0.1, 4], width: 2.25, round: true },
  unknown: { dash: [2, 6], width: 1.75 },
  bead: { dash: [], width: 4 },
  kept: { dash: [], width: 4 },
  prime: { dash: [], width: 4, rungs: true },
  travel: { dash: [5, 5], width: 1.25 },
  added: { dash: [0.1, 4.5], width: 3.5, round: true },
};

/** Classes that are seen by the tone of their beads alone: there are many. */
const TONE_ONLY = new Set(['fill']);

/** The legend's swatch of a class: a piece of its line. */
export function strokeSwatch(id) {
  const { dash, width, round, rungs } = SHAPES[id];
  const line = (d, thick = width) => s('path', { class: `mark mark-${id}`, d, 'stroke-width': thick, 'stroke-dasharray': dash.join(' ') || null, 'stroke-linecap': round ? 'round' : 'butt' });
  return s('svg', { class: 'swatch-line', viewBox: '0 0 34 12', 'aria-hidden': 'true', focusable: 'false' },
    TONE_ONLY.has(id) ? line('M2 2h30M2 4.5h30M2 7h30M2 9.5h30') : line('M2 6h30'),
    rungs ? line('M8 1v10M17 1v10M26 1v10', 1.2) : null);
}

/** An unseen element that is styled as the marks, and answers their tones. */
export function createStrokeTones() {
  const paths = Object.fromEntries(Object.keys(SHAPES).map((id) => [id, s('path', { class: `mark mark-${id}` })]));
  return {
    element: s('svg', { class: 'unseen', 'aria-hidden': 'true', focusable: 'false' }, Object.values(paths)),
    toneOf: (id) => getComputedStyle(paths[id]).stroke,
  };
}

/**
 * The marks to draw over a picture of the bed: [{path, tone, dash, width,
 * round}], paths in bed mm. `toneOf(id)` gives the colour of a class.
 */
export function strokeMarks(groups, toneOf) {
  return groups.filter((one) => !TONE_ONLY.has(one.id)).map(({ id, strokes }) => ({ ...SHAPES[id], tone: toneOf(id), path: pathOf(strokes.map((one) => one.points)) }));
}

/** The marks of the straight pieces that join drawn lines; flat point lists. */
export function addedMarks(runs, toneOf) {
  return runs?.length > 0 ? [{ ...SHAPES.added, tone: toneOf('added'), path: pathOf(runs) }] : [];
}

function pathOf(runs) {
  const path = new Path2D();
  for (const flat of runs) {
    for (let at = 0; at + 1 < flat.length; at += 2) path[at === 0 ? 'moveTo' : 'lineTo'](flat[at], flat[at + 1]);
  }
  return path;
}
