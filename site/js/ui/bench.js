// The bench: one canvas with three ways of looking, and everything that is
// dragged on it. It keeps only the window (pan and zoom); all else is state.

import { LARGEST_TILT, lampFrom, lampWords } from '../state/light.js';
import { fieldAt, readOf, standing } from '../state/schema.js';
import { sceneOf } from '../state/scene.js';
import { jobOf } from '../state/state.js';
import { centred, fit, fitBeside, panned, seen, toBed, toScreen, zoomed } from '../state/viewport.js';
import { strokesByClass } from '../state/strokes.js';
import { faceWords, isLaid } from '../state/verdict.js';
import { h } from './dom.js';
import { flatPainter } from './flat-painter.js';
import { listen } from './gestures.js';
import { lightPainter } from './light-painter.js';
import { signButton } from './marks.js';
import { createLampMark } from './lamp-mark.js';
import { createOverlay, lampCircle } from './overlay.js';
import { createPace } from './pace.js';
import { createPlacing } from './placing.js';
import { addedMarks, createStrokeTones, strokeMarks } from './stroke-marks.js';

const SPARE_BOX = [0, 0, 100, 100];
const LAMP_STEP = 5;
/** Part of the bench left free at each side of the face, at least; and the pixels about the buttons in its corner. */
const MARGIN = 0.075;
const RIM_PX = 18;
const COARSE_PX = 480;
const FINE_PX = 1200;
/** Share of the face from which on what is laid shows its outline. */
const MOSTLY = 0.9;
const SETTLE_MS = 320;

/**
 * Builds the bench in `root`. `use` gives: act(type, action), changing(on),
 * picked(at, px, py), pictures {lay, lit, flat} of the engine.
 */
export function createBench(root, store, use) {
  const lightCanvas = h('canvas', { 'aria-hidden': 'true' });
  const flatCanvas = h('canvas', { 'aria-hidden': 'true' });
  const overlay = createOverlay();
  const side = h('p', { class: 'bench-side', 'aria-hidden': 'true' });
  const hint = h('p', { class: 'bench-hint', 'aria-hidden': 'true' });
  const zooms = h('div', { class: 'bench-zooms' },
    signButton('minus', 'Zoom out', () => zoomBy(0.8), { quiet: true }),
    signButton('plus', 'Zoom in', () => zoomBy(1.25), { quiet: true }),
    signButton('fit', 'Show the whole face', () => showAll(), { quiet: true }));
  const lamp = createLampMark();
  const tones = createStrokeTones();
  root.append(lamp.glow, lightCanvas, flatCanvas, lamp.thread, lamp.mark, overlay.root, tones.element, side, hint, zooms);
  root.tabIndex = 0;
  root.setAttribute('role', 'application');
  const twin = h('p', { class: 'unseen', id: 'face-words' });
  root.after(twin);
  root.setAttribute('aria-describedby', 'face-words');

  let light = lightPainter(lightCanvas, {
    ready: () => paintSoon(),
    lost() {
      light = null;
      paintSoon();
      askSoon();
    },
  });
  const flat = flatPainter(flatCanvas);
  const placing = createPlacing(store, use);
  let view = fit(SPARE_BOX, 800, 600);
  let fittedBox = null;
  let ratio = 1;
  let place = null;
  let nozzle = null;
  let dirty = false;
  let touched = false;
  let covered = null;
  let mapPx = 0;
  let mapAsked = false;
  let finer = 0;
  let movedAt = -Infinity;
  let settling = 0;
  let drawn = null;
  const pace = createPace();

  const faceBox = () => store.get().piece?.report.footprint?.bounds ?? SPARE_BOX;

  /** The view of the whole face, in the part of the bench that no card covers. */
  function fitted(below, { width, height }) {
    const margin = Math.max(MARGIN, Math.min(0.2, (zooms.offsetHeight + RIM_PX) / height));
    return fitBeside(faceBox(), width, height, margin, below, covered);
  }

  /** Paints with the next frame; while things move quickly, then finely. */
  function paintSoon(moving = false) {
    if (moving) {
      movedAt = performance.now();
      clearTimeout(settling);
      settling = setTimeout(() => {
        pace.settle();
        paintSoon();
      }, SETTLE_MS);
    }
    if (dirty) return;
    dirty = true;
    requestAnimationFrame(() => {
      dirty = false;
      paint();
    });
  }

  function paint() {
    const { look, schema, piece } = store.get();
    if (view.mirrored !== look.below) view = touched || !covered ? { ...view, mirrored: look.below } : fitted(look.below, view);
    const usesShader = look.kind === 'light' && light;
    const moving = performance.now() - movedAt < SETTLE_MS;
    if (moving) pace.frame();
    const scene = usesShader ? sceneOf(look, schema?.surfaces, faceBox()) : null;
    if (!usesShader) {
      resize();
      flat.paint(view, ratio);
    } else if (moving) light.paintAtOnce(view, ratio * pace.share(), scene, pace.fine());
    else light.paintFinely(view, ratio, scene).then(showCanvas);
    showCanvas();
    lamp.place(look, lampCircle(view, covered), Boolean(piece));
    drawOverlay(look, piece);
  }

  /** Shows the canvas of the way of looking; an empty one costs frames. */
  function showCanvas() {
    const usesShader = store.get().look.kind === 'light' && light !== null;
    lightCanvas.hidden = !usesShader || !light.hasPicture();
    flatCanvas.hidden = usesShader;
  }

  /** The thin drawing, only when something in it has changed. */
  function drawOverlay(look, piece) {
    const state = store.get();
    const key = [view, covered, place, nozzle, look.kind, state.report, piece, jobOf(state), placing.snaps()];
    if (drawn && key.every((one, index) => one === drawn[index])) return;
    drawn = key;
    overlay.draw({
      view, look, place,
      rings: look.kind === 'light' && state.report?.figures?.coveredShare > MOSTLY ? [] : piece?.report.footprint?.rings ?? [],
      bed: bedOf(state),
      frame: look.kind === 'both' ? placing.frame(faceBox()) : null,
      snaps: look.kind === 'both' ? placing.snaps() : [],
      nozzle: look.kind === 'lines' ? nozzle : null,
    });
  }

  function moved() {
    touched = true;
    paintSoon(true);
    askSoon();
    clearTimeout(finer);
    finer = setTimeout(() => {
      if (store.get().look.kind === 'light' && mapPx > 0) askMap();
    }, 250);
  }

  /**
   * The lay map, as fine as the view needs it. Coarser than needed only while
   * something is dragged.
   */
  async function askMap(most = 0) {
    if (!light || mapAsked) return;
    const [x0, y0, x1, y1] = faceBox();
    const need = Math.ceil((Math.max(x1 - x0, y1 - y0) + 4) * view.scale * ratio);
    const wanted = most || Math.min(light.largest(), Math.max(FINE_PX, need));
    if (wanted < mapPx * 1.25) return;
    mapAsked = true;
    const map = await use.pictures.lay(wanted);
    mapAsked = false;
    if (!map || !isLaid(store.get().report)) return;
    mapPx = wanted;
    await light?.setMap(map);
    paintSoon();
  }

  /** Bitmaps of the engine, one at a time; the newest wish wins. */
  let asking = false;
  let again = false;
  async function askSoon() {
    const { look } = store.get();
    if (!isLaid(store.get().report) || (look.kind === 'light' && light)) return;
    if (asking) {
      again = true;
      return;
    }
    asking = true;
    const isWhole = !touched;
    const box = seen(view);
    const size = { width: Math.round(view.width * ratio), height: Math.round(view.height * ratio) };
    const answer = await use.pictures.flat(look, box, size, sceneOf(look, store.get().schema?.surfaces, faceBox()));
    asking = false;
    if (answer) {
      flat.setBitmap(answer, { box: answer.box ?? box, marks: marksOf(look), ratio, isWhole });
      nozzle = answer.at ?? null;
      use.scrubbed(answer, look.upTo);
      paintSoon();
    }
    if (again) {
      again = false;
      askSoon();
    }
  }

  /** What is drawn over the engine's picture: classes of strokes, joined gaps. */
  function marksOf(look) {
    const { piece, report } = store.get();
    const old = look.kind === 'both' && look.old ? strokeMarks(strokesByClass(piece, jobOf(store.get())), tones.toneOf) : [];
    const joined = look.kind === 'lines' || (look.kind === 'both' && look.fresh) ? addedMarks(report?.added, tones.toneOf) : [];
    return [...old, ...joined];
  }

  new ResizeObserver(() => {
    ratio = Math.min(2, window.devicePixelRatio || 1);
    const { clientWidth: width, clientHeight: height } = root;
    if (width === 0 || height === 0) return;
    view = touched ? { ...view, width, height } : fitted(view.mirrored, { width, height });
    if (light?.hasPicture()) {
      movedAt = performance.now(); // a picture of the old size would be stretched until a fine one is done
      paintSoon(true);
    }
    paint();
    askSoon();
  }).observe(root);

  /** Gives the flat canvas the pixels it is painted with now. */
  function resize() {
    const width = Math.round(view.width * ratio);
    const height = Math.round(view.height * ratio);
    if (flatCanvas.width !== width) flatCanvas.width = width;
    if (flatCanvas.height !== height) flatCanvas.height = height;
  }

  for (const theme of ['(prefers-color-scheme: dark)', '(forced-colors: active)']) {
    matchMedia(theme).addEventListener('change', () => {
      flat.forgetWhole();
      askSoon(); // drawn lines have the inks of the theme that they were drawn in
    });
  }

  listen(root, {
    start({ x, y, pan, alt, target }) {
      const { look } = store.get();
      if (pan) return null;
      if (look.kind === 'light') return lampDrag();
      if (look.kind === 'both') return placing.start({ view, x, y, alt, target, face: faceBox() });
      return null;
    },
    pan(dx, dy) {
      view = panned(view, dx, dy);
      moved();
    },
    zoom(factor, x, y) {
      view = zoomed(view, factor, x, y);
      moved();
    },
    tap(x, y) {
      use.picked(toBed(view, x, y), x, y);
    },
  });

  function lampDrag() {
    return {
      move(x, y) {
        const circle = lampCircle(view, covered);
        store.act('look', { look: { ...lampFrom((x - circle.x) / circle.reach, (circle.y - y) / circle.reach), turning: false } });
      },
      end() {},
    };
  }

  root.addEventListener('keydown', (event) => {
    if (event.target !== root) return;
    const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const { look } = store.get();
    if (event.key === '+' || event.key === '=') zoomBy(1.25);
    else if (event.key === '-') zoomBy(0.8);
    else if (event.key === 'Enter') use.picked([view.x, view.y], view.width / 2, view.height / 2);
    else if (!arrow) return;
    else if (event.ctrlKey || event.metaKey) {
      view = panned(view, -arrow[0] * 40, arrow[1] * 40);
      moved();
    } else if (look.kind === 'light') lampStep(look, arrow, event.shiftKey ? 3 : 1);
    else if (look.kind === 'both') placing.nudge(arrow, event.shiftKey, view.mirrored);
    else if (look.kind === 'lines' && arrow[0] !== 0) store.act('look', { look: { upTo: Math.min(1, Math.max(0, look.upTo + arrow[0] * (event.shiftKey ? 0.05 : 0.005))), playing: false } });
    else {
      view = panned(view, 0, arrow[1] * 40);
      moved();
    }
    event.preventDefault();
  });

  function lampStep(look, [right, up], times) {
    const step = LAMP_STEP * times;
    const a = (look.azimuth * Math.PI) / 180;
    const x = (look.tilt * Math.cos(a) + right * step) / LARGEST_TILT;
    const y = (look.tilt * Math.sin(a) + up * step) / LARGEST_TILT;
    store.act('look', { look: { ...lampFrom(x, y), turning: false } });
  }

  function zoomBy(factor) {
    view = zoomed(view, factor, view.width / 2, view.height / 2);
    moved();
  }

  function showAll() {
    touched = false;
    view = fitted(store.get().look.below, { width: root.clientWidth, height: root.clientHeight });
    paintSoon(Boolean(light?.hasPicture())); // roughly at once, so that face and lamp go together
    askSoon();
  }

  return {
    element: root,
    zoomBy,
    showAll,
    toPixels: (at) => toScreen(view, at[0], at[1]),

    /** The engine has laid anew (or nothing at all): pictures are outdated. */
    async renew(coarse) {
      if (!isLaid(store.get().report)) {
        light?.setMap(null);
        flat.setBitmap(null);
        paintSoon();
        return;
      }
      mapPx = 0;
      await askMap(coarse ? COARSE_PX : 0);
      askSoon();
    },

    /** A card covers the pixels from left to right, or nothing does (null). */
    setCovered(span) {
      covered = span;
      if (!touched) showAll();
    },

    /** Goes to a place of the bed and marks it. */
    goTo(at) {
      place = at;
      view = centred(view, at[0], at[1], 14);
      moved();
    },

    /** Resolves when the canvas shows what the engine has laid. */
    async painted() {
      while (asking || mapAsked || dirty || light?.isBusy()) await new Promise(requestAnimationFrame);
    },

    /** The canvas that is seen now, for a picture or a film of it. */
    canvas: () => (lightCanvas.hidden ? flatCanvas : lightCanvas),

    update(state, before) {
      const boxNow = state.piece?.report.footprint?.bounds;
      if (boxNow && boxNow !== fittedBox) {
        fittedBox = boxNow;
        place = null;
        showAll();
      }
      if (state.report !== before.report) place = null;
      if (!state.report && before.report) {
        light?.setMap(null);
        flat.setBitmap(null);
        nozzle = null;
      }
      if (['azimuth', 'tilt', 'colour'].some((key) => state.look[key] !== before.look[key])) paintSoon(true);
      else if (state.look !== before.look || state.report !== before.report || jobOf(state) !== jobOf(before)) paintSoon();
      const lookChanged = ['kind', 'upTo', 'old', 'fresh', 'covered', 'below'].some((key) => state.look[key] !== before.look[key]);
      const lampChanged = !light && state.look.kind === 'light' && state.look !== before.look;
      if (lookChanged || state.report !== before.report || state.piece !== before.piece) flat.forgetWhole();
      if (state.look.kind !== before.look.kind) flat.setBitmap(null);
      if (state.report && (lookChanged || lampChanged || state.report !== before.report)) askSoon();
      side.textContent = state.look.below ? 'Seen from below' : 'Seen from above';
      hint.textContent = HINTS[state.look.kind];
      side.hidden = !state.piece;
      hint.hidden = !isLaid(state.report);
      root.setAttribute('aria-label', spoken(state));
      if (state.report !== before.report || state.piece !== before.piece) twin.textContent = faceWords(state.piece, state.report);
    },
  };
}

const HINTS = {
  light: 'Drag the lamp. Tap a zone for its lay.',
  lines: 'Drag to pan, pinch or scroll to zoom.',
  both: 'Drag the pattern, its corners or its knob.',
};

function spoken(state) {
  const { look, piece } = state;
  const side = look.below ? 'from below' : 'from above';
  const name = piece ? piece.name : 'no piece yet';
  if (look.kind === 'light') return `The face of ${name}, seen ${side}, lamp ${lampWords(look.azimuth, look.tilt)}. Arrow keys move the lamp, plus and minus zoom, Control with arrows pans, Enter opens the zone in the middle.`;
  if (look.kind === 'lines') return `The lines of ${name}, seen ${side}, up to ${Math.round(look.upTo * 100)} percent. Left and right go along the line, plus and minus zoom, Control with arrows pans.`;
  return `Old and new first layer of ${name}, seen ${side}. Arrow keys move the pattern, plus and minus zoom, Control with arrows pans.`;
}

function bedOf(state) {
  const fields = state.schema?.fields ?? [];
  const at = (key) => {
    const field = fieldAt(fields, `machine.${key}`);
    return field && standing(field, jobOf(state), readOf(state.piece)).value;
  };
  const centre = at('origin') === 'centre';
  const x = at('originXMM') ?? 0;
  const y = at('originYMM') ?? 0;
  if (at('bedShape') === 'round') {
    const radius = at('bedDiameterMM') / 2;
    return { round: true, centre: centre ? [x, y] : [x + radius, y + radius], radius };
  }
  const width = at('bedWidthMM');
  if (!width) return null;
  const depth = at('bedDepthMM') ?? width;
  const [x0, y0] = centre ? [x - width / 2, y - depth / 2] : [x, y];
  return { round: false, box: [x0, y0, x0 + width, y0 + depth] };
}
