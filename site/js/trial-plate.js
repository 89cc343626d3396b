// The trial plate: its key to print, and taking over the patch that came out
// best.

import { offer } from './offer.js';
import { asFinding } from './state/finding.js';
import { keepMachines, keptMachines, machineNow, withMachines } from './state/machines.js';
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

/**
 * Asks for a patch and writes its values into the job, and into a machine that
 * is kept here under a name.
 */
export async function usePatch(wiring) {
  const key = await keyOf(wiring);
  if (!key) return;
  const { store, shelf } = wiring;
  const own = keptMachines(shelf);
  const select = h('select', { id: 'patch' }, key.patches.map((patch) => h('option', { value: patch.name, text: `${patch.name}: ${words(wiring, patch)}` })));
  const into = h('select', { id: 'patch-machine' }, h('option', { value: '', text: 'no machine, the job alone' }), own.map(({ name }) => h('option', { value: name, text: name })), h('option', { value: NEW, text: 'a new machine, named…' }));
  const name = h('input', { id: 'patch-name', type: 'text', maxlength: '60', autocomplete: 'off', 'aria-label': 'Name of the new machine', hidden: true });
  into.addEventListener('change', () => {
    name.hidden = into.value !== NEW;
    if (!name.hidden) name.focus();
  });
  const chosen = await ask(wiring.document, 'Use a patch', [
    h('p', { text: 'Its values go into the job. With a machine they are kept for the next time, too.' }),
    h('label', { class: 'look-option' }, 'Patch', select),
    h('div', { class: 'row' }, h('label', { class: 'look-option' }, 'Write it into', into), name),
  ], [{ words: 'Leave it', value: null }, { words: 'Use it', value: () => ({ patch: select.value, into: into.value, name: name.value.trim() }), main: true }]);
  if (!chosen) return;
  const wanted = chosen.into === NEW ? chosen.name : chosen.into;
  if (chosen.into === NEW && !wanted) {
    wiring.toast({ text: 'Nothing was taken over: the new machine needs a name.' });
    return;
  }
  const preset = wanted ? own.find((one) => one.name === wanted)?.machine ?? machineNow(store.get(), wanted) : null;
  await takePatch(wiring, key.patches.find((one) => one.name === chosen.patch), preset);
}

/** The choice of a machine that is not kept yet; no name has only a blank. */
const NEW = ' ';

async function takePatch(wiring, patch, preset) {
  const { store, shelf } = wiring;
  let used;
  try {
    used = await wiring.engine.trialUse(jobOf(store.get()), patch.name, preset);
  } catch (error) {
    wiring.trouble(asFinding(error));
    return;
  }
  if (used.preset && !keepMachines(shelf, withMachines(keptMachines(shelf), [used.preset]))) store.act('storageLost');
  const values = Object.fromEntries(used.values.map((one) => [one.field, one.value]));
  store.act('edits', { values: { ...values, 'art.kind': undefined }, label: `use patch ${patch.name}` });
  const kept = used.preset ? ` It is written into “${used.preset.name}”.` : '';
  wiring.toast({ text: `Patch ${patch.name} is taken over: ${words(wiring, patch)}.${kept}`, undo: true });
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
