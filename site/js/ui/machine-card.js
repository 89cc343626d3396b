// The card of the machine: generic beds to start from, and the person's own
// named records.

import { withValue } from '../state/job-path.js';
import { asFinding } from '../state/finding.js';
import { keepMachines, keptMachines, machineNow, startFields, withMachines } from '../state/machines.js';
import { some } from '../state/numbers.js';
import { jobOf } from '../state/state.js';
import { fill, h } from './dom.js';

/** The mark of a file of machines; the engine reads the same. */
const SCHEMA = 'sheenlay-machines/1';

/** Builds the card's own part, above the schema's fields. */
export function createMachineCard(wiring) {
  const { store, shelf, document } = wiring;
  let own = keptMachines(shelf);
  const select = h('select', { id: 'machine-preset', on: { change: take } });
  const name = h('input', { type: 'text', maxlength: '60', placeholder: 'Name', 'aria-label': 'Name for this machine', autocomplete: 'off' });
  const keep = h('button', { type: 'button', on: { click: keepNow } }, 'Keep');
  const drop = h('button', { type: 'button', class: 'bare', on: { click: dropNow } }, 'Forget');
  const picker = h('input', { type: 'file', accept: '.json,application/json', hidden: true, on: { change: read } });
  const element = h('div', { class: 'fields' },
    h('div', { class: 'row' }, h('label', { class: 'look-option' }, 'Start from', select), drop),
    h('div', { class: 'row' }, name, keep,
      h('button', { type: 'button', class: 'bare', on: { click: give } }, 'Export all'),
      h('button', { type: 'button', class: 'bare', on: { click: () => picker.click() } }, 'Import…'), picker));
  draw();

  function offered() {
    return [...(store.get().schema.presets ?? []).map((machine) => ({ name: machine.name, machine, given: true })), ...own];
  }

  function draw() {
    fill(select, h('option', { value: '', text: 'Choose…' }), offered().map((one, index) => h('option', { value: String(index), text: one.name })));
    drop.hidden = true;
  }

  function take() {
    const preset = offered()[Number(select.value)];
    drop.hidden = !preset || preset.given === true;
    if (select.value === '' || !preset) return;
    const job = { ...jobOf(store.get()), machine: preset.machine };
    const starts = preset.given ? [] : startFields(store.get().schema);
    store.act('job', { job: starts.reduce((next, { name: key, startsAs }) => (preset.machine[key] === undefined ? next : withValue(next, startsAs, preset.machine[key])), job), label: `machine ${preset.name}` });
  }

  function keepNow() {
    const wanted = name.value.trim();
    if (!wanted) {
      wiring.toast({ text: 'Give the machine a name first.' });
      name.focus();
      return;
    }
    own = withMachines(own, [machineNow(store.get(), wanted)]);
    storeAll();
    name.value = '';
    wiring.toast({ text: `“${wanted}” is kept on this machine.` });
  }

  function dropNow() {
    const preset = offered()[Number(select.value)];
    own = own.filter((one) => one.name !== preset.name);
    storeAll();
    wiring.toast({ text: `“${preset.name}” is forgotten.` });
  }

  function storeAll() {
    if (!keepMachines(shelf, own)) store.act('storageLost');
    draw();
  }

  async function give() {
    const { offer } = await import('../offer.js');
    offer(document, new Blob([JSON.stringify({ schema: SCHEMA, presets: own.map((one) => one.machine) }, null, 2)], { type: 'application/json' }), 'machines.json');
  }

  async function read() {
    const file = picker.files[0];
    picker.value = '';
    if (!file) return;
    try {
      const { presets, findings } = await wiring.engine.presetRead(await file.text());
      const bad = findings.find((found) => found.level === 'stop');
      if (bad) throw bad;
      own = withMachines(own, presets ?? []);
      storeAll();
      wiring.toast({ text: `${some(presets.length, 'machine')} taken over.` });
    } catch (error) {
      wiring.toast({ text: `“${file.name}” was not taken over: ${asFinding(error).text} Nothing has changed.` });
    }
  }

  return { element };
}
