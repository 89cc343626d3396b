import assert from 'node:assert/strict';
import test from 'node:test';
import { initial, NOTHING } from '../../js/state/state.js';
import { createStore } from '../../js/state/store.js';
import { createMilestones } from '../../js/ui/milestones.js';

/** A store whose marks are kept up to date, and the marks. */
function marked() {
  const element = { dataset: {} };
  const store = createStore(initial());
  const milestones = createMilestones(element);
  milestones.update(store.get(), NOTHING);
  store.on((state, before) => milestones.update(state, before));
  return { marks: element.dataset, act: store.act, lay: () => { store.act('run', { run: { phase: 'laying' } }); store.act('report', { report: { ok: true } }); store.act('run', { run: { phase: 'idle' } }); } };
}

test('before anything is opened no step is counted and none is laid', () => {
  const { marks } = marked();
  assert.deepEqual(marks, { phase: 'starting', steps: '0', saved: '0' });
});

test('a step is laid when its report is in and drawn, and no sooner', () => {
  const { marks, act } = marked();
  act('piece', { key: 'piece-1', name: 'tag.gcode', size: 9, report: {} });
  act('run', { run: { phase: 'laying' } });
  assert.deepEqual([marks.steps, marks.laid], ['1', undefined]);
  act('report', { report: { ok: true } });
  assert.equal(marks.laid, undefined, 'the pictures are still on their way');
  act('run', { run: { phase: 'idle' } });
  assert.equal(marks.laid, '1');
});

test('an edit is a step until it is laid; a coarse run and a cancelled one lay nothing', () => {
  const { marks, act, lay } = marked();
  act('piece', { key: 'piece-1', name: 'tag.gcode', size: 9, report: {} });
  lay();
  act('edit', { path: 'bead.widthMM', value: 0.5 });
  assert.deepEqual([marks.steps, marks.laid], ['2', '1']);
  act('edit', { path: 'bead.widthMM', value: 0.5 });
  assert.equal(marks.steps, '2', 'an edit to the same value is none');
  act('report', { report: { ok: true }, coarse: true });
  act('run', { run: { phase: 'idle' } });
  assert.equal(marks.laid, '1');
  act('givenUp');
  assert.equal(marks.laid, '1');
  lay();
  assert.equal(marks.laid, '2');
  act('undo');
  assert.deepEqual([marks.steps, marks.laid], ['3', '2']);
});

test('every file handed over is counted once', () => {
  const { marks, act } = marked();
  act('saved', { saved: { name: 'tag-sheenlay.gcode' } });
  act('run', { run: { phase: 'idle' } });
  assert.equal(marks.saved, '1');
  act('edit', { path: 'bead.widthMM', value: 0.5 });
  act('saved', { saved: { name: 'tag-sheenlay.gcode' } });
  assert.equal(marks.saved, '2');
});
