// The folded particulars under the verdict: figures, what was kept, the
// commands in plain words, before and after, and what can be taken away.

import { count, figureWords, plain } from '../state/numbers.js';
import { isLaid, reportText } from '../state/verdict.js';
import { fill, h } from './dom.js';

const kept = new Map();

/** Draws the folds of the present report into `root`. */
export function drawFolds(wiring, root) {
  const { report, piece, schema, givenUp } = wiring.store.get();
  for (const fold of root.querySelectorAll('.fold')) kept.set(fold.dataset.name, fold.open);
  if (!report || givenUp) {
    fill(root);
    return;
  }
  fill(root,
    isLaid(report) ? fold('figures', 'All figures', [report.whole ? h('p', { class: 'card-about', text: report.whole.text }) : null, figures(schema, report.figures)].filter(Boolean)) : null,
    report.zones?.length ? fold('zones', 'Zones and their lay', zones(wiring, report.zones)) : null,
    report.kept?.length ? fold('kept', 'Kept from the old layer', keptTable(report.kept)) : null,
    report.travels?.length ? fold('travels', 'Travels', travels(report.travels)) : null,
    report.commands?.length ? fold('commands', 'What the new lines say to the machine', commands(report.commands)) : null,
    report.before || report.after ? fold('text', 'First layer, before and after', texts(report)) : null,
    fold('away', isLaid(report) ? 'Take it to paper' : 'Take it along', away(wiring, piece, report, schema)));
}

function fold(name, title, body) {
  return h('details', { class: 'fold', open: kept.get(name) === true, data: { name } }, h('summary', { text: title }), h('div', { class: 'fold-body' }, body));
}

function figures(schema, values) {
  const rows = (schema?.figures ?? []).filter(({ name }) => Number.isFinite(values[name]));
  return h('dl', { class: 'figures' }, rows.flatMap(({ name, label, unit, doc }) => [h('dt', { text: label, title: doc }), h('dd', { text: figureWords(values[name], unit) })]));
}

function zones(wiring, list) {
  return table(['Kind', 'Lay', 'Zones', ''], list.slice(0, 60).map((zone) => [
    zone.name || `kind ${zone.kind + 1}`,
    zone.field ? 'follows a field' : `${plain(zone.layDeg, 1)}°${zone.pinned ? ', pinned' : ''}`,
    count(zone.zones ?? 1),
    zone.field ? '' : h('button', { type: 'button', class: 'small', 'aria-label': `Set the lay of ${zone.name || `kind ${zone.kind + 1}`}`, on: { click: () => wiring.dialZone(zone) } }, 'Set'),
  ]));
}

/** Each way without material on the first layer, in order. */
function travels(list) {
  const place = ([x, y]) => `${plain(x, 1)}, ${plain(y, 1)}`;
  return table(['From', 'To', 'Turns', 'Way', 'Over bare face'], list.slice(0, 200).map((one) => [
    place(one.from), place(one.to), count(one.via.length / 2), `${plain(one.lengthMM, 1)} mm`, one.bareMM < 0.05 ? 'none' : `${plain(one.bareMM, 1)} mm`,
  ]));
}

function keptTable(list) {
  return table(['Command', 'Line', 'Stands'], list.slice(0, 200).map((one) => [h('code', { text: one.text }), count(one.line), one.where]));
}

function commands(list) {
  return table(['Command', 'Means', 'Times'], list.map((one) => [h('code', { text: one.command }), one.meaning, count(one.count)]));
}

function table(heads, rows) {
  return h('table', { class: 'commands' }, h('thead', {}, h('tr', {}, heads.map((text) => (text ? h('th', { scope: 'col', text }) : h('td'))))), h('tbody', {}, rows.map((row) => h('tr', {}, row.map((cell) => h('td', {}, cell))))));
}

function texts(report) {
  return [['Before', report.before], ['After', report.after]].filter(([, text]) => text).map(([title, text]) => h('div', {}, h('h3', { text: title }), h('pre', { class: 'code', tabIndex: 0, 'aria-label': `First layer ${title.toLowerCase()}`, text })));
}

function away(wiring, piece, report, schema) {
  const sheet = (format, size) => () => wiring.sheet(format, size);
  const paper = isLaid(report) ? [
    h('p', { class: 'card-about', text: 'A sheet at true scale with the face, the lays, the settings and the cautions.' }),
    h('div', { class: 'row' }, [['PDF, A4', 'pdf', 'a4'], ['PDF, Letter', 'pdf', 'letter'], ['SVG, A4', 'svg', 'a4'], ['SVG, Letter', 'svg', 'letter']].map(([words, format, size]) => h('button', { type: 'button', on: { click: sheet(format, size) } }, words))),
  ] : [];
  return [...paper,
    h('div', { class: 'row' }, h('button', { type: 'button', on: { click: () => wiring.copy(reportText(piece, report, schema), 'The report is on the clipboard.') } }, 'Copy the report')),
  ];
}
