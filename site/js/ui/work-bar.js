// Progress of what the engine is doing, and the way out of it.

import { fill, h } from './dom.js';

const SHOWN_AFTER_MS = 220;

/** The bar at the lower edge of the bench. */
export function createWorkBar(root, cancel) {
  const words = h('span', { class: 'bench-work-words' });
  const done = h('div', { class: 'bench-work-done' });
  const bar = h('div', { class: 'bench-work-bar', role: 'progressbar', 'aria-label': 'Progress', 'aria-valuemin': '0', 'aria-valuemax': '100' }, done);
  const element = h('div', { class: 'bench-work', hidden: true }, words, bar, h('button', { type: 'button', id: 'cancel', on: { click: cancel } }, 'Cancel'));
  root.append(element);
  let timer = 0;

  return {
    update({ run }, before) {
      if (run === before.run) return;
      const busy = run.phase !== 'idle';
      if (!busy) {
        clearTimeout(timer);
        timer = 0;
        element.hidden = true;
        return;
      }
      if (element.hidden && !timer) timer = setTimeout(() => { element.hidden = false; }, SHOWN_AFTER_MS);
      const share = Math.round(run.share * 100);
      fill(words, `${run.stage || NAMES[run.phase]} ${share} %`);
      done.style.inlineSize = `${share}%`;
      bar.setAttribute('aria-valuenow', String(share));
    },
  };
}

const NAMES = { starting: 'Starting', opening: 'Reading the file', laying: 'Laying the lines', saving: 'Checking and saving' };
