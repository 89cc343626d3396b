import assert from 'node:assert/strict';
import test from 'node:test';
import { createHeartbeat } from '../../js/heartbeat.js';

/** A heart over a worker that is told what to do: {heart, told, pings, worker}. */
function setUp(t) {
  t.mock.timers.enable({ apis: ['setInterval'] });
  const all = { told: [], pings: 0, busy: false, answers: true };
  all.heart = createHeartbeat({
    ping() {
      all.pings += 1;
      if (all.answers && !all.busy) queueMicrotask(() => all.heart.heard());
    },
    isBusy: () => all.busy,
    told: (isSilent) => all.told.push(isSilent),
  });
  all.pass = async (seconds) => {
    for (let i = 0; i < seconds; i += 1) {
      t.mock.timers.tick(1000);
      await Promise.resolve();
    }
  };
  all.heart.begin();
  return all;
}

test('a worker at rest that answers is never called silent', async (t) => {
  const all = setUp(t);
  await all.pass(600);
  assert.deepEqual(all.told, []);
  assert.ok(all.pings > 100, 'it was asked all the while');
});

test('a worker at rest that answers no more is called silent within 20 s, once', async (t) => {
  const all = setUp(t);
  await all.pass(30);
  all.answers = false;
  await all.pass(25);
  assert.deepEqual(all.told, [true]);
  await all.pass(300);
  assert.deepEqual(all.told, [true]);
});

test('work that tells nothing for 50 s is not taken for an end, for over a minute it is', async (t) => {
  const all = setUp(t);
  all.busy = true;
  for (let stage = 0; stage < 5; stage += 1) {
    await all.pass(50);
    all.heart.heard(); // its progress
  }
  assert.deepEqual(all.told, []);
  await all.pass(70);
  assert.deepEqual(all.told, [true]);
});

test('a late sign takes the word back', async (t) => {
  const all = setUp(t);
  all.busy = true;
  await all.pass(70);
  all.heart.heard();
  assert.deepEqual(all.told, [true, false]);
});

test('work asked of a worker that has ended already does not prolong the wait', async (t) => {
  const all = setUp(t);
  all.answers = false;
  await all.pass(6); // asked at rest, and no answer
  all.busy = true;
  await all.pass(16);
  assert.deepEqual(all.told, [true]);
});

test('ending the worker ends the asking, and a new one begins afresh', async (t) => {
  const all = setUp(t);
  all.answers = false;
  await all.pass(25);
  all.heart.end();
  assert.deepEqual(all.told, [true, false]);
  const asked = all.pings;
  await all.pass(100);
  assert.equal(all.pings, asked);
  all.answers = true;
  all.heart.begin();
  await all.pass(100);
  assert.deepEqual(all.told, [true, false]);
});
