// The job as a sentence whose underlined parts open their cards.

import { sentence } from '../state/job-words.js';
import { jobOf } from '../state/state.js';
import { actsAsButton, fill, h } from './dom.js';

/** Letters of a part that is not broken over two lines. */
const MOST_WHOLE = 26;

/** Draws the sentence into `root`; `open(section)` is called for a part. */
export function createSentence(root, store, open) {
  const text = h('p', { class: 'sentence-text' });
  const clauses = new Map();

  function part(token) {
    if (typeof token === 'string') return token;
    let clause = clauses.get(token.section);
    if (!clause) {
      clause = h('span', { class: 'clause', data: { lay: token.lay, section: token.section }, 'aria-haspopup': 'dialog' });
      actsAsButton(clause, () => open(token.section));
      clauses.set(token.section, clause);
    }
    if (clause.textContent !== token.text) {
      clause.textContent = token.text;
      clause.classList.toggle('whole', token.text.length <= MOST_WHOLE);
    }
    return clause;
  }

  return {
    /** The element of a section's part, for the card to open under. */
    anchor: (section) => clauses.get(section) ?? text,

    /** Until the engine has spoken, the page's own first sentence stands. */
    update(state, before) {
      if (!state.schema || !state.piece) return;
      const changed = state.schema !== before.schema || state.piece !== before.piece || jobOf(state) !== jobOf(before);
      if (changed || clauses.size === 0) {
        const tokens = sentence({ job: jobOf(state), schema: state.schema, piece: state.piece });
        if (clauses.size === 0) {
          fill(text, tokens.map(part));
          fill(root, text);
        } else {
          for (const token of tokens) if (typeof token !== 'string') part(token);
        }
      }
      const troubled = troubles(state.report);
      for (const [section, clause] of clauses) {
        clause.setAttribute('aria-expanded', String(state.card === section));
        if (troubled.has(section)) clause.dataset.trouble = '';
        else delete clause.dataset.trouble;
      }
    },
  };
}

/** Sections that a stop finding names by one of their fields. */
function troubles(report) {
  const stops = (report?.findings ?? []).filter((one) => one.level === 'stop' && one.place?.file === 'job');
  return new Set(stops.map((one) => String(one.place.element ?? '').split('.')[0]).map((section) => ({ layers: 'keep', join: 'prime' }[section] ?? section)));
}
