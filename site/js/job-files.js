// Jobs and settings that come and go: job files, links, the next file.

import { offer } from './offer.js';
import { keptCopy } from './offline.js';
import { asFinding } from './state/finding.js';
import { valueAt, withValue } from './state/job-path.js';
import { ART } from './state/paths.js';
import { fieldAt, fieldsOf, inWords, readOf, standing } from './state/schema.js';
import { jobOf } from './state/state.js';
import { ask, showChanges } from './ui/dialogs.js';
import { h } from './ui/dom.js';
import { copyText } from './ui/take-away.js';

const LONGEST_PASTE = 1_100_000;

/** Takes another sliced file through the same job. */
export function nextFile(wiring) {
  wiring.toast({ text: 'Choose or drop the next sliced file; every setting stays.' });
  wiring.pick();
}

/** Saves the whole job, artwork inside, the sliced file by name and fingerprint. */
export async function saveJob(wiring) {
  const { store, document } = wiring;
  const { piece } = store.get();
  const job = jobOf(store.get());
  const named = { ...job, sheenlay: 1, piece: { ...job.piece, ...(piece ? { file: piece.name, ...await fingerprintOf(wiring) } : {}) } };
  const name = `${(piece?.name ?? 'sheenlay').replace(/(\.[a-z0-9]+)(\.gz)?$/i, '')}.job.json`;
  offer(document, new Blob([`${JSON.stringify(named, null, 2)}\n`], { type: 'application/json' }), name);
}

/** {sha256} of the open file; nothing, and why, where it cannot be read. */
async function fingerprintOf({ engine, toast }) {
  try {
    return { sha256: await engine.fingerprint() };
  } catch (error) {
    toast({ text: `The job is saved without the fingerprint of its sliced file. ${asFinding(error).text}` });
    return {};
  }
}

/** Opens a job file: checks it, shows what it changes, asks. */
export async function openJobFile(wiring, file) {
  let job;
  try {
    job = JSON.parse(await file.text());
  } catch (error) {
    wiring.trouble({ code: 'page-job-unreadable', level: 'stop', text: `“${file.name}” is not a job file that can be read (${error.message}).`, remedy: 'Nothing has changed. Save the job anew where it came from.' });
    return;
  }
  try {
    const checked = await wiring.engine.jobCheck(job);
    const bad = checked.findings?.find((one) => one.level === 'stop');
    if (bad) throw bad;
    const { piece, ...rest } = job;
    await takeOver(wiring, `The job in ${file.name}`, rest, `open ${file.name}`);
    if (piece?.file && piece.file !== wiring.store.get().piece?.name) wiring.toast({ text: `This job belongs to ${piece.file}. Drop that file to go on with it.` });
  } catch (error) {
    wiring.trouble(asFinding(error));
  }
}

/** Copies a link that carries the settings, never a file or its name. */
export async function copyLink(wiring) {
  try {
    const answer = await wiring.engine.linkEncode(jobOf(wiring.store.get()));
    const text = typeof answer === 'string' ? answer : answer.text ?? answer.link;
    const page = wiring.document.location.protocol === 'file:' ? '' : wiring.document.location.href.replace(/#.*$/, '');
    await copyText(wiring, `${page}#${text.replace(/^#/, '')}`, 'The link is on the clipboard. It holds settings only, no file and no name.');
  } catch (error) {
    wiring.trouble(asFinding(error));
  }
}

/** Asks for a link, as a saved copy cannot be opened with one. */
export async function pasteLink(wiring) {
  const field = h('textarea', { 'aria-label': 'The link', autocomplete: 'off', spellcheck: 'false' });
  const text = await ask(wiring.document, 'Paste a link', [h('p', { text: 'You will see what the link sets before anything changes.' }), field], [{ words: 'Leave it', value: null }, { words: 'Look at it', value: () => field.value, main: true }]);
  if (text) await openLink(wiring, text);
}

/** Opens a link or a fragment: decodes it, shows the changes, asks. */
export async function openLink(wiring, text) {
  clearFragment(wiring);
  if (text.length > LONGEST_PASTE) {
    wiring.trouble({ code: 'page-link-long', level: 'stop', text: 'That link is far too long to be one of ours.', remedy: 'Nothing has changed.' });
    return;
  }
  const fragment = text.includes('#') ? text.slice(text.indexOf('#') + 1) : text;
  try {
    const answer = await wiring.engine.linkDecode(fragment.trim());
    const bad = answer.findings?.find((one) => one.level === 'stop');
    if (bad) throw bad;
    await takeOver(wiring, 'What this link would set', withChanges(wiring, answer.changes), 'take over a link');
  } catch (error) {
    wiring.trouble(asFinding(error));
  }
}

/** Offers the page itself as one file that works without a server. */
export async function keepCopy(wiring) {
  const { document } = wiring;
  if (document.getElementById('worker-source')) {
    wiring.toast({ text: 'This page is a saved copy already.' });
    return;
  }
  const kept = await keptCopy(document.defaultView);
  if (kept) {
    offer(document, kept, 'sheenlay.html');
    return;
  }
  if (!document.defaultView.navigator.onLine) {
    wiring.toast({ text: 'There is no net, and no copy is kept in this browser yet. Open the page once with a net, then keep a copy.' });
    return;
  }
  const link = h('a', { href: 'sheenlay.html', download: 'sheenlay.html', hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
}

async function takeOver(wiring, title, job, label) {
  const { store, document } = wiring;
  const fields = store.get().schema.fields;
  const words = {
    label: (path) => fieldAt(fields, path)?.label ?? path,
    value: (path, value) => {
      const field = fieldAt(fields, path);
      if (path === ART.generator) return store.get().schema.generators.find((one) => one.id === value)?.name ?? value;
      return field ? inWords(field, value) : String(value ?? 'not set');
    },
  };
  if (!(await showChanges(document, title, changesTo(wiring, job), words))) return;
  const { piece, ...own } = job;
  store.act('job', { job: { ...own, ...(jobOf(store.get()).piece ? { piece: jobOf(store.get()).piece } : {}) }, label });
  wiring.toast({ text: 'Taken over.', undo: true });
}

/** An empty job with what a link sets. */
function withChanges(wiring, changes) {
  return changes.reduce((job, change) => withValue(job, change.path ?? change.field, change.to), {});
}

/** The fields in which another job differs from the present one. */
function changesTo(wiring, other) {
  const { schema, piece } = wiring.store.get();
  const job = jobOf(wiring.store.get());
  const sections = ['art', 'placement', 'keep', 'layers', 'bead', 'prime', 'join', 'machine'];
  return sections.flatMap((section) => fieldsOf(schema.fields, section)).flatMap((field) => {
    const from = standing(field, job, readOf(piece)).value;
    const to = valueAt(other, field.path) ?? standing(field, {}, readOf(piece)).value;
    return JSON.stringify(from) === JSON.stringify(to) ? [] : [{ field: field.path, from, to }];
  });
}

function clearFragment({ document }) {
  const { location, history } = document.defaultView;
  if (location.hash) history.replaceState(null, '', location.pathname + location.search);
}
