// Everything that leaves the page by the person's hand: the finished file,
// pictures and films of the face, the print sheet, the report.

import { offer } from '../offer.js';
import { asFinding } from '../state/finding.js';
import { jobOf } from '../state/state.js';
import { outputName } from '../state/output-name.js';

const TURN_MS = 6000;
const FRAMES_PER_S = 30;
/** A film of fewer bytes holds a head and no picture. */
const LEAST_FILM_BYTES = 2000;

/** Checks the source once more and offers the finished file. */
export async function saveFinished(wiring) {
  const { store, engine, document, speak } = wiring;
  const { piece, run, stale } = store.get();
  if (run.phase !== 'idle' || stale) return; // a second click, or a change, while this module was fetched
  store.act('run', { run: { phase: 'saving', share: 0, stage: '' } });
  try {
    const made = await engine.save({ onProgress: ({ stage, share }) => store.act('run', { run: { stage, share: Math.max(store.get().run.share, share) } }) });
    const name = outputName(piece.name, made.name);
    offer(document, made.blob, name);
    store.act('saved', { saved: { name, sha: made.sha ?? made.fingerprint ?? '', size: made.size ?? made.blob.size } });
    speak(`Saved ${name}. Read the cautions before you print.`);
  } catch (error) {
    if (error?.name !== 'AbortError') wiring.trouble(error);
  }
  if (store.get().run.phase === 'saving') store.act('run', { run: { phase: 'idle', share: 1, stage: '' } }); // else a change is laid already
}

/** Saves the view as a PNG picture. */
export async function savePicture(wiring) {
  await wiring.painted();
  const picture = await new Promise((done) => wiring.canvas().toBlob(done, 'image/png'));
  if (picture) offer(wiring.document, picture, `${stem(wiring)}-face.png`);
}

/** Saves one turn of the lamp as a film, where the browser can record one. */
export async function saveFilm(wiring) {
  const { store } = wiring;
  const type = ['video/webm;codecs=vp8', 'video/webm', 'video/mp4'].find((one) => globalThis.MediaRecorder?.isTypeSupported(one));
  const canvas = wiring.canvas();
  if (!type || !canvas.captureStream) {
    wiring.toast({ text: 'This browser cannot record a film. Save a picture instead.' });
    return;
  }
  wiring.toast({ text: 'Recording one turn of the lamp, six seconds…' });
  await wiring.painted();
  const first = store.get().look;
  const recorder = new MediaRecorder(canvas.captureStream(FRAMES_PER_S), { mimeType: type, videoBitsPerSecond: 6_000_000 });
  const parts = [];
  recorder.ondataavailable = (event) => parts.push(event.data);
  const ended = new Promise((done) => { recorder.onstop = done; });
  recorder.start();
  const begun = performance.now();
  await new Promise((done) => {
    const step = (now) => {
      const share = Math.min(1, (now - begun) / TURN_MS);
      store.act('look', { look: { azimuth: (first.azimuth + 360 * share) % 360, tilt: first.tilt, turning: false } });
      if (share < 1 && store.get().look.kind === first.kind) requestAnimationFrame(step);
      else done();
    };
    requestAnimationFrame(step);
  });
  recorder.stop();
  await ended;
  store.act('look', { look: { azimuth: first.azimuth } });
  const film = new Blob(parts, { type });
  if (film.size < LEAST_FILM_BYTES) wiring.toast({ text: 'The browser was too busy to record a film. Try again, or save a picture instead.' });
  else offer(wiring.document, film, `${stem(wiring)}-lamp.${type.includes('mp4') ? 'mp4' : 'webm'}`);
}

/** Offers the print sheet. */
export async function saveSheet(wiring, format, paper) {
  try {
    const { text = '' } = await wiring.engine.linkEncode(jobOf(wiring.store.get())).catch(() => ({}));
    const answer = await wiring.engine.sheet({ format, paper, link: text });
    const bytes = answer.buffers[0];
    offer(wiring.document, new Blob([bytes], { type: format === 'pdf' ? 'application/pdf' : 'image/svg+xml' }), `${stem(wiring)}-sheet-${paper}.${format}`);
  } catch (error) {
    wiring.trouble(asFinding(error));
  }
}

/** Puts text on the clipboard and says so. */
export async function copyText(wiring, text, said) {
  try {
    await navigator.clipboard.writeText(text);
    wiring.toast({ text: said });
    wiring.speak(said);
  } catch {
    wiring.toast({ text: 'The browser did not allow the clipboard. Select the text and copy it by hand.' });
  }
}

function stem(wiring) {
  return (wiring.store.get().piece?.name ?? 'sheenlay').replace(/(\.[a-z0-9]+)(\.gz)?$/i, '');
}
