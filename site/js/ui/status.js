// What is said aloud to readers of the page, and the short note that offers
// to take a step back.

import { fill, h } from './dom.js';
import { signButton } from './marks.js';

const APART_MS = 1000;
const TOAST_MS = 9000;

/** Speaks through `element` (role=status), at most once a second. */
export function createSpeaker(element) {
  let last = 0;
  let waiting = '';
  let timer = 0;
  function speak() {
    timer = 0;
    last = performance.now();
    element.textContent = waiting;
  }
  return (text) => {
    waiting = text;
    if (timer) return;
    const wait = last + APART_MS - performance.now();
    if (wait <= 0) speak();
    else timer = setTimeout(speak, wait);
  };
}

/** Draws the toast {text, undo} of the state. */
export function createToast(element, store, undo) {
  let timer = 0;
  const close = () => store.act('toast', { toast: null });
  return {
    update({ toast }, before) {
      if (toast === before.toast) return;
      clearTimeout(timer);
      element.hidden = !toast;
      if (!toast) return;
      fill(element, h('span', { text: toast.text }),
        toast.undo ? h('button', { type: 'button', on: { click: () => { close(); undo(); } } }, 'Undo') : null,
        toast.action ? h('button', { type: 'button', on: { click: () => { close(); toast.action(); } } }, toast.actionWords) : null,
        signButton('close', 'Close this note', close, { quiet: true }));
      timer = setTimeout(close, TOAST_MS);
    },
  };
}
