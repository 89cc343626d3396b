// Questions and lists that stand in front of the screen.

import { h } from './dom.js';
import { KEYS } from './keys.js';
import { signButton } from './marks.js';

/**
 * Shows a dialog with a title, a body and buttons [{words, value, main}].
 * Resolves with the value chosen, or null when it was closed.
 */
export function ask(document, title, body, buttons) {
  return new Promise((done) => {
    const dialog = h('dialog', { 'aria-label': title });
    const answer = (value) => {
      dialog.close();
      dialog.remove();
      done(value);
    };
    dialog.append(
      h('div', { class: 'card-head' }, h('h2', { text: title }), signButton('close', 'Close', () => answer(null), { quiet: true })),
      h('div', { class: 'dialog-body', tabIndex: 0 }, body),
      h('div', { class: 'dialog-foot' }, buttons.map(({ words, value, main }) => h('button', { type: 'button', class: main ? 'main' : '', on: { click: () => answer(typeof value === 'function' ? value() : value) } }, words))));
    dialog.addEventListener('cancel', (event) => {
      event.preventDefault();
      answer(null);
    });
    document.body.append(dialog);
    dialog.showModal();
    dialog.querySelector('textarea')?.focus();
  });
}

/** Shows the keyboard map and the switch of the single keys. */
export async function showKeys(wiring) {
  const { store, document } = wiring;
  const single = h('input', { type: 'checkbox', checked: store.get().habits.singleKeys !== false, on: { change: () => store.act('habit', { habits: { singleKeys: single.checked } }) } });
  const groups = Map.groupBy(KEYS, (one) => one.within ?? (one.single ? 'Single keys' : 'Everywhere'));
  await ask(document, 'Keys', [
    h('table', { class: 'sides keys' }, [...groups].map(([title, keys]) => h('tbody', {}, h('tr', {}, h('th', { scope: 'rowgroup', colspan: '2', text: title })), keys.map(keyRow)))),
    h('label', { class: 'check' }, single, 'Use single keys'),
  ], [{ words: 'Close', value: true, main: true }]);
}

function keyRow({ keys, words }) {
  return h('tr', {}, h('td', {}, keys.split(' ').flatMap((key, index) => [index ? ' ' : '', h('kbd', { text: key })])), h('td', { text: words }));
}

/** Opens the help: a page of its own, or inside a saved copy. */
export async function showHelp({ document }) {
  const inside = document.getElementById('help-text');
  if (!inside) {
    document.defaultView.open('docs/help.html', '_blank', 'noopener');
    return;
  }
  await ask(document, 'Help', h('div', { class: 'help-text' }, inside.content.cloneNode(true)), [{ words: 'Close', value: true, main: true }]);
}

/**
 * Shows side by side what a link or a job would change. Resolves true when
 * the person takes it over.
 */
export async function showChanges(document, title, changes, words) {
  if (changes.length === 0) {
    await ask(document, title, h('p', { text: 'It holds the same settings that you have now.' }), [{ words: 'Close', value: false, main: true }]);
    return false;
  }
  const table = h('table', { class: 'sides' },
    h('thead', {}, h('tr', {}, ['Setting', 'Now', 'Then'].map((text) => h('th', { scope: 'col', text })))),
    h('tbody', {}, changes.map((change) => h('tr', {}, h('th', { scope: 'row', text: words.label(change.field) }), h('td', { text: words.value(change.field, change.from) }), h('td', { class: 'new', text: words.value(change.field, change.to) })))));
  return (await ask(document, title, [h('p', { text: 'Nothing changes until you take it over. Your sliced file stays.' }), table], [{ words: 'Leave it', value: false }, { words: 'Take it over', value: true, main: true }])) === true;
}
