import assert from 'node:assert/strict';
import { afterEach, beforeEach, mock, test } from 'node:test';
import { createGivenUp } from '../../js/given-up.js';

beforeEach(() => {
  globalThis.crossOriginIsolated = true;
  mock.timers.enable({ apis: ['setTimeout'] });
});
afterEach(() => {
  delete globalThis.crossOriginIsolated;
  mock.timers.reset();
});

/** Calls given up, with how often one was overdue. */
function begun() {
  const seen = { overdue: 0 };
  return { seen, given: createGivenUp({ patience: () => 400, overdue: () => { seen.overdue += 1; } }) };
}

const settled = (promise) => Promise.race([promise.then(() => true), Promise.resolve(false)]);

test('the id of a call given up stands where the worker looks for it, also beside others', () => {
  const { given } = begun();
  for (const id of [5, 6, 70]) given.add(id, 'lay');
  for (const id of [5, 70]) assert.equal(Atomics.load(given.slots, id % given.slots.length), id);
  assert.notEqual(Atomics.load(given.slots, 7), 7);
});

test('a worker that returns from every call is at rest, and never overdue', async () => {
  const { seen, given } = begun();
  assert.equal(given.atRest, null);
  given.add(5, 'lay');
  given.add(6, 'view');
  const { atRest } = given;
  assert.equal(given.end(5), 'lay');
  assert.equal(await settled(atRest), false, 'one call is not over');
  assert.equal(given.end(6), 'view');
  await atRest;
  assert.equal(given.atRest, null);
  mock.timers.tick(1000);
  assert.equal(seen.overdue, 0);
});

test('the answer to a call that nobody gave up is none of its business', async () => {
  const { given } = begun();
  given.add(5, 'lay');
  assert.equal(given.end(4), undefined);
  assert.notEqual(given.atRest, null);
});

test('a worker that does not return is overdue once, and its end lets others go on', async () => {
  const { seen, given } = begun();
  given.add(5, 'lay');
  mock.timers.tick(399);
  assert.equal(seen.overdue, 0);
  mock.timers.tick(1);
  assert.equal(seen.overdue, 1);
  const { atRest } = given;
  given.clear();
  await atRest;
  mock.timers.tick(1000);
  assert.equal(seen.overdue, 1);
});

test('where no memory can be shared there is no place for the ids', () => {
  globalThis.crossOriginIsolated = false;
  assert.equal(begun().given.slots, null);
});
