// The card of one part of the sentence: its fields, what belongs to them, and
// the way back to the defaults.

import { jobOf } from '../state/state.js';
import { fieldsOf } from '../state/schema.js';
import { h } from './dom.js';
import { createFields } from './fields.js';
import { createMachineCard } from './machine-card.js';
import { signButton } from './marks.js';
import { createPatternCard } from './pattern-card.js';
import { createPieceCard } from './piece-card.js';

const CARDS = {
  art: { title: 'The pattern', sections: ['art'], about: '', extra: createPatternCard },
  placement: { title: 'Where it lies', sections: ['placement'], about: 'Everything here can also be dragged on the face under “Both layers”. Snapping: centre, edges, 15°; hold Alt to move freely.' },
  piece: { title: 'The piece', sections: ['piece'], about: '', extra: createPieceCard },
  keep: { title: 'What is kept', sections: ['keep', 'layers'], about: 'Kept lines are laid again exactly as they were. Everything else gives way to the pattern.' },
  bead: { title: 'The bead', sections: ['bead'], about: 'Unless you say otherwise the bead is laid as the piece’s own first layer lays it.' },
  prime: { title: 'How it begins and ends', sections: ['prime', 'join'], about: 'What leads into the pattern, and how the rest of the file takes over.' },
  machine: { title: 'The machine', sections: ['machine'], about: '', extra: createMachineCard },
};

let open = null;

/** Shows the card of a section, or none for null. */
export function showCard(wiring, section) {
  open?.remove();
  open = null;
  if (section) open = build(wiring, section);
}

/** Opens nothing, but puts the focus on a field of the open card. */
export function focusField(wiring, path) {
  requestAnimationFrame(() => open?.focusField(path));
}

function build(wiring, section) {
  const kind = CARDS[section];
  const { store, document } = wiring;
  const anchor = wiring.anchor(section);
  const fields = createFields(wiring, kind.sections, section === 'art' || section === 'piece' ? HANDLED : new Set());
  const extra = kind.extra?.(wiring, fields) ?? null;
  const body = h('div', { class: 'card-body' }, kind.about ? h('p', { class: 'card-about', text: kind.about }) : null, extra?.element, fields.element);
  const close = () => {
    wiring.closeCard();
    anchor.focus();
  };
  const card = h('div', { class: 'card', role: 'dialog', 'aria-label': kind.title, data: { lay: anchor.dataset?.lay ?? 'a', section } },
    h('div', { class: 'card-head' },
      h('h2', { text: kind.title }),
      section === 'piece' ? null : signButton('reset', 'Reset', () => resetSections(wiring, kind), { class: 'bare', title: 'Put this card back to its defaults' }),
      signButton('close', 'Close', close, { quiet: true })),
    body);
  card.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    close();
  });
  document.getElementById('card-root').append(card);
  stand(wiring, card, anchor);
  const restand = () => stand(wiring, card, anchor);
  window.addEventListener('resize', restand);
  const update = (state, before) => {
    fields.update(state);
    extra?.update?.(state, before);
  };
  update(store.get(), {});
  const endListening = store.on(update);
  (card.querySelector('.pattern[aria-pressed="true"], .card-body input, .card-body select, .card-body button') ?? card.querySelector('button')).focus({ preventScroll: true });
  return {
    remove() {
      endListening();
      extra?.end?.();
      window.removeEventListener('resize', restand);
      wiring.coverBench(null);
      card.remove();
    },
    focusField: (path) => extra?.focus?.(path) || fields.focus(path),
  };
}

const HANDLED = new Set(['art.kind', 'art.generator', 'art.params', 'art.seed', 'art.svg', 'art.name', 'art.picture', 'art.lays', 'piece.file', 'piece.sha256', 'piece.classes', 'piece.islands']);

/** Puts the card under the sentence, over the bench, near its own part. */
function stand(wiring, card, anchor) {
  const bench = wiring.benchElement.getBoundingClientRect();
  if (getComputedStyle(card).position === 'fixed') {
    wiring.benchElement.scrollIntoView({ block: 'start' });
    wiring.coverBench(null);
    return;
  }
  const box = anchor.getClientRects()[0] ?? anchor.getBoundingClientRect();
  const text = anchor.closest('.sentence').getBoundingClientRect();
  const edges = [Math.max(16, bench.left + 12), Math.min(bench.right - 12, document.documentElement.clientWidth - 16) - card.offsetWidth];
  const nearRight = box.left + card.offsetWidth / 2 > (bench.left + bench.right) / 2;
  const left = Math.max(16, nearRight ? edges[1] : edges[0]);
  const top = Math.max(box.bottom, text.bottom - 10) + window.scrollY;
  card.style.insetInlineStart = `${left + window.scrollX}px`;
  card.style.insetBlockStart = `${top}px`;
  card.style.maxBlockSize = `${Math.max(280, window.innerHeight - top + window.scrollY - 12)}px`;
  wiring.coverBench({ left: left - bench.left, right: left + card.offsetWidth - bench.left });
}

function resetSections(wiring, kind) {
  const { store } = wiring;
  const values = Object.fromEntries(kind.sections.flatMap((section) => fieldsOf(store.get().schema.fields, section).map((field) => [field.path, undefined])));
  const had = Object.keys(jobOf(store.get())).some((key) => kind.sections.includes(key));
  store.act('edits', { values, label: `reset ${kind.title.toLowerCase()}` });
  if (had) wiring.toast({ text: `${kind.title}: back to the defaults.`, undo: true });
}
