// The fields of a card, built from the engine's schema.

import { isFirst, isShown } from '../state/card-fields.js';
import { fieldsOf, inWords, originWords, range, readOf, standing, whyRead } from '../state/schema.js';
import { jobOf } from '../state/state.js';
import { h } from './dom.js';
import { signButton } from './marks.js';
import { numberBox } from './number-box.js';

let names = 0;

/** Builds the fields of `sections`, without those `handled` elsewhere. */
export function createFields(wiring, sections, handled = new Set()) {
  const { store } = wiring;
  const first = h('div', { class: 'fields' });
  const rest = h('div', { class: 'fields' });
  const more = h('details', { class: 'more' }, h('summary', { text: 'More' }), rest);
  const element = h('div', { class: 'fields' }, first, more);
  const rows = new Map();
  for (const section of sections) {
    for (const field of fieldsOf(store.get().schema.fields, section)) {
      if (handled.has(field.path) || !CONTROLS[field.kind]) continue;
      const row = createRow(store, field);
      rows.set(field.path, row);
      (isFirst(field) ? first : rest).append(row.element);
    }
  }

  return {
    element,

    update(state) {
      const job = jobOf(state);
      const read = readOf(state.piece);
      let waiting = 0;
      for (const { element: one, field, show } of rows.values()) {
        one.hidden = !isShown(field, job, state.schema.fields, read);
        if (!one.hidden && !isFirst(field)) waiting += 1;
        const { value, from } = standing(field, job, read);
        show(value, from, state.piece);
      }
      more.hidden = waiting === 0;
    },

    focus(path) {
      const row = rows.get(path);
      if (!row) return;
      if (rest.contains(row.element)) more.open = true;
      row.control.focus();
      row.element.scrollIntoView({ block: 'nearest' });
    },
  };
}

function createRow(store, field) {
  const id = `field-${(names += 1)}`;
  const wrong = h('p', { class: 'field-wrong', hidden: true, id: `${id}-wrong` });
  const from = h('span', { class: 'field-from', hidden: true });
  const change = (value, gesture = null) => store.act('edit', { path: field.path, value, label: field.label.toLowerCase(), gesture });
  const control = CONTROLS[field.kind](field, change, (sentence) => {
    wrong.textContent = sentence;
    wrong.hidden = !sentence;
  });
  control.focusable.id = id;
  if (field.doc) control.focusable.setAttribute('aria-describedby', `${id}-doc`);
  const reset = signButton('reset', `Reset ${field.label.toLowerCase()} to ${inWords(field, field.default)}`, () => {
    change(undefined);
    control.focusable.focus();
  }, { quiet: true, class: 'bare field-reset' });
  const element = h('div', { class: 'field', data: { path: field.path } },
    h('span', { class: 'field-label' }, h('label', { for: id, text: field.label }), from),
    control.element, reset, wrong,
    field.doc ? h('p', { class: 'field-doc', id: `${id}-doc`, text: field.doc }) : null);
  return {
    element, field,
    control: control.focusable,
    show(value, origin, piece) {
      control.set(value);
      from.textContent = originWords(field, origin, piece);
      from.hidden = !from.textContent;
      from.dataset.origin = origin;
      from.title = origin === 'piece' ? whyRead(field, piece) : '';
      reset.style.visibility = origin === 'job' ? 'visible' : 'hidden';
    },
  };
}

function numberControl(field, change, wrong) {
  const box = numberBox(field, change, wrong);
  box.input.title = range(field);
  box.input.removeAttribute('aria-label');
  return { element: box.element, focusable: box.input, set: box.set };
}

const CONTROLS = {
  number: numberControl,
  whole: numberControl,

  choice(field, change) {
    const options = field.choices ?? [];
    const select = h('select', { on: { change: () => change(options[select.selectedIndex].value) } }, options.map(({ label }) => h('option', { text: label })));
    return { element: select, focusable: select, set: (value) => { select.selectedIndex = options.findIndex((one) => one.value === value); } };
  },

  bool(field, change) {
    const box = h('input', { type: 'checkbox', on: { change: () => change(box.checked) } });
    return { element: box, focusable: box, set: (value) => { box.checked = value === true; } };
  },

  text(field, change) {
    const long = field.path === 'art.text';
    const input = h(long ? 'textarea' : 'input', { type: long ? null : 'text', rows: long ? '3' : null, maxlength: String(Math.min(field.max || 400, 4000)), autocomplete: 'off', on: { change: () => change(input.value) } });
    return { element: input, focusable: input, set: (value) => { if (document.activeElement !== input) input.value = value ?? ''; } };
  },

  /** Rectangles as lines of four numbers. */
  areas(field, change, wrong) {
    const input = h('textarea', { rows: '2', autocomplete: 'off', placeholder: 'x y x y, one a line', on: { change: take } });
    function take() {
      const lines = input.value.split('\n').map((line) => line.trim()).filter(Boolean);
      const boxes = lines.map((line) => line.split(/[\s,;]+/).map(Number));
      const bad = boxes.findIndex((box) => box.length !== 4 || box.some((one) => !Number.isFinite(one)));
      wrong(bad < 0 ? '' : `Line ${bad + 1} of ${field.label.toLowerCase()} needs four numbers: xMin yMin xMax yMax.`);
      if (bad < 0) change(boxes.length === 0 ? undefined : boxes);
    }
    return { element: input, focusable: input, set: (value) => { if (document.activeElement !== input) input.value = (value ?? []).map((box) => box.join(' ')).join('\n'); } };
  },
};
