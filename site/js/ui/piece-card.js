// The card of the piece: which file, where its first layer is, which of its
// islands get the pattern, and what its lines are.

import { bytes, count, plain, some } from '../state/numbers.js';
import { valueAt } from '../state/job-path.js';
import { PIECE } from '../state/paths.js';
import { jobOf } from '../state/state.js';
import { fill, h } from './dom.js';
import { signButton } from './marks.js';

/** Builds the card's own part, above the schema's fields. */
export function createPieceCard(wiring) {
  const { store } = wiring;
  const facts = h('div', { class: 'fields' });
  const choice = h('div', { class: 'candidates' });
  const islands = h('div', { class: 'fields' });
  const element = h('div', { class: 'fields' },
    choice, facts, islands,
    h('h3', { text: 'Another piece' }),
    h('p', { class: 'card-about', text: 'Drop a sliced file anywhere on the page. It stays on this machine: the page is not allowed to send anything.' }),
    h('div', { class: 'row' }, signButton('file', 'Choose a sliced file…', wiring.pick), signButton('file', 'Next file, same job…', wiring.nextFile)),
    h('h3', { text: 'Samples' }),
    h('div', { class: 'samples' }, store.get().schema.samples.map((one) => h('button', { type: 'button', class: 'sample', on: { click: () => wiring.openSample(one.id) } }, h('span', {}, one.name, ' ', h('small', { text: one.about }))))));
  let drawn = null;

  return {
    element,
    update(state, before) {
      const key = [state.piece, state.survey, valueAt(jobOf(state), 'piece')];
      if (drawn && key.every((one, index) => one === drawn[index])) return;
      drawn = key;
      drawChoice(state);
      drawFacts(state);
      drawIslands(state, before);
    },
  };

  function drawChoice(state) {
    const found = state.piece?.report.boundaries;
    const candidates = found?.candidates ?? [];
    choice.hidden = candidates.length === 0 || !found?.needsChoice;
    if (choice.hidden) return;
    const first = valueAt(jobOf(state), PIECE.firstLine);
    const next = valueAt(jobOf(state), PIECE.nextLine);
    fill(choice, ...[
      h('h3', { text: 'Where is the first layer?' }),
      h('p', { class: 'card-about', text: 'The file gives more than one answer. Choose the line where the first layer begins, then the line where the second one begins.' }),
      group('first', 'The first layer begins here', candidates, first, (one) => ({ [PIECE.firstLine]: one.line, [PIECE.nextLine]: next > one.line ? next : candidates.find((other) => other.line > one.line)?.line })),
      !first ? null : group('next', 'The second layer begins here', candidates.filter((one) => one.line > (first ?? 0)), next, (one) => ({ [PIECE.nextLine]: one.line }))].filter(Boolean));
  }

  function group(name, label, candidates, chosen, values) {
    return h('fieldset', { class: 'candidates' }, h('legend', { text: label }), candidates.map((one) => h('label', { class: 'candidate' },
      h('input', { type: 'radio', name: `candidate-${name}`, checked: one.line === chosen, on: { change: () => store.act('edits', { values: values(one), label: 'choose the first layer' }) } }),
      h('span', {}, `Line ${count(one.line)}${one.reads ? `: ${one.reads}` : ''}`,
        h('pre', { tabIndex: 0, 'aria-label': `Line ${one.line} and its neighbours` }, ...(one.before ?? []).map((line) => `${line}\n`), h('b', { text: one.text }), ...(one.after ?? []).map((line) => `\n${line}`))))));
  }

  function drawFacts(state) {
    const { piece, survey } = state;
    if (!piece || (piece.report.boundaries?.needsChoice && !valueAt(jobOf(state), PIECE.firstLine))) {
      fill(facts);
      return;
    }
    const { layer, boundaries, footprint } = piece.report;
    const rows = [
      ['File', `${piece.name}, ${bytes(piece.size)}`],
      boundaries && !boundaries.needsChoice ? ['First layer', `lines ${count(boundaries.firstLine)} to ${count(boundaries.nextLine - 1)}`] : null,
      boundaries?.why?.length ? ['Known by', boundaries.why.join(' ')] : null,
      layer ? ['Its bead', `${plain(layer.widthMM, 2)} mm wide, ${plain(layer.heightMM, 2)} mm high`] : null,
      footprint ? ['Its face', `${plain(footprint.areaMM2, 0)} mm², ${some(footprint.islands?.length ?? 1, 'island')}`] : null,
      survey?.layers ? ['Whole file', some(survey.layers, 'layer')] : null,
    ].filter(Boolean);
    fill(facts, h('dl', { class: 'figures' }, rows.flatMap(([name, words]) => [h('dt', { text: name }), h('dd', { text: words })])));
  }

  function drawIslands(state) {
    const all = state.piece?.report.footprint?.islands ?? [];
    islands.hidden = all.length < 2;
    if (islands.hidden) return;
    const chosen = valueAt(jobOf(state), PIECE.islands) ?? all.map((one) => one.index);
    const flip = (index, on) => {
      const next = all.map((one) => one.index).filter((one) => (one === index ? on : chosen.includes(one)));
      store.act('edit', { path: PIECE.islands, value: next.length === all.length ? undefined : next, label: 'choose islands' });
    };
    fill(islands, h('h3', { text: 'Islands that get the pattern' }), h('div', { class: 'sources' }, all.map((one) => h('label', { class: 'check' },
      h('input', { type: 'checkbox', checked: chosen.includes(one.index), on: { change: (event) => flip(one.index, event.target.checked) } }),
      `${one.object || `Island ${one.index + 1}`}, ${plain(one.areaMM2, 0)} mm²`))));
  }
}
