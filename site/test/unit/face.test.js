import assert from 'node:assert/strict';
import test from 'node:test';
import { centred, fit, fitBeside, freeSpan, panned, ruleLength, seen, toBed, toScreen, zoomed } from '../../js/state/viewport.js';
import { snapMove, snapScale, snapTurn } from '../../js/state/snap.js';
import { LARGEST_TILT, DISTANCE, lampAt, lampFrom, lampMark, lampWords } from '../../js/state/light.js';
import { createPace } from '../../js/ui/pace.js';
import { linear, sceneOf } from '../../js/state/scene.js';

const near = (a, b, what) => assert.ok(Math.abs(a - b) < 1e-9, `${what ?? ''} ${a} is not ${b}`);
const views = [fit([65, 65, 155, 155], 900, 600), fit([65, 65, 155, 155], 900, 600, 0.1, true), fit([0, 0, 220, 3], 320, 480, 0.05, true)];

test('screen and bed are each other’s inverse, from above and from below', () => {
  for (const view of views) {
    for (const [px, py] of [[0, 0], [17, 401], [view.width, view.height]]) {
      const [x, y] = toBed(view, px, py);
      const [qx, qy] = toScreen(view, x, y);
      near(qx, px);
      near(qy, py);
    }
  }
});

test('seen from below the bed’s X runs to the left', () => {
  assert.ok(toScreen(views[0], 150, 110)[0] > toScreen(views[0], 70, 110)[0]);
  assert.ok(toScreen(views[1], 150, 110)[0] < toScreen(views[1], 70, 110)[0]);
});

test('zooming keeps the place under the pointer, panning moves it by the drag', () => {
  for (const view of views) {
    const at = toBed(view, 123, 45);
    const [zx, zy] = toScreen(zoomed(view, 1.7, 123, 45), ...at);
    near(zx, 123);
    near(zy, 45);
    const [px, py] = toScreen(panned(view, 31, -12), ...at);
    near(px, 154);
    near(py, 33);
  }
});

test('zoom ends at its limits, also for an empty box', () => {
  let view = views[0];
  for (let i = 0; i < 200; i += 1) view = zoomed(view, 1.5, 0, 0);
  assert.equal(view.scale, 400);
  for (let i = 0; i < 200; i += 1) view = zoomed(view, 0.5, 0, 0);
  assert.equal(view.scale, 0.4);
  assert.ok(Number.isFinite(fit([5, 5, 5, 5], 100, 100).scale));
});

test('a place is centred and near enough', () => {
  const view = centred(views[0], 70, 80, 14);
  assert.deepEqual(toScreen(view, 70, 80), [450, 300]);
  assert.equal(view.scale, 14);
});

test('beside a card the face keeps to the free side', () => {
  const covered = { left: 12, right: 480 };
  assert.deepEqual(freeSpan(980, covered), [480, 980]);
  for (const mirrored of [false, true]) {
    const view = fitBeside([65, 65, 155, 155], 980, 600, 0.1, mirrored, covered);
    for (const x of [65, 155]) assert.ok(toScreen(view, x, 110)[0] > 480);
    near(toScreen(view, 110, 110)[0], 730);
  }
  assert.deepEqual(freeSpan(500, { left: 20, right: 480 }), [0, 500], 'too little left to be of use');
  assert.deepEqual(freeSpan(500, null), [0, 500]);
});

test('the scale rule is round and about a fifth of the width', () => {
  for (const scale of [0.4, 1, 3.3, 17, 400]) {
    const view = { ...views[0], scale };
    const share = (ruleLength(view) * scale) / view.width;
    assert.ok(share > 0.07 && share <= 0.2, `${scale}: ${share}`);
  }
  near(seen(views[0])[2] - seen(views[0])[0], 900 / views[0].scale);
});

test('a dragged pattern snaps to centre and edges within reach, unless held free', () => {
  const face = [0, 0, 90, 60];
  assert.deepEqual(snapMove(0.5, -0.4, face, 10), { x: 0, y: 0, lines: [{ axis: 0, at: 45 }, { axis: 1, at: 30 }] });
  assert.equal(snapMove(44.6, 0, face, 10).x, 45);
  assert.equal(snapMove(-44.6, 0, face, 10).x, -45);
  assert.equal(snapMove(2, 7, face, 10).x, 2);
  assert.deepEqual(snapMove(0.5, 0.5, face, 10, true), { x: 0.5, y: 0.5, lines: [] });
});

test('turns snap to 15° and stay within half a turn', () => {
  for (const [turn, want] of [[16, 15], [20.04, 20], [178.5, 180], [-179, 180], [359, 0], [-91.2, -90]]) assert.equal(snapTurn(turn), want, String(turn));
  assert.equal(snapTurn(16, true), 16);
  assert.equal(snapScale(1.008), 1);
  assert.equal(snapScale(1.008, true), 1.008);
});

test('the lamp’s mark and its angles are each other’s inverse', () => {
  for (const azimuth of [0, 37, 90, 200, 359]) {
    for (const tilt of [5, 30, LARGEST_TILT]) assert.deepEqual(lampFrom(...lampMark(azimuth, tilt)), { azimuth, tilt });
  }
  assert.deepEqual(lampFrom(0, 0), { azimuth: 90, tilt: 0 });
  assert.equal(lampFrom(9, 0).tilt, LARGEST_TILT);
});

test('the lamp stands at its distance, on the side where the person sees it', () => {
  for (const mirrored of [false, true]) {
    const lamp = lampAt(0, 30, [100, 50], mirrored);
    near(Math.hypot(lamp[0] - 100, lamp[1] - 50, lamp[2]), DISTANCE);
    assert.equal(Math.sign(lamp[0] - 100), mirrored ? -1 : 1);
  }
  assert.equal(lampWords(90, 30), 'from the top, 60° up');
  assert.equal(lampWords(359, 30), 'from the right, 60° up');
  assert.equal(lampWords(10, 0), 'straight in front');
});

test('colours go to linear light as sRGB (IEC 61966-2-1) has it', () => {
  assert.deepEqual(linear('#000000'), [0, 0, 0]);
  assert.deepEqual(linear('#ffffff'), [1, 1, 1]);
  // 0.5 encoded is 0.2140 linear; 128/255 is 0.2159: values of the standard's formula.
  assert.ok(Math.abs(linear('#808080')[0] - 0.21586) < 1e-5);
  assert.ok(Math.abs(linear('#0a0a0a')[1] - 10 / 255 / 12.92) < 1e-12);
});

test('a scene takes its surface by id, the first one otherwise', () => {
  const surfaces = [{ id: 'a', diffuse: 0.1, specular: 0.2, along: 0.05, across: 0.16, tint: 1 }, { id: 'b', diffuse: 0.3, specular: 0.4, along: 0.1, across: 0.2, tint: 0 }];
  const look = { surface: 'b', colour: '#ffffff', azimuth: 0, tilt: 0, below: false };
  assert.deepEqual(sceneOf(look, surfaces, [0, 0, 10, 10]).surface, [0.3, 0.4, 0.1, 0.2]);
  assert.deepEqual(sceneOf({ ...look, surface: 'gone' }, surfaces, [0, 0, 10, 10]).surface, [0.1, 0.2, 0.05, 0.16]);
  assert.ok(sceneOf(look, undefined, [0, 0, 10, 10]).exposure > 0);
});

test('slow frames of a motion cost pixels, its end gives them back', () => {
  let time = 0;
  const pace = createPace(() => time);
  const frame = (gap) => { time += gap; pace.frame(); };
  for (let i = 0; i < 20; i += 1) frame(16);
  assert.equal(pace.share(), 1);
  frame(1000);
  assert.equal(pace.share(), 1, 'a pause is no slow frame');
  for (let i = 0; i < 40; i += 1) frame(90);
  assert.ok(pace.share() < 0.5 && pace.share() > 0.3);
  pace.settle();
  assert.equal(pace.share(), 1);
});

test('frames that come easily may be fine while things move, until that proves too much', () => {
  let time = 0;
  const pace = createPace(() => time);
  const frame = (gap) => { time += gap; pace.frame(); };
  assert.equal(pace.fine(), false, 'not before it is known');
  for (let i = 0; i < 10; i += 1) frame(16);
  assert.equal(pace.fine(), true);
  pace.settle();
  assert.equal(pace.fine(), true, 'what a card can do it can still do in the next motion');
  for (let i = 0; i < 2; i += 1) frame(80);
  assert.equal(pace.fine(), false);
  assert.equal(pace.share(), 1, 'coarser first, fewer pixels only when that is not enough');
  for (let i = 0; i < 30; i += 1) frame(16);
  assert.equal(pace.fine(), false, 'it is not tried over and over');
});
