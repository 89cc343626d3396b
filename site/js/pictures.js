// The pictures that the engine draws: lay map, lit face, lines, both layers,
// thumbnails. One place that knows the shape of the engine's answers.

/** Asks `engine` for pictures; failures are told and answer null. */
export function createPictures(engine, told) {
  async function ask(work) {
    try {
      return unpacked(await work());
    } catch (error) {
      if (error?.name !== 'AbortError') told(error);
      return null;
    }
  }

  return {
    /** The lay map of the last run, at most `maxPx` wide or high. */
    lay: (maxPx) => ask(() => engine.view({ kind: 'lay', maxPx })),

    /** A bitmap for a way of looking: lines, both, or the engine's own light. */
    flat(look, box, { width, height }, scene, dpr) {
      if (look.kind === 'lines') return ask(() => engine.view({ kind: 'lines', box, width, height, upTo: look.upTo, dpr }));
      if (look.kind === 'both') return ask(() => engine.view({ kind: 'both', box, width, height, show: { old: look.old, new: look.fresh, covered: look.covered } }));
      return ask(() => engine.view({ kind: 'lit', maxPx: Math.min(900, Math.max(width, height)), surface: look.surface, lamp: scene.lampSeen, eye: scene.eyeSeen, colour: scene.colour, exposure: scene.exposure, below: look.below }));
    },

    /** What lies at a place of the bed. */
    hit: (at) => ask(() => engine.view({ kind: 'hit', at })),

    /** A small picture of a generator. */
    thumb: (generator, params, width, height) => ask(() => engine.thumb({ generator, params, width, height })),
  };
}

function unpacked(answer) {
  if (!answer || answer.pixels || !answer.buffers?.length) return answer;
  return { ...answer, pixels: new Uint8Array(answer.buffers[0]) };
}
