// What the lines of a way of looking mean: swatches with their names.

import { fill, h } from './dom.js';
import { strokeSwatch } from './stroke-marks.js';

/** A legend; show(entries) takes [{id, name}] and hides it when there are none. */
export function createLegend(label) {
  const element = h('ul', { class: 'legend', 'aria-label': label, hidden: true });
  let shown = '';
  return {
    element,
    show(entries) {
      const now = JSON.stringify(entries.map(({ id, name }) => [id, name]));
      if (now === shown) return;
      shown = now;
      element.hidden = entries.length === 0;
      fill(element, entries.map(({ id, name }) => h('li', {}, strokeSwatch(id), name)));
    },
  };
}
