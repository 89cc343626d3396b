import assert from 'node:assert/strict';
import test from 'node:test';
import { same, valueAt, withValue } from '../../js/state/job-path.js';
import { fieldsOf, inWords, originWords, range, readNumber, readOf, standing, stepped, whyRead } from '../../js/state/schema.js';
import { isShown } from '../../js/state/card-fields.js';
import { sentence } from '../../js/state/job-words.js';

const width = { path: 'bead.widthMM', section: 'bead', label: 'Line width', unit: 'mm', kind: 'number', default: 0.42, min: 0.1, max: 3, step: 0.01, read: true };
const walls = { path: 'keep.walls', section: 'keep', label: 'Walls kept', kind: 'whole', default: 0, min: 0, max: 3, step: 1 };
const overlap = { path: 'keep.overlapPercent', section: 'keep', label: 'Overlap', unit: '%', kind: 'number', default: 15, min: 0, max: 50, step: 1 };

test('a value is written without touching the job it came from', () => {
  const before = Object.freeze({ sheenlay: 1, bead: Object.freeze({ widthMM: 0.4 }) });
  const after = withValue(before, 'bead.widthMM', 0.5);
  assert.equal(valueAt(before, 'bead.widthMM'), 0.4);
  assert.equal(valueAt(after, 'bead.widthMM'), 0.5);
});

test('taking the last value out takes the empty section with it', () => {
  assert.deepEqual(withValue({ sheenlay: 1, bead: { widthMM: 0.4 } }, 'bead.widthMM', undefined), { sheenlay: 1 });
  assert.deepEqual(withValue({ sheenlay: 1 }, 'art.params.sizeMM', 8), { sheenlay: 1, art: { params: { sizeMM: 8 } } });
  assert.deepEqual(withValue({}, 'a.b.c', undefined), {});
});

test('a path through something that is no object reads as nothing', () => {
  for (const job of [{}, { bead: 3 }, { bead: null }, { bead: 'x' }]) assert.equal(valueAt(job, 'bead.widthMM'), undefined);
});

test('same compares plain data by content', () => {
  assert.ok(same({ a: [1, { b: 2 }] }, { a: [1, { b: 2 }] }));
  assert.ok(same(NaN, NaN));
  for (const [a, b] of [[{ a: 1 }, { a: 1, b: undefined }], [[1], { 0: 1 }], [null, {}], [1, '1']]) assert.ok(!same(a, b));
});

test('a field stands at the job, then the piece, then its default', () => {
  assert.deepEqual(standing(width, { bead: { widthMM: 0.5 } }, { 'bead.widthMM': 0.45 }), { value: 0.5, from: 'job' });
  assert.deepEqual(standing(width, {}, { 'bead.widthMM': 0.45 }), { value: 0.45, from: 'piece' });
  assert.deepEqual(standing(width, {}), { value: 0.42, from: 'default' });
  assert.deepEqual(standing(walls, {}, { 'keep.walls': 2 }), { value: 0, from: 'default' }, 'a field that is not read from files');
});

test('what was read from a piece is found with or without its section', () => {
  assert.deepEqual(readOf({ report: { machine: { read: { bedWidthMM: 200, 'bead.widthMM': 0.4 } } } }), { 'machine.bedWidthMM': 200, 'bead.widthMM': 0.4 });
  assert.deepEqual(readOf(null), {});

test('a field says whether its value was read, typed, or not in the file', () => {
  const nozzle = { path: 'machine.nozzleMM', label: 'Nozzle', kind: 'number', unit: 'mm', default: 0.4, read: true };
  const walls = { path: 'keep.walls', kind: 'whole', default: 0 };
  const piece = { report: { machine: { read: { 'machine.nozzleMM': 0.6 }, why: { 'machine.nozzleMM': 'the file notes it: “; nozzle = 0.6”' } } } };
  const silent = { report: { machine: { read: {}, why: {} } } };
  assert.equal(originWords(nozzle, 'piece', piece), 'from the file');
  assert.equal(whyRead(nozzle, piece), 'The file notes it: “; nozzle = 0.6”.');
  assert.equal(originWords(nozzle, 'job', piece), 'typed; the file has 0.6 mm');
  assert.equal(originWords(nozzle, 'job', silent), 'typed');
  assert.equal(originWords(nozzle, 'default', silent), 'not in the file');
  assert.equal(originWords(nozzle, 'default', null), '', 'no piece, nothing to say');
  assert.equal(originWords(walls, 'job', piece), '', 'a field that no file shows');
  assert.equal(whyRead(nozzle, silent), '');
});
});

test('typed numbers: comma, unit, sign; everything else is refused by name', () => {
  for (const [text, value] of [['0.5', 0.5], ['0,5', 0.5], [' .5 mm', 0.5], ['1.', 1]]) assert.equal(readNumber(text, width).value, value, text);
  for (const text of ['', 'wide', '0.5.1', 'NaN', 'Infinity', '1e308', '0x10', '4', '-1']) {
    const { wrong, value } = readNumber(text, width);
    assert.equal(value, undefined, text);
    assert.match(wrong, /Line width .*0\.1 to 3 mm/, text);
  }
  assert.match(readNumber('1.5', walls).wrong, /whole number/);
});

test('arrow keys go by steps on the grid of steps and stop at the limits', () => {
  assert.equal(stepped(0.42, width, 1, false), 0.43);
  assert.equal(stepped(0.42, width, -1, true), 0.32);
  assert.equal(stepped(0.425, width, 1, false), 0.44, 'off the grid goes to the grid');
  assert.equal(stepped(2.99, width, 1, true), 3);
  assert.equal(stepped(NaN, width, 1, false), 0.43);
});

test('ranges and values in words', () => {
  assert.equal(range(width), '0.1 to 3 mm');
  assert.equal(range({ min: 0 }), '0 or more');
  assert.equal(inWords({ kind: 'number', unit: 'deg' }, 45), '45 °');
  assert.equal(inWords({ kind: 'bool' }, false), 'no');
  assert.equal(inWords({ kind: 'choice', choices: [{ value: 'a', label: 'First' }] }, 'a'), 'First');
  assert.equal(inWords({ kind: 'lines' }, []), 'none');
});

test('a field that depends on another is shown with it', () => {
  const fields = [width, walls, overlap];
  assert.ok(!isShown(overlap, {}, fields));
  assert.ok(isShown(overlap, { keep: { walls: 1 } }, fields));
  assert.ok(isShown(width, {}, fields));
  assert.deepEqual(fieldsOf(fields, 'keep'), [walls, overlap]);
});

test('the job reads as one sentence before and after the engine has spoken', () => {
  const text = (state) => sentence(state).map((part) => part.text ?? part).join('');
  assert.equal(text({ job: {}, schema: null, piece: null }), 'Lay a pattern, centred, under a sliced file, keeping skirt and supports, in lines as the piece has them, led in by a prime line, for the bed the file was made for.');
  const schema = { fields: [width, walls], generators: [{ id: 'tumbling-blocks', name: 'Tumbling blocks', params: [{ key: 'side', unit: 'mm', default: 10 }] }] };
  const job = { keep: { walls: 1 }, bead: { speedMMs: 20 }, machine: { bedWidthMM: 220, bedDepthMM: 220 }, placement: { turnDeg: 15 } };
  assert.equal(text({ job, schema, piece: { name: 'harbour-tile.gcode' } }), 'Lay tumbling blocks, 10 mm, centred, turned 15°, under harbour-tile.gcode, keeping 1 wall, in 0.42 mm lines at 20 mm/s, led in by a prime line, for a 220 mm square bed.');
});

test('other jobs in words', () => {
  const part = (job, section) => sentence({ job, schema: null, piece: null }).find((one) => one.section === section).text;
  assert.equal(part({ art: { kind: 'lettering', text: 'READING\nDAY' } }, 'art'), 'the words “READING DAY”');
  assert.equal(part({ art: { kind: 'lines', name: 'gulls.svg' } }, 'art'), 'the lines of gulls.svg');
  assert.equal(part({ machine: { bedShape: 'round', bedDiameterMM: 240 } }, 'machine'), 'a round 240 mm bed');
  assert.equal(part({ machine: { bedWidthMM: 250, bedDepthMM: 210 } }, 'machine'), 'a 250 × 210 mm bed');
  assert.equal(part({ keep: { around: false }, layers: { count: 3 } }, 'keep'), 'nothing of its own, on 3 layers');
  assert.equal(part({ join: { pause: 'M0' }, prime: { source: 'file' } }, 'prime'), 'primed by the file itself, then a pause');
});
