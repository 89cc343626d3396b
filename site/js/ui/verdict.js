// The verdict: one line, the findings, and the button that saves.

import { BOTH_LAYERS, mending } from '../state/mending.js';
import { gathered, inOrder, placeWords, verdict } from '../state/verdict.js';
import { bytes, count, some } from '../state/numbers.js';
import { outputName } from '../state/output-name.js';
import { fill, h } from './dom.js';
import { createGlance } from './glance.js';
import { sign, signButton } from './marks.js';

const MOST_PLACES = 6;

/** Draws the verdict into `root`. `use`: save, goTo, openField, saveReport. */
export function createVerdict(root, store, use) {
  const line = h('p', { class: 'verdict-line' });
  const save = h('div', { class: 'verdict-save', hidden: true });
  const button = signButton('save', 'Save the finished file', use.save, { class: 'main', id: 'save' });
  const again = signButton('reset', 'Lay it now', use.run, { class: 'main', hidden: true });
  const name = h('p', { class: 'verdict-name' });
  const saved = h('div', { class: 'verdict-saved', hidden: true });
  const cautions = h('ul');
  const hazards = h('section', { class: 'cautions', 'aria-label': 'Before you print' }, h('h3', { text: 'Before you print' }), cautions);
  save.append(again, button, name, saved, hazards);
  const graver = h('ul', { class: 'findings', 'aria-label': 'What to look at' });
  const notes = h('ul', { class: 'findings', 'aria-label': 'Good to know' });
  const notesTitle = h('summary');
  const notesFold = h('details', { class: 'fold' }, notesTitle, notes);
  const folds = h('div', { id: 'folds' });
  fill(root, h('h2', { class: 'unseen', text: 'The verdict' }), line, graver, save, notesFold, folds);
  const glance = createGlance(root, line, use.save);

  return {
    folds,
    update(state, before) {
      const changed = (...keys) => keys.some((key) => state[key] !== before[key]);
      if (changed('schema')) fill(cautions, (state.schema?.cautions ?? []).map((text) => h('li', { text })));
      if (!changed('report', 'problem', 'run', 'piece', 'saved', 'stale', 'givenUp')) return;
      drawLine(state);
      drawSave(state);
      if (changed('report', 'problem', 'piece', 'givenUp')) drawFindings(state);
    },
  };

  function drawLine(state) {
    const words = spoken(state);
    const { level, lead, rest } = words;
    line.className = `verdict-line level-line-${level}`;
    const tone = { stop: 'level-stop', caution: 'level-caution' }[level] ?? '';
    fill(line, h('span', { class: tone }, sign(level)), h('span', {}, h('b', { text: lead }), rest ? ` ${rest}` : ''));
    glance.show(words, isDone(state) ? state.report.figures : null);
  }

  function drawSave(state) {
    const able = isDone(state);
    again.hidden = !(state.givenUp && state.piece && !needsChoice(state));
    button.disabled = !able;
    const file = state.piece ? outputName(state.piece.name, state.report?.finished?.name) : '';
    const size = able ? state.report.finished?.size : undefined;
    name.title = size === undefined ? '' : `${count(size)} bytes`;
    name.textContent = file ? `${able ? 'As' : 'It will be'} ${file}${size === undefined ? '' : `, ${bytes(size)}`}; ${state.piece.name} itself stays as it is.` : 'The finished file gets a name of its own; yours stays as it is.';
    save.hidden = !state.report && !state.givenUp && !needsChoice(state);
    saved.hidden = !state.saved;
    if (state.saved) {
      fill(saved, h('p', {}, h('b', { text: `Saved ${state.saved.name}` }), state.saved.size ? `, ${bytes(state.saved.size)}.` : '.'), state.saved.sha ? h('p', {}, 'SHA-256 ', h('code', { text: state.saved.sha })) : null);
    }
  }

  function drawFindings(state) {
    const all = gathered(inOrder([...(state.problem ? [state.problem] : []), ...((!state.givenUp && state.report?.findings) || []), ...(state.piece?.report.findings ?? [])]));
    const isProblem = (one) => Boolean(state.problem) && one.code === state.problem.code && one.text === state.problem.text;
    const grave = all.filter((one) => one.level !== 'note');
    const light = all.filter((one) => one.level === 'note');
    graver.hidden = grave.length === 0;
    fill(graver, grave.map((one) => finding(one, use, isProblem(one))));
    notesFold.hidden = light.length === 0;
    notesTitle.textContent = `Good to know: ${some(light.length, 'note')}`;
    fill(notes, light.map((one) => finding(one, use)));
  }
}

/** The verdict's words for a state: {level, lead, rest}. */
export function spoken(state) {
  if (state.problem?.code === 'engine-silent') return { level: 'stop', lead: 'The engine is silent.', rest: '' };
  if (state.problem) return { level: 'stop', lead: 'That did not work.', rest: state.report ? `${state.piece.name} is still here as it was.` : '' };
  if (state.run.phase === 'starting') return { level: 'work', lead: 'Starting.', rest: 'The engine is being set up on this machine.' };
  if (state.run.phase === 'opening') return { level: 'work', lead: 'Reading.', rest: 'Looking for the first layer.' };
  if (needsChoice(state)) return { level: 'caution', lead: 'Your choice is needed.', rest: 'The file does not say clearly where its first layer begins and ends; choose the lines in the card of the piece.' };
  if (state.givenUp && state.piece && state.run.phase !== 'laying') return { level: 'work', lead: 'Not laid yet.', rest: state.report ? 'The face still shows the job as it was before the last change.' : 'The run was given up.' };
  if (!state.report) return state.run.phase === 'laying' ? { level: 'work', lead: 'Laying the lines.', rest: '' } : { level: 'work', lead: 'Nothing laid yet.', rest: 'Drop a sliced file anywhere, or take a sample.' };
  if (state.run.phase === 'laying') return { level: 'work', lead: 'Laying the lines anew.', rest: '' };
  if (state.stale) return { level: 'work', lead: 'Laying the lines anew.', rest: '' };
  return verdict(state.report);
}

/** Reports whether the file of the job as it stands can be saved. */
function isDone(state) {
  return state.report?.ok === true && !state.stale && state.run.phase === 'idle';
}

function needsChoice(state) {
  return state.piece?.report.boundaries?.needsChoice === true && !state.report;
}

/** One finding as a list entry; a problem of the moment can be put away. */
export function finding(one, use, isProblem = false) {
  const more = [
    one.remedy ? h('p', { class: 'finding-remedy', text: one.remedy }) : null,
    one.quote ? h('p', { class: 'finding-quote', text: one.quote }) : null,
    mend(one, use),
    ...one.places.slice(0, MOST_PLACES).map((place) => goTo(place, use)),
    one.places.length > MOST_PLACES ? h('p', { class: 'finding-remedy', text: `and ${one.places.length - MOST_PLACES} more places.` }) : null,
    isProblem ? h('p', { class: 'row finding-act' },
      one.action ? h('button', { type: 'button', on: { click: one.action } }, one.actionWords) : null,
      h('button', { type: 'button', on: { click: use.dismiss } }, one.action ? 'Wait' : 'Understood')) : null,
  ].filter(Boolean);
  const times = one.places.length > 1 ? ` (${one.places.length} places)` : '';
  const words = h('span', { class: 'finding-text' }, h('span', { class: 'unseen', text: `${{ stop: 'Stop', caution: 'Caution', note: 'Note' }[one.level]}: ` }), one.text + times);
  const mark = h('span', { class: `level-${one.level}` }, sign(one.level));
  return h('li', { class: 'finding', data: { level: one.level, code: one.code } },
    more.length === 0
      ? h('div', { class: 'finding-line' }, mark, words)
      : h('details', { open: one.level === 'stop' }, h('summary', { class: 'finding-line' }, mark, words), h('div', { class: 'finding-words' }, more)));
}

/** What leads to the setting that mends a finding. */
function mend(one, use) {
  const way = mending(one, use.store.get().schema?.fields ?? []);
  if (!way) return null;
  const go = way.path === BOTH_LAYERS ? () => use.store.act('look', { look: { kind: 'both' } }) : () => use.openField(way.path);
  return signButton('mend', way.words, go, { class: 'finding-place' });
}

/** Places that say nothing to a person: the whole drawing, and a setting, which has a button of its own. */
const NAMELESS = /^svg$|^[\w.]+\.\w+$/;

/** What leads to a place: a button where one can be shown, else words. */
function goTo(place, use) {
  const words = placeWords(place);
  if (place.at) return signButton('place', `Show ${words}`, () => use.goTo(place.at), { class: 'finding-place' });
  return words && !NAMELESS.test(words) ? h('p', { class: 'finding-remedy', text: `${capital(words)}.` }) : null;
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
