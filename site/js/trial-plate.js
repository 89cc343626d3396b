// The trial plate: its key to print, and taking over the patch that came out
// best.

import { offer } from './offer.js';
import { asFinding } from './state/finding.js';
import { plain } from './state/numbers.js';
import { fieldAt, unitOf } from './state/schema.js';
import { jobOf } from './state/state.js';
import { ask } from './ui/dialogs.js';
import { h } from './ui/dom.js';

/** Shows the key of the plate: which patch has which values; can be printed. */
export async function saveKey(wiring) {
  const key = await keyOf(wiring);
  if (!key) return;
  const table = h('table', { class: 'sides' },
    h('thead', {}, h('tr', {}, key.header.map((text) => h('th', { scope: 'col', text })))),
    h('tbody', {}, key.rows.map((row) => h('tr', {}, row.map((text, index) => h(index === 0 ? 'th' : 'td', { scope: index === 0 ? 'row' : null, text }))))));
  const chosen = await ask(wiring.document, key.title, [...key.how.map((text) => h('p', { text })), table], [{ words: 'Save as a table', value: 'save' }, { words: 'Print', value: 'print', main: true }]);
  const text = [key.header, ...key.rows].map((row) => row.join('\t')).join('\n');
  if (chosen === 'save') offer(wiring.document, new Blob([`${key.title}\n${key.how.join('\n')}\n${text}\n`], { type: 'text/tab-separated-values' }), 'trial-plate-key.tsv');
  if (chosen === 'print') printed(wiring.document, key, table);
}

/** Asks for a patch and writes its values into the job. */
export async function usePatch(wiring) {
  const key = await keyOf(wiring);
  if (!key) return;
  const select = h('select', {}, key.patches.map((patch, index) => h('option', { value: String(index), text: `${patch.name}: ${words(wiring, patch)}` })));
  const index = await ask(wiring.document, 'Use a patch', [h('p', { text: 'Its values go into the job; keep the machine afterwards to have them next time.' }), h('label', { class: 'look-option' }, 'Patch', select)], [{ words: 'Leave it', value: null }, { words: 'Use it', value: () => Number(select.value), main: true }]);
  if (index === null) return;
  const patch = key.patches[index];
  const values = Object.fromEntries(patch.values.map((one) => [one.field, one.value]));
  wiring.store.act('edits', { values: { ...values, 'art.kind': undefined }, label: `use patch ${patch.name}` });
  wiring.toast({ text: `Patch ${patch.name} is taken over: ${words(wiring, patch)}.`, undo: true });
}

async function keyOf(wiring) {
  try {
    return await wiring.engine.trialKey(jobOf(wiring.store.get()));
  } catch (error) {
    wiring.trouble(asFinding(error));
    return null;
  }
}

function printed(document, key, table) {
  const sheet = h('section', { class: 'print-only' }, h('h1', { text: key.title }), key.how.map((text) => h('p', { text })), table);
  document.body.append(sheet);
  document.defaultView.addEventListener('afterprint', () => sheet.remove(), { once: true });
  document.defaultView.print();
}

function words(wiring, patch) {
  return patch.values.map((one) => {
    const field = fieldAt(wiring.store.get().schema.fields, one.field);
    return field ? `${field.label.toLowerCase()} ${plain(one.value)} ${unitOf(field)}`.trim() : `${one.field} ${plain(one.value)}`;
  }).join(', ');
}
