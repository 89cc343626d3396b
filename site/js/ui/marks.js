// The page's own small signs, drawn with lines on a 16 x 16 field.

import { h, s } from './dom.js';

const SIGNS = {
  undo: 'M6 3 2.5 6.5 6 10M3 6.5h6.5a4 4 0 0 1 0 8H7',
  redo: 'm10 3 3.5 3.5L10 10M13 6.5H6.5a4 4 0 0 0 0 8H9',
  more: 'M2 4h12M2 8h12M2 12h12',
  help: 'M5.5 6a2.5 2.5 0 1 1 3.6 2.2c-.8.4-1.1.9-1.1 1.8M8 12.6v.4',
  close: 'm3.5 3.5 9 9M12.5 3.5l-9 9',
  play: 'M5 3v10l8-5z',
  pause: 'M5.5 3v10M10.5 3v10',
  fit: 'M2 6V2h4M10 2h4v4M14 10v4h-4M6 14H2v-4',
  plus: 'M8 3v10M3 8h10',
  minus: 'M3 8h10',
  reset: 'M3 3v4h4M3.3 7A5.5 5.5 0 1 1 3 10.5',
  save: 'M8 2v8M4.5 7 8 10.5 11.5 7M2.5 13.5h11',
  file: 'M4 1.5h5L12.5 5v9.5H4zM9 1.5V5h3.5',
  lamp: 'M8 2.5a4 4 0 0 0-2 7.4V12h4V9.9a4 4 0 0 0-2-7.4M6.5 14h3',
  pin: 'M5.5 2h5M6.5 2v5L4 9.5h8L9.5 7V2M8 9.5V14.5',
  link: 'M6.5 9.5l3-3M7 4.5 8.5 3a3.2 3.2 0 0 1 4.5 4.5L11.5 9M9 11.5 7.5 13A3.2 3.2 0 0 1 3 8.5L4.5 7',
  mend: 'M2 4.5h6M12 4.5h2M8 3v3h2.5V3zM2 11.5h2.5M8.5 11.5H14M4.5 10v3H7v-3z',
  place: 'M8 1.5v3M8 11.5v3M1.5 8h3M11.5 8h3M8 5.5a2.5 2.5 0 1 0 0 5 2.5 2.5 0 0 0 0-5',
  ready: 'M1.5 8a6.5 6.5 0 1 0 13 0 6.5 6.5 0 0 0-13 0M4.5 8.2l2.5 2.5 4.7-5',
  note: 'M1.5 8a6.5 6.5 0 1 0 13 0 6.5 6.5 0 0 0-13 0M4.5 8h7',
  caution: 'M8 1.8 15 14H1zM6.2 9.6l3-3M5 12.3l5.2-5.2M8 12.5l3.3-3.3',
  stop: 'M5.2 1.5h5.6l3.7 3.7v5.6l-3.7 3.7H5.2l-3.7-3.7V5.2zM5 5l6 6M11 5l-6 6M3.5 8.5l4 4M8.5 3.5l4 4',
  work: 'M2 13 13 2M2 8l6-6M8 14l6-6',
  turn: 'M13.5 8A5.5 5.5 0 1 1 11.8 4M12 1.5V4.3H9.2',
  picture: 'M2 3h12v10H2zM2 11l4-4 3 3 2-2 3 3',
  film: 'M2 3h12v10H2zM5 3v10M11 3v10M2 8h3M11 8h3',
  phone: 'M5 1.5h6v13H5zM7.5 12.5h1',
};

/** One sign; decoration, so hidden from readers of the page. */
export function sign(name) {
  return s('svg', { class: 'sign', viewBox: '0 0 16 16', 'aria-hidden': 'true', focusable: 'false' }, s('path', { d: SIGNS[name] }));
}

/** A button with a sign; `words` (or an element that holds them) is shown, or spoken only when `quiet`. */
export function signButton(name, words, action, { quiet = false, ...props } = {}) {
  return h('button', { type: 'button', class: quiet ? 'bare' : '', on: { click: action }, 'aria-label': quiet ? words : null, title: quiet ? words : null, ...props }, sign(name), quiet ? null : words);
}
