// Artwork that comes as a file: a drawing, a picture, or a whole job.

import { ART } from './state/paths.js';
import { jobOf } from './state/state.js';
import { valueAt } from './state/job-path.js';
import { openJobFile } from './job-files.js';
import { breath } from './ui/breath.js';

const MOST_SVG_BYTES = 8 << 20;
const MOST_PIXELS_A_SIDE = 1200;
/** Bytes turned into base64 in one step; a multiple of three, so that steps join. */
const STEP_BYTES = 3 << 18;

/** Opens artwork of a known kind: "drawing", "picture" or "job". */
export async function openArt(wiring, kind, file) {
  if (kind === 'job') await openJobFile(wiring, file);
  else if (kind === 'picture') await openPicture(wiring, file);
  else await openDrawing(wiring, file);
}

async function openDrawing(wiring, file) {
  if (file.size > MOST_SVG_BYTES) {
    wiring.trouble({ code: 'page-drawing-large', level: 'stop', text: `“${file.name}” is larger than 8 MB.`, remedy: 'Simplify the drawing; nothing has changed.' });
    return;
  }
  const svg = await file.text();
  const kind = await kindOfDrawing(wiring, svg);
  wiring.store.act('edits', {
    values: { [ART.kind]: kind, [ART.svg]: svg, [ART.svgName]: file.name, [ART.lays]: undefined },
    label: `open ${file.name}`,
  });
  wiring.toast({ text: `${file.name} is laid as ${kind === 'lines' ? 'drawn lines' : 'shapes'}.`, undo: true });
}

/**
 * What a drawing is taken as: the kind that is chosen now, where the drawing
 * holds any of it; else what it holds most of. The card can change it.
 */
async function kindOfDrawing(wiring, svg) {
  const chosen = valueAt(jobOf(wiring.store.get()), ART.kind);
  try {
    const held = await wiring.engine.readDrawing(svg);
    if ((chosen === 'lines' || chosen === 'shapes') && held[chosen] > 0) return chosen;
    return held.lines > held.shapes ? 'lines' : 'shapes';
  } catch {
    return chosen === 'lines' ? chosen : 'shapes'; // the run that follows says what is wrong with it
  }
}

async function openPicture(wiring, file) {
  let bitmap;
  try {
    bitmap = await createImageBitmap(file);
  } catch {
    wiring.trouble({ code: 'page-picture-unreadable', level: 'stop', text: `“${file.name}” cannot be read as a picture.`, remedy: 'Save it again as PNG or JPEG; nothing has changed.' });
    return;
  }
  const shrink = Math.min(1, MOST_PIXELS_A_SIDE / Math.max(bitmap.width, bitmap.height));
  const width = Math.max(1, Math.round(bitmap.width * shrink));
  const height = Math.max(1, Math.round(bitmap.height * shrink));
  const canvas = wiring.document.createElement('canvas');
  canvas.width = width;
  canvas.height = height;
  const context = canvas.getContext('2d', { willReadFrequently: true });
  context.drawImage(bitmap, 0, 0, width, height);
  bitmap.close();
  wiring.store.act('edits', {
    values: { [ART.kind]: 'picture', [ART.picture]: await packed(context.getImageData(0, 0, width, height)), [ART.svgName]: file.name, [ART.lays]: undefined },
    label: `open ${file.name}`,
  });
  wiring.toast({ text: `${file.name} is laid by its tones.`, undo: true });
}

/** Width and height as 32-bit little-endian numbers, then RGBA, as base64. */
async function packed({ width, height, data }) {
  const bytes = new Uint8Array(8 + data.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, width, true);
  view.setUint32(4, height, true);
  bytes.set(data, 8);
  let text = '';
  for (let at = 0; at < bytes.length; at += STEP_BYTES) {
    text += base64(bytes.subarray(at, at + STEP_BYTES));
    await breath();
  }
  return text;
}

function base64(bytes) {
  if (bytes.toBase64) return bytes.toBase64();
  let text = '';
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}
