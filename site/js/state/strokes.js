// What the lines of the piece's own first layer are: by the engine's evidence,
// or as the person has corrected it.

import { valueAt } from './job-path.js';
import { PIECE } from './paths.js';

/** The classes of strokes in the order of a legend, with their names. */
export const CLASSES = [
  { id: 'wall', name: 'Wall' },
  { id: 'fill', name: 'Fill' },
  { id: 'skirt', name: 'Skirt' },
  { id: 'brim', name: 'Brim' },
  { id: 'support', name: 'Support' },
  { id: 'priming', name: 'Priming' },
];

/**
 * The strokes of a piece by their class: [{id, name, strokes, corrected}],
 * classes without strokes left out. Strokes of no known class come last.
 */
export function strokesByClass(piece, job) {
  const own = valueAt(job, PIECE.classes) ?? {};
  const groups = new Map([...CLASSES, { id: 'unknown', name: 'Not known' }].map((one) => [one.id, { ...one, strokes: [], corrected: 0 }]));
  for (const stroke of piece?.report.strokes ?? []) {
    const given = own[String(stroke.index)];
    const group = groups.get(given ?? stroke.class) ?? groups.get('unknown');
    group.strokes.push(stroke);
    if (given !== undefined) group.corrected += 1;
  }
  return [...groups.values()].filter((one) => one.strokes.length > 0);
}
