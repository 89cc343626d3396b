// One editable number with its unit: typed, or moved by arrow keys.

import { plain } from '../state/numbers.js';
import { readNumber, stepped, unitOf } from '../state/schema.js';
import { h } from './dom.js';

/**
 * A number box for a field {label, unit, min, max, step}. `changed(value,
 * gesture)` hears every good value, `wrong(sentence)` every bad text ('' when
 * it is good again). With `wraps` the range is a circle.
 */
export function numberBox(field, changed, wrong = () => {}) {
  let burst = 0;
  let last = NaN;
  const input = h('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', spellcheck: 'false', 'aria-label': unitOf(field) ? `${field.label}, ${unitOf(field)}` : field.label });
  const element = h('span', { class: 'number' }, input, unitOf(field) ? h('span', { class: 'number-unit', text: unitOf(field), 'aria-hidden': 'true' }) : null);

  function said(sentence) {
    if (sentence) input.setAttribute('aria-invalid', 'true');
    else input.removeAttribute('aria-invalid');
    input.title = sentence;
    wrong(sentence);
  }

  function take() {
    const read = readNumber(input.value, field);
    said(read.wrong ?? '');
    if (read.wrong) return;
    if (read.value !== last) {
      last = read.value;
      changed(read.value, null);
    }
    input.value = plain(read.value);
  }

  input.addEventListener('change', take);
  input.addEventListener('focus', () => { burst += 1; });
  input.addEventListener('blur', () => {
    if (input.getAttribute('aria-invalid') === 'true') {
      input.value = plain(last);
      said('');
    }
  });
  input.addEventListener('keydown', (event) => {
    const direction = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!direction) return;
    event.preventDefault();
    const from = readNumber(input.value, { ...field, min: -Infinity, max: Infinity }).value ?? last;
    let next = stepped(from, field.wraps ? { ...field, min: -Infinity, max: Infinity } : field, direction, event.shiftKey);
    if (field.wraps) next = (((next - field.min) % 360) + 360) % 360 + field.min;
    last = next;
    input.value = plain(next);
    said('');
    changed(next, `arrows-${field.path ?? field.label}-${burst}`);
  });

  return {
    element,
    input,
    /** Shows a value that came from elsewhere; typing is left alone. */
    set(value) {
      if (value === last && input.value !== '') return;
      if (document.activeElement === input && input.getAttribute('aria-invalid') === 'true') return;
      last = value;
      input.value = Number.isFinite(value) ? plain(value) : '';
      input.removeAttribute('aria-invalid');
    },
  };
}
