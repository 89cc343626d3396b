// Which setting, or which way of looking, mends what a finding says, where the
// finding names no setting of its own.

import { fieldAt } from './schema.js';

/** Instead of a field: the place where strokes are told what they are. */
export const BOTH_LAYERS = 'look.both';

/** The field that mends a finding, by the finding's code. */
export const MENDED_BY = {
  'artwork-empty': 'art.kind',
  'artwork-no-lines': 'art.kind',
  'artwork-no-shapes': 'art.kind',
  'bead-piece-fill': 'bead.source',
  'bead-piece-unusable': 'bead.source',
  'bead-piece-varies': 'bead.source',
  'bead-no-lines': 'bead.source',
  'bead-not-comparable': 'bead.widthMM',
  'bead-too-narrow': 'bead.minWidthShare',
  'bead-too-wide': 'bead.maxWidthShare',
  'coverage-excess': 'keep.marginMM',
  'coverage-line-width': 'bead.widthMM',
  'coverage-lines-close': 'bead.widthMM',
  'coverage-lines-far': 'bead.widthMM',
  'coverage-open-spot': 'placement.scale',
  'coverage-same-way-above': 'placement.turnDeg',
  'coverage-short-pieces': 'placement.scale',
  'coverage-start': 'prime.side',
  'curves-too-long': 'art.params',
  'drawing-spacing-tight': 'bead.widthMM',
  'drawing-spacing-wide': 'bead.widthMM',
  'drawing-stroke-nozzle': 'art.mmPerUnit',
  'drawing-unit': 'art.mmPerUnit',
  'fill-bare-share': 'placement.turnDeg',
  'fill-left-out': 'placement.scale',
  'fill-not-clean': 'placement.turnDeg',
  'fill-thin-cell': 'placement.scale',
  'fill-thin-zone': 'placement.scale',
  'fill-too-long': 'bead.widthMM',
  'fill-too-many-zones': 'art.params',
  'footprint-class-unsure': BOTH_LAYERS,
  'footprint-flow': 'machine.filamentDiameterMM',
  'footprint-no-piece': BOTH_LAYERS,
  'footprint-no-width': 'machine.filamentDiameterMM',
  'generators-param-range': 'art.params',
  'generators-small-zones': 'art.params',
  'generators-unknown': 'art.generator',
  'generators-unknown-param': 'art.params',
  'join-cut-inside-line': 'piece.firstLine',
  'join-e-jump': 'bead.flowPercent',
  'join-e-per-mm': 'bead.source',
  'join-flow': 'bead.speedMMs',
  'join-homing': 'piece.firstLine',
  'join-keep-out': 'machine.keepOut',
  'join-low-travel': 'machine.liftMM',
  'join-no-bead': 'piece.firstLine',
  'join-off-bed': 'machine.bedWidthMM',
  'join-offsets': 'piece.firstLine',
  'join-pause': 'join.pause',
  'join-place-unknown': 'piece.firstLine',
  'join-tool-change': 'piece.firstLine',
  'layers-choice': 'piece.firstLine',
  'layers-choice-parts': 'piece.firstLine',
  'layers-choice-z': 'piece.nextLine',
  'layers-no-rise': 'piece.firstLine',
  'lettering-nothing': 'art.text',
  'lettering-thin': 'art.capHeightMM',
  'lettering-too-long': 'art.text',
  'lettering-unknown': 'art.text',
  'machine-moves-outside': 'machine.bedWidthMM',
  'making-lines-apart': 'art.joinGaps',
  'making-lines-cut': 'art.joinGaps',
  'making-margin': 'keep.marginMM',
  'making-nothing-laid': 'placement.xMM',
  'picture-few-levels': 'art.levels',
  'picture-specks': 'art.smoothMM',
  'piece-bed-disputed': 'machine.bedWidthMM',
  'piece-bed-elsewhere': 'machine.bedWidthMM',
  'piece-bed-shape': 'machine.bedWidthMM',
  'piece-height-disputed': 'machine.bedHeightMM',
  'piece-nozzle-disputed': 'machine.nozzleMM',
  'piece-speed-fast': 'bead.speedMMs',
  'tail-bed-hot': 'machine.maxBedC',
  'tail-nozzle-hot': 'machine.maxNozzleC',
  'thread-lines-apart': 'art.params',
  'thread-lines-crowd': 'art.params',
  'tilings-too-many': 'art.params',
  'trial-lay-repeats': 'art.trialAcrossTo',
  'trial-no-range': 'art.trialAcrossTo',
  'trial-same': 'art.trialDown',
  'trial-too-small': 'art.trialColumns',
  'trial-volume-flow': 'art.trialAcrossTo',
};

/**
 * Where a finding is mended: {path, words}, the words for a button; null where
 * only the sliced file or the artwork can be changed.
 */
export function mending({ code, places = [] }, fields) {
  const own = places.map(({ element }) => element).find((element) => element && fieldAt(fields, element));
  const path = own ?? MENDED_BY[code];
  if (path === BOTH_LAYERS) return { path, words: 'Look at both layers' };
  const label = path && fieldAt(fields, path)?.label;
  return label ? { path, words: `Set “${label.charAt(0).toLowerCase()}${label.slice(1)}”` } : null;
}
