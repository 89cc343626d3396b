import assert from 'node:assert/strict';
import test from 'node:test';
import { DEPTH } from '../../js/state/history.js';
import { openShelf, isJob, isPresetList } from '../../js/state/shelf.js';
import { initial, jobOf, reduce } from '../../js/state/state.js';
import { createStore } from '../../js/state/store.js';

const opened = (state, key = 'piece-1') => reduce(state, { type: 'piece', key, name: `${key}.gcode`, size: 9, report: {} });
const edit = (state, value, gesture) => reduce(state, { type: 'edit', path: 'bead.widthMM', value, gesture });

test('fifty edits are undone to the byte and redone to the byte', () => {
  let state = opened(initial());
  const first = JSON.stringify(state.work.present);
  for (let i = 1; i <= DEPTH; i += 1) state = reduce(state, { type: 'edit', path: ['bead.widthMM', 'art.params.side', 'placement.turnDeg'][i % 3], value: i });
  const last = JSON.stringify(state.work.present);
  for (let i = 0; i < DEPTH; i += 1) state = reduce(state, { type: 'undo' });
  assert.equal(JSON.stringify(state.work.present), first);
  for (let i = 0; i < DEPTH; i += 1) state = reduce(state, { type: 'redo' });
  assert.equal(JSON.stringify(state.work.present), last);
});

test('undo with nothing behind and redo with nothing ahead change nothing', () => {
  const state = initial();
  assert.equal(reduce(state, { type: 'undo' }), state);
  assert.equal(reduce(state, { type: 'redo' }), state);
});

test('one drag is one step, two drags are two', () => {
  let state = opened(initial());
  for (const value of [0.5, 0.6, 0.7]) state = edit(state, value, 'drag-1');
  for (const value of [0.8, 0.9]) state = edit(state, value, 'drag-2');
  assert.equal(state.work.past.length, 2);
  state = reduce(state, { type: 'undo' });
  assert.equal(jobOf(state).bead.widthMM, 0.7);
});

test('an edit to the same value is no step', () => {
  const state = edit(opened(initial()), 0.5);
  assert.equal(edit(state, 0.5), state);
});

test('an edit after undo forgets what lay ahead', () => {
  let state = edit(edit(opened(initial()), 0.5), 0.6);
  state = edit(reduce(state, { type: 'undo' }), 0.7);
  assert.equal(state.work.future.length, 0);
});

test('opening a second piece is a step; the first and a silent one are not', () => {
  let state = opened(initial());
  assert.equal(state.work.past.length, 0);
  state = opened(state, 'piece-2');
  assert.equal(state.work.past.length, 1);
  state = reduce(state, { type: 'undo' });
  assert.equal(state.work.present.pieceKey, 'piece-1');
});

test('what was said about one piece does not pass to the next', () => {
  let state = reduce(opened(initial()), { type: 'edits', values: { 'piece.firstLine': 10, 'keep.walls': 2 }, label: 'x' });
  state = opened(state, 'piece-2');
  assert.deepEqual(jobOf(state), { sheenlay: 1, keep: { walls: 2 } });
});

test('loading a job, restoring one and starting afresh', () => {
  let state = edit(opened(initial()), 0.5);
  state = reduce(state, { type: 'job', job: {}, label: 'start afresh' });
  assert.deepEqual(jobOf(state), { sheenlay: 1 });
  state = reduce(state, { type: 'undo' });
  assert.equal(jobOf(state).bead.widthMM, 0.5);
  const restored = reduce(opened(initial()), { type: 'restored', job: { keep: { walls: 1 } } });
  assert.equal(restored.work.past.length, 0);
  assert.deepEqual(jobOf(restored), { sheenlay: 1, keep: { walls: 1 } });
});

test('an edit takes a saved mark and a past problem away', () => {
  let state = reduce(opened(initial()), { type: 'saved', saved: { name: 'x' } });
  state = reduce(state, { type: 'problem', problem: { text: 'no' } });
  state = edit(state, 0.5);
  assert.equal(state.saved, null);
  assert.equal(state.problem, null);
});

test('a piece opened again after a refused one keeps its report', () => {
  let state = reduce(opened(initial()), { type: 'report', report: { ok: true } });
  state = reduce(state, { type: 'reopened', key: 'piece-1', name: 'a', size: 1, report: {} });
  assert.deepEqual(state.report, { ok: true });
  state = reduce(state, { type: 'reopened', key: 'piece-9', name: 'b', size: 1, report: {} });
  assert.equal(state.report, null);
});

test('what is laid is outdated by an edit, by undo and by a glimpse, until the next full run', () => {
  const full = (state) => reduce(state, { type: 'report', report: { ok: true } });
  let state = full(edit(opened(initial()), 0.5));
  assert.equal(state.stale, false);
  assert.equal(edit(state, 0.6).stale, true);
  assert.equal(reduce(state, { type: 'undo' }).stale, true);
  assert.equal(reduce(state, { type: 'report', report: { ok: true }, coarse: true }).stale, true);
  state = reduce(state, { type: 'givenUp' });
  assert.equal(full(state).stale, false);
});

test('an unknown action is an error of the program', () => {
  assert.throws(() => reduce(initial(), { type: 'nonsense' }), /no such action/);
});

test('a store tells its listeners of changes only', () => {
  const store = createStore(initial());
  const heard = [];
  store.on((now, before) => heard.push([now, before]));
  store.act('undo');
  assert.equal(heard.length, 0);
  store.act('card', { card: 'bead' });
  assert.equal(heard.length, 1);
  assert.equal(heard[0][0].card, 'bead');
  assert.equal(heard[0][1].card, null);
});

test('the shelf survives no storage, full storage and what others left there', () => {
  const refusing = { getItem() { throw new Error('denied'); }, setItem() { throw new Error('full'); } };
  for (const storage of [null, refusing]) {
    const shelf = openShelf(storage);
    assert.equal(shelf.write('job', {}), false);
    assert.equal(shelf.read('job', isJob, null), null);
  }
  for (const garbage of ['', 'x', '[]', '{"sheenlay":2}', 'null', `"${'x'.repeat(1_100_000)}"`]) {
    assert.equal(openShelf({ getItem: () => garbage }).read('job', isJob, 'none'), 'none', garbage.slice(0, 20));
  }
  const kept = new Map();
  const shelf = openShelf({ getItem: (key) => kept.get(key) ?? null, setItem: (key, value) => kept.set(key, value) });
  assert.ok(shelf.write('job', { sheenlay: 1, art: {} }));
  assert.deepEqual(shelf.read('job', isJob, null), { sheenlay: 1, art: {} });
  assert.ok([...kept.keys()].every((key) => key.startsWith('sheenlay.')));
});

test('a list of machines is taken as a whole or not at all', () => {
  assert.ok(isPresetList([]));
  assert.ok(isPresetList([{ name: 'Bench', machine: {} }]));
  for (const bad of [null, {}, [null], [{ name: 3, machine: {} }], [{ name: 'x' }], [{ name: 'x', machine: [] }]]) assert.ok(!isPresetList(bad));
});
