// The row under the bench: which way of looking, and what belongs to it.

import { LARGEST_TILT } from '../state/light.js';
import { clock, length, plain, some } from '../state/numbers.js';
import { jobOf } from '../state/state.js';
import { strokesByClass } from '../state/strokes.js';
import { fill, h } from './dom.js';
import { createLegend } from './legend.js';
import { sign, signButton } from './marks.js';
import { numberBox } from './number-box.js';

const KINDS = [['light', 'Light'], ['lines', 'Lines'], ['both', 'Both layers']];

/** Draws the row; `use`: play, tilt, picture, film, openCard. */
export function createLooks(root, store, use) {
  const names = h('div', { class: 'look-names', role: 'radiogroup', 'aria-label': 'Way of looking' });
  const radios = KINDS.map(([kind, label]) => {
    const radio = h('input', { type: 'radio', name: 'look', value: kind, on: { change: () => change({ kind, playing: false }) } });
    names.append(h('label', { class: 'look-name' }, radio, h('span', { text: label })));
    return radio;
  });
  const below = h('input', { type: 'checkbox', id: 'below', on: { change: () => change({ below: below.checked }) } });
  const ends = h('label', { class: 'check looks-end' }, below, 'From below');
  const rows = { light: lightRow(), lines: linesRow(), both: bothRow() };
  fill(root, names, ends, ...Object.values(rows).map((row) => row.element));

  function change(look) {
    store.act('look', { look });
  }

  function lightRow() {
    const surface = h('select', { id: 'surface', on: { change: () => { change({ surface: surface.value }); keepHabits(); } } });
    const colour = h('input', { type: 'color', id: 'colour', on: { input: () => change({ colour: colour.value }), change: keepHabits } });
    const azimuth = numberBox({ label: 'Lamp direction', unit: '°', min: 0, max: 359, step: 5, wraps: true }, (value) => change({ azimuth: value, turning: false }));
    const height = numberBox({ label: 'Lamp height', unit: '°', min: 90 - LARGEST_TILT, max: 90, step: 5 }, (value) => change({ tilt: 90 - value, turning: false }));
    const turn = h('button', { type: 'button', class: 'bare', 'aria-pressed': 'false', title: 'Turn the lamp slowly', on: { click: () => change({ turning: !store.get().look.turning }) } }, sign('turn'), h('span', { class: 'turn-words', text: 'Turn' }));
    const tilt = use.canTilt ? signButton('phone', h('span', { class: 'turn-words', text: 'Tilt' }), use.tilt, { class: 'bare', title: 'Let the device’s tilt move the lamp', 'aria-pressed': 'false' }) : null;
    let filled = null;
    const element = h('div', { class: 'look-options' },
      option('Surface', surface), option('Filament', colour),
      h('span', { class: 'look-option look-lamp' }, 'Lamp', h('span', { class: 'lamp-words', 'aria-hidden': 'true', text: 'at' }), azimuth.element, h('span', { class: 'lamp-words', 'aria-hidden': 'true', text: 'round,' }), height.element, h('span', { class: 'lamp-words', 'aria-hidden': 'true', text: 'high' })),
      turn, tilt,
      signButton('picture', h('span', { class: 'take-words', text: 'Picture' }), use.picture, { class: 'bare', title: 'Save this view as a PNG picture' }),
      signButton('film', h('span', { class: 'take-words', text: 'Film' }), use.film, { class: 'bare', title: 'Save one turn of the lamp as a short film' }));
    function keepHabits() {
      const { surface: id, colour: hue } = store.get().look;
      store.act('habit', { habits: { surface: id, colour: hue } });
    }
    return {
      element,
      update({ schema, look }) {
        if (schema && filled !== schema) {
          filled = schema;
          fill(surface, (schema.surfaces ?? []).map((one) => h('option', { value: one.id, text: one.name })));
        }
        surface.value = look.surface ?? '';
        colour.value = look.colour;
        azimuth.set(Math.round(look.azimuth));
        height.set(Math.round(90 - look.tilt));
        turn.setAttribute('aria-pressed', String(look.turning));
        tilt?.setAttribute('aria-pressed', String(look.tilting === true));
      },
    };
  }

  function linesRow() {
    const play = h('button', { type: 'button', on: { click: use.play } });
    const scrub = h('input', { type: 'range', class: 'scrub', min: '0', max: '1', step: '0.001', 'aria-label': 'Along the line', on: { input: () => change({ upTo: Number(scrub.value), playing: false }) } });
    const words = h('p', { class: 'scrub-words', text: '' });
    const legend = createLegend('What the lines are');
    let playing = null;
    return {
      element: h('div', { class: 'look-options' }, play, scrub, words, legend.element),
      words,
      update({ look, report }) {
        if (playing !== look.playing) {
          playing = look.playing;
          fill(play, sign(playing ? 'pause' : 'play'), playing ? 'Pause' : 'Play');
        }
        scrub.value = String(look.upTo);
        if (!report) words.textContent = '';
        legend.show(report?.scrub ? [...LINES, ...joined(report)] : []);
        const total = report?.scrub?.lengthMM ?? 0;
        scrub.setAttribute('aria-valuetext', `${length(total * look.upTo)} of ${length(total)}`);
      },
    };
  }

  function bothRow() {
    const box = (key, label) => h('input', { type: 'checkbox', on: { change: (event) => change({ [key]: event.target.checked }) }, data: { key }, 'aria-label': label });
    const boxes = [['old', 'Old layer', 'old'], ['fresh', 'New layer', 'new'], ['covered', 'Uneven cover', 'covered']].map(([key, label, kind]) => ({ key, input: box(key, label), label, kind }));
    const legend = createLegend('Lines of the old layer');
    const where = h('button', { type: 'button', on: { click: () => use.openCard('placement') } }, 'Place it by numbers');
    return {
      element: h('div', { class: 'look-options' }, boxes.map(({ input, label, kind }) => h('label', { class: 'check' }, input, h('span', { class: `swatch ${kind}`, 'aria-hidden': 'true' }), label)), where, legend.element),
      update(state) {
        const { look, report, piece } = state;
        for (const { key, input } of boxes) input.checked = look[key];
        const classes = look.old ? strokesByClass(piece, jobOf(state)).map(({ id, name, corrected }) => ({ id, name: corrected > 0 ? `${name} (corrected)` : name })) : [];
        legend.show([...classes, ...(look.fresh ? joined(report) : [])]);
      },
    };
  }

  return {
    /** Where along the bead the engine has drawn to: the share that was asked for, and what is there. */
    scrubbed({ at, timeS, speedMMs, flowMM3s, line, lengthMM }, upTo) {
      if (timeS === undefined) return;
      const parts = [lengthMM === undefined ? '' : length(lengthMM), clock(timeS), `${plain(speedMMs, 1)} mm/s`, `${plain(flowMM3s, 2)} mm³/s`, line ? `line ${line}` : '', at ? `at ${plain(at[0], 1)}, ${plain(at[1], 1)}` : ''];
      rows.lines.words.textContent = parts.filter(Boolean).join(' · ');
      rows.lines.words.dataset.share = String(upTo);
    },

    update(state) {
      for (const radio of radios) radio.checked = radio.value === state.look.kind;
      below.checked = state.look.below;
      for (const [kind, row] of Object.entries(rows)) row.element.hidden = state.look.kind !== kind;
      rows[state.look.kind].update(state);
    },
  };
}

/** What the engine's drawing of the lines shows. */
const LINES = [{ id: 'bead', name: 'Pattern' }, { id: 'kept', name: 'Kept' }, { id: 'prime', name: 'Prime line' }, { id: 'travel', name: 'Travel' }];

/** The straight pieces that join drawn lines, where there are any. */
function joined(report) {
  const gaps = report?.added?.length ?? 0;
  return gaps > 0 ? [{ id: 'added', name: some(gaps, 'gap joined', 'gaps joined') }] : [];
}

function option(label, control) {
  return h('label', { class: 'look-option' }, label, control);
}
