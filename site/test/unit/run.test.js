import assert from 'node:assert/strict';
import test from 'node:test';
import { createRunner } from '../../js/run.js';
import { choiceOf, createPieces } from '../../js/pieces.js';
import { initial } from '../../js/state/state.js';
import { createStore } from '../../js/state/store.js';

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

/** A lay that finishes when told, and records how it was called. */
function workshop() {
  const calls = [];
  const lay = (options) => new Promise((resolve, reject) => {
    const call = { ...options, resolve, reject };
    options.signal?.addEventListener('abort', () => reject(new DOMException('stopped', 'AbortError')));
    calls.push(call);
  });
  return { calls, lay };
}

test('a burst of changes is one full run', async () => {
  const { calls, lay } = workshop();
  const runner = createRunner(lay, () => {});
  for (let i = 0; i < 5; i += 1) runner.changed();
  await pause(260);
  assert.equal(calls.length, 1);
  assert.equal(calls[0].coarse, false);
});

test('progress never goes back', async () => {
  const heard = [];
  const { calls, lay } = workshop();
  const runner = createRunner(lay, (news) => { if (news.progress) heard.push(news.progress.share); });
  runner.now();
  for (const share of [0.1, 0.5, 0.3, 0.7, 2]) calls[0].onProgress({ stage: 'x', share });
  assert.deepEqual(heard, [0.1, 0.5, 0.5, 0.7, 1]);
});

test('an outdated run is given up and its late answer is not heard', async () => {
  const heard = [];
  const { calls, lay } = workshop();
  const runner = createRunner(lay, (news) => heard.push(news));
  runner.now();
  runner.now();
  assert.ok(calls[0].signal.aborted);
  calls[0].resolve({ old: true });
  calls[1].resolve({ fresh: true });
  await pause(0);
  assert.deepEqual(heard.filter((news) => news.report).map((news) => news.report), [{ fresh: true }]);
  assert.equal(heard.filter((news) => news.failed).length, 0);
});

test('cancelling is silent and at once, and a new run can follow', async () => {
  const heard = [];
  const { calls, lay } = workshop();
  const runner = createRunner(lay, (news) => heard.push(news));
  assert.equal(runner.cancel(), false);
  runner.now();
  assert.equal(runner.cancel(), true);
  await pause(0);
  assert.deepEqual(heard, [{ begun: true }]);
  runner.now();
  calls[1].resolve({ ok: true });
  await pause(0);
  assert.deepEqual(heard.at(-1), { report: { ok: true }, coarse: false });
});

test('a failed run is told once', async () => {
  const heard = [];
  const { calls, lay } = workshop();
  const runner = createRunner(lay, (news) => heard.push(news));
  runner.now();
  calls[0].reject(new Error('trap'));
  await pause(0);
  assert.equal(heard.at(-1).failed.message, 'trap');
});

test('while dragging there is one coarse run at a time, and a full one at the end', async () => {
  const heard = [];
  const { calls, lay } = workshop();
  const runner = createRunner(lay, (news) => heard.push(news));
  runner.setDragging(true);
  for (let i = 0; i < 4; i += 1) runner.changed();
  assert.equal(calls.length, 1);
  assert.ok(calls[0].coarse && !calls[0].signal);
  calls[0].resolve({ glimpse: 1 });
  await pause(0);
  assert.equal(calls.length, 2, 'the newest wish follows');
  calls[1].resolve({ glimpse: 2 });
  runner.setDragging(false);
  await pause(260);
  assert.equal(calls.length, 3);
  assert.equal(calls[2].coarse, false);
  assert.deepEqual(heard[0], { report: { glimpse: 1 }, coarse: true });
});

/** An engine that opens every file but those called "bad". */
function opener() {
  const opened = [];
  return {
    opened,
    async openPiece(file, { choice }) {
      if (file.name === 'bad') throw Object.assign(new Error('no'), { finding: { text: 'no' } });
      opened.push([file.name, choice]);
      return { name: file.name };
    },
  };
}

test('undo opens the piece of its step again, and only when it is another one', async () => {
  const engine = opener();
  const store = createStore(initial());
  const pieces = createPieces(engine, store);
  await pieces.open(new File(['x'], 'one'));
  await pieces.open(new File(['x'], 'two'));
  assert.equal(await pieces.follow(), false);
  store.act('undo');
  assert.equal(await pieces.follow(), true);
  assert.equal(store.get().piece.name, 'one');
  assert.deepEqual(engine.opened.map(([name]) => name), ['one', 'two', 'one']);
});

test('a refused file leaves the piece, which is opened anew for the engine', async () => {
  const engine = opener();
  const store = createStore(initial());
  const pieces = createPieces(engine, store);
  await pieces.open(new File(['x'], 'one'));
  await assert.rejects(pieces.open(new File(['x'], 'bad')));
  assert.equal(store.get().piece.name, 'one');
  assert.equal(await pieces.follow(), true);
});

test('chosen lines and more layers are told to the engine', async () => {
  const engine = opener();
  const store = createStore(initial());
  const pieces = createPieces(engine, store);
  await pieces.open(new File(['x'], 'one'));
  store.act('edits', { values: { 'piece.firstLine': 20, 'piece.nextLine': 90 }, label: 'choose' });
  assert.equal(await pieces.follow(), true);
  assert.deepEqual(engine.opened.at(-1)[1], { firstLine: 20, nextLine: 90, layers: 1 });
  assert.equal(choiceOf({ piece: { firstLine: 20 } }), null);
  assert.equal(choiceOf({ layers: { count: 3 } }), null);
  assert.deepEqual(choiceOf({ layers: { count: 5 } }), { firstLine: 0, nextLine: 0, layers: 5 });
});
