// The verdict at a glance, for a screen too narrow to hold it beside the face:
// a strip that is shown while the verdict's own line is out of sight.

import { duration, length } from '../state/numbers.js';
import { fill, h } from './dom.js';
import { sign, signButton } from './marks.js';

/** The line counts as seen when nearly all of it is, with room under it for the button that saves. */
const SEEN = { threshold: 0.95, rootMargin: '0px 0px -112px 0px' };

/** Adds the strip to the verdict in `root`, whose line is `line`; `save` saves. */
export function createGlance(root, line, save) {
  const words = h('button', { type: 'button', class: 'bare glance-words', title: 'Go to the verdict', on: { click: toVerdict } });
  const button = signButton('save', 'Save', save, { class: 'main', title: 'Save the finished file' });
  const element = h('div', { class: 'glance', data: { seen: '' } }, words, button);
  root.append(element);
  new IntersectionObserver(([entry]) => { element.toggleAttribute('data-seen', entry.intersectionRatio >= SEEN.threshold); }, SEEN).observe(line);

  function toVerdict() {
    line.scrollIntoView({ block: 'center' });
    root.focus({ preventScroll: true });
  }

  return {
    /** Shows a verdict {level, lead} and, of what can be saved, the figures that decide. */
    show({ level, lead }, figures) {
      fill(words, h('span', { class: { stop: 'level-stop', caution: 'level-caution' }[level] ?? '' }, sign(level)),
        h('span', {}, h('b', { text: lead }), figures ? ` ${length(figures.lengthMM)}, ${duration(figures.timeS)}.` : ''));
      button.hidden = !figures;
    },
  };
}
