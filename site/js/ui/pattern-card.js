// The card of the pattern: the family with its thumbnails, or a drawing, a
// picture, lettering, a trial plate; and the numbers that belong to each.

import { valueAt } from '../state/job-path.js';
import { ART, ART_KINDS } from '../state/paths.js';
import { fieldAt, standing } from '../state/schema.js';
import { jobOf } from '../state/state.js';
import { breath } from './breath.js';
import { fill, h } from './dom.js';
import { signButton } from './marks.js';
import { numberBox } from './number-box.js';

const THUMB = { width: 120, height: 90 };
const LIVE = { width: 360, height: 270 };
const DOORS = { lines: ['.svg', 'Choose an SVG of lines…', 'Its strokes are laid exactly as drawn, as the middle of the bead. Or drop the file anywhere.'], shapes: ['.svg', 'Choose an SVG of shapes…', 'Each filled shape becomes a zone with a direction of its own; shapes of one colour share it.'], picture: ['image/png,image/jpeg', 'Choose a picture…', 'Its tones become zones: dark, middle and light each get a direction.'] };

const TRIES = 4;
const RETRY_MS = 700;
const thumbs = new Map();

/** Builds the card's own part, above the schema's fields. */
export function createPatternCard(wiring) {
  const { store } = wiring;
  const kinds = h('div', { class: 'sources', role: 'radiogroup', 'aria-label': 'What the pattern is made from' });
  const family = h('div', { class: 'patterns', role: 'group', 'aria-label': 'The family of patterns' });
  const numbers = h('div', { class: 'fields' });
  const live = h('canvas', { ...LIVE, role: 'img' });
  const about = h('p', { class: 'card-about' });
  const fileName = h('span', { class: 'source-note' });
  const body = h('div', { class: 'fields' });
  const element = h('div', { class: 'fields' }, kinds, body);
  const buttons = new Map();
  let shownKind = null;
  let shownMaker = null;
  let boxes = [];
  let liveFor = '';
  let ended = false;

  const radios = offered().map(({ value, label }) => {
    const radio = h('input', { type: 'radio', name: 'art-kind', value, on: { change: () => store.act('edit', { path: ART.kind, value, label: 'kind of pattern' }) } });
    kinds.append(h('label', { class: 'check' }, radio, label));
    return radio;
  });

  for (const maker of store.get().schema.generators) {
    const canvas = h('canvas', { ...THUMB, 'aria-hidden': 'true' });
    const button = h('button', { type: 'button', class: 'pattern', 'aria-pressed': 'false', on: { click: () => choose(maker) } }, canvas, h('span', { text: maker.name }));
    buttons.set(maker.id, button);
    family.append(button);
  }
  drawThumbs();

  /**
   * One at a time, so that laying never waits behind the whole family. Those
   * that went with an engine that was taken away are asked for once more.
   */
  async function drawThumbs(tries = TRIES) {
    const { look, schema } = store.get();
    let missing = 0;
    for (const maker of schema.generators) {
      if (ended) return;
      const key = `${maker.id} ${look.surface} ${look.colour}`;
      if (!thumbs.has(key)) {
        const picture = await wiring.pictures.thumb(maker.id, {}, 1, THUMB.width, THUMB.height, look);
        if (picture) thumbs.set(key, picture);
        else missing += 1;
      }
      put(buttons.get(maker.id).firstChild, thumbs.get(key));
      await breath();
    }
    if (missing > 0 && tries > 0) setTimeout(drawThumbs, RETRY_MS, tries - 1);
  }

  function offered() {
    const field = fieldAt(store.get().schema.fields, ART.kind);
    if (!field?.choices?.length) return ART_KINDS;
    return field.choices.map(({ value, label }) => ({ value, label: ART_KINDS.find((one) => one.value === value)?.label ?? label }));
  }

  function choose(maker) {
    store.act('edits', { values: { [ART.kind]: 'generator', [ART.generator]: maker.id, [ART.params]: undefined, [ART.lays]: undefined }, label: maker.name.toLowerCase() });
  }

  function now(state, path, otherwise) {
    const field = fieldAt(state.schema.fields, path);
    return (field ? standing(field, jobOf(state)).value : valueAt(jobOf(state), path)) ?? otherwise;
  }

  function drawKind(kind) {
    if (kind === 'generator') fill(body, h('div', { class: 'live' }, h('div', { class: 'fields' }, about, numbers), live), family);
    else if (DOORS[kind]) {
      const [accept, words, note] = DOORS[kind];
      fill(body, h('p', { class: 'card-about', text: note }), h('div', { class: 'row' }, h('button', { type: 'button', on: { click: () => wiring.pickArt(kind, accept) } }, words), fileName));
    } else if (kind === 'lettering') {
      fill(body, h('p', { class: 'card-about', text: 'The letters become zones, mirrored so that they read right from below.' }));
    } else if (kind === 'trial') {
      fill(body, h('p', { class: 'card-about', text: 'Small patches, each with another value, laid on a flat plate that you have sliced. Afterwards take over the patch that came out best.' }), h('div', { class: 'row' }, signButton('picture', 'Print the key', () => wiring.trialKey()), h('button', { type: 'button', on: { click: () => wiring.usePatch() } }, 'Use a patch…')));
    }
  }

  function drawNumbers(maker) {
    about.textContent = maker.about ?? '';
    boxes = maker.params.map((param) => {
      const path = `${ART.params}.${param.key}`;
      const change = (value, gesture = null) => store.act('edit', { path, value, label: param.label.toLowerCase(), gesture });
      const box = param.choices?.length ? choiceBox(param, change) : numberBox({ ...param, path, kind: param.whole ? 'whole' : 'number' }, change);
      const reset = signButton('reset', `Reset ${param.label.toLowerCase()}`, () => store.act('edit', { path, value: undefined, label: param.label.toLowerCase() }), { quiet: true, class: 'bare field-reset' });
      return { path, param, box, reset, row: h('div', { class: 'field' }, h('span', { text: param.label }), box.element, reset, param.doc ? h('p', { class: 'field-doc', text: param.doc }) : null) };
    });
    const seed = maker.random ? h('div', { class: 'field' }, h('span', { text: 'Another throw of the dice' }), signButton('turn', 'Throw', () => store.act('edit', { path: ART.seed, value: (Number(now(store.get(), ART.seed, 1)) % 9999) + 1, label: 'another throw' })), h('span')) : null;
    fill(numbers, boxes.map(({ row }) => row), seed);
  }

  return {
    element,
    update(state) {
      const kind = now(state, ART.kind, 'generator');
      const id = now(state, ART.generator, state.schema.generators[0]?.id);
      const maker = state.schema.generators.find((one) => one.id === id) ?? state.schema.generators[0];
      for (const radio of radios) radio.checked = radio.value === kind;
      for (const [one, button] of buttons) button.setAttribute('aria-pressed', String(one === maker?.id));
      if (kind !== shownKind) {
        shownKind = kind;
        drawKind(kind);
      }
      fileName.textContent = now(state, ART.svgName, '');
      if (!maker || kind !== 'generator') return;
      if (maker !== shownMaker) {
        shownMaker = maker;
        drawNumbers(maker);
      }
      const job = jobOf(state);
      for (const { path, param, box, reset } of boxes) {
        const own = valueAt(job, path);
        box.set(own ?? param.default);
        reset.style.visibility = own === undefined ? 'hidden' : 'visible';
      }
      drawLive(maker, valueAt(job, ART.params) ?? {}, now(state, ART.seed, 1));
    },

    /** Puts the focus on the first of the pattern's own numbers where they are asked for. */
    focus(path) {
      if (path !== ART.params) return false;
      boxes[0]?.row.querySelector('input, select').focus();
      return boxes.length > 0;
    },

    /** The card was closed: nothing more is drawn for it. */
    end() { ended = true; },
  };

  async function drawLive(maker, params, seed, tries = TRIES) {
    const wanted = JSON.stringify([maker.id, params, seed]);
    if (wanted === liveFor && tries === TRIES) return;
    liveFor = wanted;
    live.setAttribute('aria-label', `${maker.name} as it will be laid`);
    const picture = await wiring.pictures.thumb(maker.id, params, seed, LIVE.width, LIVE.height, store.get().look);
    if (wanted !== liveFor) return;
    if (picture) put(live, picture);
    else if (tries > 0) {
      // The engine was taken away for a newer run; ask once it is free.
      setTimeout(() => { if (wanted === liveFor && !ended) drawLive(maker, params, seed, tries - 1); }, RETRY_MS);
    }
  }
}

/** A parameter that counts through named choices. */
function choiceBox(param, change) {
  const select = h('select', { 'aria-label': param.label, on: { change: () => change(select.selectedIndex) } }, param.choices.map((text) => h('option', { text })));
  return { element: select, set: (value) => { select.selectedIndex = value; } };
}

function put(canvas, picture) {
  if (!picture) return;
  const pixels = new Uint8ClampedArray(picture.pixels.buffer, picture.pixels.byteOffset, picture.width * picture.height * 4);
  canvas.width = picture.width;
  canvas.height = picture.height;
  canvas.getContext('2d').putImageData(new ImageData(pixels, picture.width, picture.height), 0, 0);
}
