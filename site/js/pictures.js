// The pictures that the engine draws: lay map, lit face, lines, both layers,
// thumbnails. One place that knows the shape of the engine's answers.

import { linear } from './state/scene.js';

/** What the engine says between a restart and the next run: no fault. */
const NOTHING_LAID = 'view-nothing';

const LIGHT_INKS = { bead: [78, 92, 176, 255], coming: [78, 92, 176, 56], kept: [116, 124, 153, 255], prime: [156, 104, 12, 255], travel: [163, 18, 63, 255], nozzle: [0, 0, 0, 0], old: [92, 100, 130, 96], double: [26, 32, 64, 220], narrow: [226, 160, 33, 200], open: [163, 18, 63, 255], spilled: [163, 18, 63, 170] };
const DARK_INKS = { bead: [112, 126, 214, 255], coming: [174, 186, 255, 40], kept: [127, 137, 176, 255], prime: [245, 194, 83, 255], travel: [255, 143, 174, 255], nozzle: [0, 0, 0, 0], old: [169, 178, 208, 80], double: [234, 237, 247, 220], narrow: [245, 194, 83, 200], open: [255, 143, 174, 255], spilled: [255, 143, 174, 170] };

/** The colours of drawn lines in the theme of now, straight RGBA. */
function inks() {
  return globalThis.matchMedia?.('(prefers-color-scheme: dark)').matches ? DARK_INKS : LIGHT_INKS;
}

/** The same with beads that let the old layer show through. */
function seeThrough(ink) {
  const [red, green, blue] = ink.bead;
  return { ...ink, bead: [red, green, blue, 190] };
}

/** Asks `engine` for pictures; failures are told and answer null. */
export function createPictures(engine, told) {
  async function ask(work, complain = told) {
    try {
      return unpacked(await work());
    } catch (error) {
      if (error?.name !== 'AbortError' && error?.finding?.code !== NOTHING_LAID) complain(error);
      return null;
    }
  }

  return {
    /** The lay map of the last run, at most `maxPx` wide or high. */
    lay: (maxPx) => ask(() => engine.view({ kind: 'lay', maxPx })),

    /**
     * A bitmap for a way of looking: lines, both, or the engine's own light.
     * Always in the frame of the bed; the painter mirrors it where wanted.
     */
    flat(look, box, { width, height }, scene) {
      if (look.kind === 'lines') return ask(() => engine.view({ kind: 'lines', box, width, height, upTo: look.upTo, ink: inks() }));
      if (look.kind === 'both') return ask(() => engine.view({ kind: 'both', box, width, height, show: { old: look.old, new: look.fresh, covered: look.covered }, ink: seeThrough(inks()) }));
      return ask(() => engine.view({ kind: 'lit', maxPx: Math.min(900, Math.max(width, height)), surface: look.surface, lamp: scene.lampFromMiddle, eye: scene.eyeFromMiddle, colour: scene.colour, exposure: scene.exposure, below: false }));
    },

    /** What lies at a place of the bed. */
    hit: (at) => ask(() => engine.view({ kind: 'hit', at })),

    /** A small picture of a generator; null, without complaint, where it has none. */
    thumb: (generator, params, seed, width, height, look) => ask(() => engine.thumb({ generator, params, seed, width, height, surface: look.surface, colour: linear(look.colour) }), () => {}),
  };
}

function unpacked(answer) {
  if (!answer || answer.pixels || !answer.buffers?.length) return answer;
  return { ...answer, pixels: new Uint8Array(answer.buffers[0]) };
}
