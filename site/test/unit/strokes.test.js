import assert from 'node:assert/strict';
import { test } from 'node:test';
import { figureWords } from '../../js/state/numbers.js';
import { initial, reduce } from '../../js/state/state.js';
import { strokesByClass } from '../../js/state/strokes.js';

const stroke = (index, kind) => ({ index, class: kind, points: [0, 0, index, 1] });

test('no piece has no strokes', () => {
  assert.deepEqual(strokesByClass(null, {}), []);
  assert.deepEqual(strokesByClass({ report: {} }, {}), []);
});

test('strokes stand by class in the order of the legend, unknown ones last', () => {
  const piece = { report: { strokes: [stroke(0, 'skirt'), stroke(1, 'unknown'), stroke(2, 'wall'), stroke(3, 'skirt'), stroke(4, 'swarf')] } };
  assert.deepEqual(strokesByClass(piece, {}).map(({ id, strokes, corrected }) => [id, strokes.map((one) => one.index), corrected]),
    [['wall', [2], 0], ['skirt', [0, 3], 0], ['unknown', [1, 4], 0]]);
});

test('a corrected stroke stands where the person put it', () => {
  const piece = { report: { strokes: [stroke(0, 'skirt'), stroke(1, 'skirt')] } };
  assert.deepEqual(strokesByClass(piece, { piece: { classes: { 1: 'brim' } } }).map(({ id, name, corrected }) => [id, name, corrected]),
    [['skirt', 'Skirt', 0], ['brim', 'Brim', 1]]);
});

for (const [value, unit, words] of [
  [0.9954, 'share', '99.5 %'], [842, 's', '14 min'], [15_900, 'mm', '15.9 m'], [3790, '', '3,790'], [1.0123, '', '1.012'],
  [6361.4, 'mm²', '6361.4 mm²'], [1.6, 'g', '1.6 g'], [0.0334, 'mm/mm', '0.0334 mm/mm'], [1.634, 'mm³/s', '1.63 mm³/s'],
]) {
  test(`a figure of ${value} ${unit || 'things'} reads “${words}”`, () => assert.equal(figureWords(value, unit), words));
}

test('a job that was given up stays so until it is laid, changed or opened anew', () => {
  const laid = reduce(initial(), { type: 'report', report: { ok: true } });
  const given = reduce(laid, { type: 'givenUp' });
  assert.deepEqual([given.givenUp, given.stale], [true, true]);
  assert.equal(reduce(given, { type: 'run', run: { phase: 'idle' } }).givenUp, true, 'standing still lays nothing');
  assert.equal(reduce(given, { type: 'run', run: { phase: 'laying' } }).givenUp, false);
  assert.equal(reduce(given, { type: 'edit', path: 'bead.widthMM', value: 0.5 }).givenUp, false);
  assert.equal(reduce(given, { type: 'report', report: { ok: true } }).givenUp, false);
});
