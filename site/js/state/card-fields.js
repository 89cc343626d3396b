// Which fields a card shows at once, which wait under "More", and which belong
// to another kind of artwork. Fields unknown here are shown under "More", so
// a new field of the engine is never lost.

import { valueAt } from './job-path.js';
import { fieldAt, standing } from './schema.js';

const FIRST = new Set([
  'art.turnLaysDeg', 'art.text', 'art.capHeightMM', 'art.levels', 'art.pictureWidthMM', 'art.assign', 'art.mmPerUnit', 'art.joinGaps',
  'art.trialAcross', 'art.trialAcrossFrom', 'art.trialAcrossTo', 'art.trialColumns', 'art.trialDown', 'art.trialDownFrom', 'art.trialDownTo', 'art.trialRows',
  'placement.xMM', 'placement.yMM', 'placement.turnDeg', 'placement.scale', 'placement.mirror', 'placement.readFromBelow',
  'keep.around', 'keep.walls', 'keep.overlapPercent', 'keep.marginMM', 'layers.count', 'layers.turnDeg', 'layers.shiftMM',
  'bead.source', 'bead.widthMM', 'bead.heightMM', 'bead.flowPercent', 'bead.speedMMs', 'bead.startSpeedMMs',
  'prime.source', 'prime.lengthMM', 'prime.gapMM', 'prime.side', 'prime.wipeMM', 'join.pause', 'join.parkXMM', 'join.parkYMM', 'join.parkLiftMM',
  'machine.bedShape', 'machine.bedWidthMM', 'machine.bedDepthMM', 'machine.bedDiameterMM', 'machine.origin', 'machine.nozzleMM', 'machine.filamentDiameterMM', 'machine.maxFlowMM3s',
]);

const KINDS = {
  generator: ['turnLaysDeg'],
  lines: ['mmPerUnit', 'joinGaps'],
  shapes: ['mmPerUnit', 'assign', 'strokes', 'turnLaysDeg', 'groundDeg'],
  picture: ['pictureWidthMM', 'levels', 'levelsBy', 'fromDeg', 'toDeg', 'smoothMM', 'groundDeg'],
  lettering: ['text', 'capHeightMM', 'font', 'align', 'textDeg', 'groundDeg'],
  trial: ['trialAcross', 'trialAcrossFrom', 'trialAcrossTo', 'trialColumns', 'trialDown', 'trialDownFrom', 'trialDownTo', 'trialRows'],
};

const SHOWN_WHEN = {
  'bead.heightMM': ['bead.source', 'own'],
  'layers.turnDeg': ['layers.count', (count) => count > 1],
  'layers.shiftMM': ['layers.count', (count) => count > 1],
  'keep.overlapPercent': ['keep.walls', (walls) => walls > 0],
  'prime.lengthMM': ['prime.source', 'own'],
  'prime.gapMM': ['prime.source', 'own'],
  'prime.side': ['prime.source', 'own'],
  'join.parkXMM': ['join.pause', (pause) => pause !== 'none'],
  'join.parkYMM': ['join.pause', (pause) => pause !== 'none'],
  'join.parkLiftMM': ['join.pause', (pause) => pause !== 'none'],
  'machine.bedWidthMM': ['machine.bedShape', (shape) => shape !== 'round'],
  'machine.bedDepthMM': ['machine.bedShape', (shape) => shape !== 'round'],
  'machine.bedDiameterMM': ['machine.bedShape', 'round'],
  'machine.deviationMM': ['machine.cornerModel', 'arc'],
  'machine.jumpMMs': ['machine.cornerModel', 'jump'],
  'art.trialDownFrom': ['art.trialDown', (what) => what !== 'none'],
  'art.trialDownTo': ['art.trialDown', (what) => what !== 'none'],
  'art.trialRows': ['art.trialDown', (what) => what !== 'none'],
};

/** Reports whether a field is shown before "More" is opened. */
export function isFirst(field) {
  return FIRST.has(field.path);
}

/** Reports whether a field has a meaning in this job. */
export function isShown(field, job, fields, read = {}) {
  if (field.section === 'art') {
    const key = field.path.slice('art.'.length);
    if (!(KINDS[now('art.kind')] ?? []).includes(key)) return false;
  }
  const rule = SHOWN_WHEN[field.path];
  if (!rule) return true;
  const value = now(rule[0]);
  return typeof rule[1] === 'function' ? rule[1](value) : rule[1] === value;

  function now(path) {
    const other = fieldAt(fields, path);
    return other ? standing(other, job, read).value : valueAt(job, path);
  }
}
