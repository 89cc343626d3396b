import assert from 'node:assert/strict';
import test from 'node:test';
import { chooseOne, kindOf, kindOfText } from '../../js/state/intake.js';
import { bytes, clock, duration, length, percent, plain, some } from '../../js/state/numbers.js';
import { outputName } from '../../js/state/output-name.js';
import { completed, faceWords, figuresLine, gathered, inOrder, placeWords, reportText, verdict } from '../../js/state/verdict.js';
import { asFinding } from '../../js/state/finding.js';
import { keyAction } from '../../js/ui/keys.js';

const head = (text) => new TextEncoder().encode(text);

test('numbers as people read them', () => {
  assert.equal(plain(0.42000001), '0.42');
  assert.equal(plain(-0.0001), '0');
  assert.equal(plain(NaN), '–');
  assert.equal(length(41200), '41.2 m');
  assert.equal(length(812.34), '812.3 mm');
  assert.equal(duration(2040), '34 min');
  assert.equal(duration(59.6), '1 min');
  assert.equal(duration(7500), '2 h 05 min');
  assert.equal(clock(727.9), '12:07');
  assert.equal(percent(0.994), '99.4 %');
  assert.equal(bytes(0), '0 B');
  assert.equal(bytes(1_100_000_000), '1.1 GB');
  assert.equal(some(0, 'wall'), 'no walls');
  assert.equal(some(1, 'wall'), '1 wall');
  assert.equal(some(1204, 'line'), '1,204 lines');
});

test('the finished file never has the source’s name', () => {
  for (const [source, given, want] of [
    ['tile.gcode', '', 'tile-sheenlay.gcode'],
    ['tile.gcode', 'tile.gcode', 'tile-sheenlay.gcode'],
    ['tile.gcode.gz', '', 'tile-sheenlay.gcode'],
    ['tile', '', 'tile-sheenlay.gcode'],
    ['.gcode', '', 'piece-sheenlay.gcode'],
    ['a.two.gcode', 'own.gcode', 'own.gcode'],
    ['tile.gcode', '../x:y.gcode', '..xy.gcode'],
  ]) {
    assert.equal(outputName(source, given), want);
    assert.notEqual(outputName(source, given), source);
  }
});

test('one file is taken; nothing, two, a folder and an empty one have their own sentence', () => {
  const file = { name: 'a.gcode', size: 5, isFolder: false };
  assert.deepEqual(chooseOne([file]), { take: 0 });
  const sentences = [[], [file, file], [{ ...file, isFolder: true }], [{ ...file, size: 0 }]].map((items) => chooseOne(items).sentence);
  assert.equal(new Set(sentences).size, 4);
  assert.ok(sentences.every(Boolean));
});

test('files are known by what they hold, then by name', () => {
  for (const [name, text, want] of [
    ['a.gcode', 'G28\nG1 X1', 'piece'], ['a.txt', '; x\r\nG1 X1\r\n', 'piece'], ['a.txt', '\uFEFFg1x10y5', 'piece'], ['a', 'N10 M104 S200*33', 'piece'],
    ['a.gcode', '; only comments', 'piece'], ['a.svg', '<svg xmlns="x"/>', 'drawing'], ['a.xml', '<?xml version="1.0"?>\n<svg>', 'drawing'],
    ['a.json', '{"sheenlay":1}', 'job'], ['a.json', '{', 'job'],
  ]) assert.equal(kindOf(name, head(text)), want, `${name}: ${text}`);
  assert.equal(kindOf('a', new Uint8Array([0x1f, 0x8b, 8])), 'piece');
  assert.equal(kindOf('a.gcode', new Uint8Array([0x89, 0x50, 0x4e, 0x47])), 'picture');
  assert.equal(kindOf('a.jpg', new Uint8Array([0xff, 0xd8, 0xff, 0xe0])), 'picture');
  const refused = [['a.stl', 'solid x'], ['a.zip', 'PK\u0003\u0004'], ['a.pdf', '%PDF-1.7'], ['a.html', '<html>'], ['a.doc', 'dear reader'], ['a.txt', '{"x":1}']].map(([name, text]) => kindOf(name, head(text)).sentence);
  assert.ok(refused.every((sentence) => sentence?.startsWith('“a.')));
  assert.equal(new Set(refused.map((sentence) => sentence.replace(/“.*?”/, ''))).size, 6);
});

test('pasted text: link, job, drawing, lines, nothing', () => {
  assert.equal(kindOfText('https://example.org/#1.qlZKLCrRS0'), 'link');
  assert.equal(kindOfText(' 1.qlZKLCrRS0_N '), 'link');
  assert.equal(kindOfText('{"sheenlay":1}'), 'job');
  assert.equal(kindOfText('<svg></svg>'), 'drawing');
  assert.equal(kindOfText('G1 X1\nG1 X2'), 'piece');
  assert.ok(kindOfText('   ').sentence);
  assert.ok(kindOfText('hello there').sentence);
});

const stop = { code: 'a', level: 'stop', text: 'Too wide.', remedy: 'Make it narrower.', place: { file: 'job', element: 'bead.widthMM' } };
const note = { code: 'b', level: 'note', text: 'By the way.', place: { line: 1204, column: 3, layer: 1, at: [1, 2.04] } };

test('the verdict follows the gravest finding', () => {
  assert.deepEqual(verdict({ ok: true, findings: [note], figures: {}, sentence: 'Ready, with 1 caution to look at. One unbroken line.' }), { level: 'ready', lead: 'Ready.', rest: 'One unbroken line.' });
  assert.equal(verdict({ ok: true, findings: [{ ...note, level: 'caution' }], figures: {} }).lead, 'Ready, with 1 caution.');
  assert.equal(verdict({ ok: false, findings: [note, stop], figures: {} }).lead, 'Not yet: 1 thing stands in the way.');
  assert.equal(verdict({ ok: false, findings: [], figures: {} }).level, 'stop', 'a refusal without findings is still one');
  assert.deepEqual(inOrder([note, stop]).map((one) => one.code), ['a', 'b']);
});

test('findings that say the same are one with several places', () => {
  const at = (x) => ({ code: 'c', level: 'note', text: 'A corner.', place: { at: [x, 0] } });
  const all = gathered([at(1), stop, at(2), { ...at(3), text: 'Another.' }, { code: 'd', level: 'note', text: 'No place.' }]);
  assert.deepEqual(all.map((one) => one.places.length), [2, 1, 1, 0]);
  assert.deepEqual(gathered([]), []);
});

test('figures, places and the report in words', () => {
  assert.equal(figuresLine({ lengthMM: 41200, strands: 1, timeS: 2040, coveredShare: 0.994, joinLine: 1204, tailLine: 1204 }), 'One unbroken line, 41.2 m, 34 min; 99.4 % covered; joins at line 1,204; nothing after it changes.');
  assert.equal(figuresLine({}), '');
  assert.equal(placeWords(note.place), 'layer 1, line 1,204, column 3, at 1.0, 2.0 mm');
  assert.equal(placeWords(undefined), '');
  const text = reportText({ name: 'tile.gcode' }, { ok: false, findings: [note, stop], figures: { lengthMM: 5 } });
  assert.match(text, /STOP a: Too wide\. \(bead\.widthMM\) Make it narrower\./);
  assert.ok(text.indexOf('STOP') < text.indexOf('NOTE'));
});

test('the drawing has its words', () => {
  const piece = { report: { footprint: { bounds: [0, 0, 90, 60], islands: [{}] } } };
  const report = { ok: true, figures: { lengthMM: 5000, strands: 1, timeS: 60 }, zones: [{ kind: 0, layDeg: 60, name: 'top', zones: 9 }, { kind: 1, field: true, layDeg: 0 }], findings: [] };
  assert.equal(faceWords(null, null), 'No face yet.');
  assert.equal(faceWords(piece, report), 'A face of 90.0 by 60.0 mm with 1 island. One unbroken line, 5 m, 1 min. 2 kinds of zones: top at 60°, kind 2 along a field. no stops, no cautions, no notes.');
});

test('whatever goes wrong becomes a finding', () => {
  assert.equal(asFinding({ text: 'x', code: 'c', level: 'stop' }).code, 'c');
  assert.equal(asFinding(Object.assign(new Error('y'), { finding: { text: 'z', code: 'd' } })).text, 'z');
  assert.match(asFinding(new Error('boom')).text, /boom/);
  assert.match(asFinding(undefined).text, /undefined/);
});

test('single keys can be switched off; typing keeps its own undo', () => {
  globalThis.HTMLElement ??= class {
    constructor(typing) { this.typing = typing; }
    matches() { return this.typing; }
  };
  const field = new globalThis.HTMLElement(true);
  const page = new globalThis.HTMLElement(false);
  const key = (name, more = {}) => ({ key: name, target: page, ...more });
  assert.equal(keyAction(key('1'), true), 'light');
  assert.equal(keyAction(key('1'), false), null);
  assert.equal(keyAction(key('b', { target: field }), true), null);
  assert.equal(keyAction(key('z', { ctrlKey: true }), false), 'undo');
  assert.equal(keyAction(key('Z', { ctrlKey: true, shiftKey: true }), false), 'redo');
  assert.equal(keyAction(key('z', { ctrlKey: true, target: field }), true), null);
  assert.equal(keyAction(key('s', { metaKey: true, target: field }), true), 'save');
  assert.equal(keyAction(key('x'), true), null);
});

test('what the survey of the whole file adds to a report', () => {
  const claim = { level: 'note', code: 'claims-time', text: 'It says 20 min.' };
  const report = { ok: true, findings: [note, claim], figures: { timeS: 60, joinLine: 7, lengthMM: 5 }, whole: { known: false, text: 'Not known.' } };
  const laid = { findings: [{ ...claim, text: 'It says 19 min.' }], figures: { timeS: 60, joinLine: 7, lengthMM: 5, wholeTimeS: 900 }, whole: { known: true, text: 'It takes 15 min.' } };
  assert.deepEqual(completed(report, laid), { ok: true, findings: [note, laid.findings[0]], figures: laid.figures, whole: laid.whole });
  for (const [one, other] of [[null, laid], [report, undefined], [{ ...report, ok: false }, laid], [report, { ...laid, figures: { ...laid.figures, timeS: 61 } }]]) {
    assert.equal(completed(one, other), one, 'a report of another job stays as it is');
  }
  assert.match(reportText({ name: 'tile.gcode' }, completed(report, laid)), /\nIt takes 15 min\.\n/);
});
