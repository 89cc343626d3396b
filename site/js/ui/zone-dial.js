// Tapping the face: the dial of a zone's lay, or what a stroke is.

import { valueAt } from '../state/job-path.js';
import { ART, PIECE } from '../state/paths.js';
import { plain } from '../state/numbers.js';
import { jobOf } from '../state/state.js';
import { h, s } from './dom.js';
import { signButton } from './marks.js';
import { numberBox } from './number-box.js';

const CLASSES = [['wall', 'Wall'], ['fill', 'Fill'], ['skirt', 'Skirt'], ['brim', 'Brim'], ['support', 'Support'], ['priming', 'Priming']];
const SNAP_DEGREES = 15;
const SNAP_REACH = 3;
const RADIUS = 100;

let open = null;
let drags = 0;

/** Opens what belongs to a place of the bed, at (x, y) on the bench. */
export async function pickPlace(wiring, at, x, y) {
  close();
  const { store } = wiring;
  const hit = await wiring.pictures.hit(at);
  if (!hit) return;
  if (store.get().look.kind === 'both' && hit.stroke >= 0) {
    show(wiring, strokePanel(wiring, hit), x, y);
    return;
  }
  const zone = zoneOf(store.get().report, hit.kind);
  if (zone) show(wiring, zonePanel(wiring, zone, hit.layDeg), x, y);
}

/** Opens the dial of a zone in the middle of the bench. */
export function dialZone(wiring, zone) {
  close();
  const { clientWidth, clientHeight } = wiring.benchElement;
  show(wiring, zonePanel(wiring, zone, zone.layDeg), clientWidth / 2, clientHeight / 3);
}

/** The kind of zone with this number; its lay is set for all its zones. */
function zoneOf(report, kind) {
  return report?.zones?.find((one) => one.kind === kind) ?? null;
}

function close() {
  open?.remove();
  open = null;
}

function show(wiring, panel, x, y) {
  const bench = wiring.benchElement;
  open = panel;
  panel.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    close();
    bench.focus();
  });
  bench.append(panel);
  const left = Math.max(8, Math.min(x + 14, bench.clientWidth - panel.offsetWidth - 8));
  const top = Math.max(8, Math.min(y - 40, bench.clientHeight - panel.offsetHeight - 8));
  panel.style.insetInlineStart = `${left}px`;
  panel.style.insetBlockStart = `${top}px`;
  panel.querySelector('input, select, button').focus({ preventScroll: true });
}

function head(title) {
  return h('div', { class: 'dial-head' }, h('h2', { text: title }), signButton('close', 'Close', () => close(), { quiet: true }));
}

function zonePanel(wiring, zone, layDeg) {
  const { store } = wiring;
  const key = `kind:${zone.kind}`;
  const path = ART.lays;
  const title = zone.name ? `Lay of “${zone.name}”` : `Lay of kind ${zone.kind + 1}`;
  if (zone.field) {
    return h('div', { class: 'dial', role: 'dialog', 'aria-label': title }, head(title), h('p', { class: 'card-about', text: 'The lines follow a field here; their direction changes from place to place.' }));
  }
  const pins = () => valueAt(jobOf(store.get()), path) ?? {};
  const hand = store.get().report?.placement?.mirrored ? -1 : 1;
  // The dial shows the bed's angle; a pin states it in the pattern's own frame.
  const ownOf = (degrees) => normal(Math.round((zone.ownDeg + hand * (degrees - zone.layDeg)) * 100) / 100);
  let angle = normal(zone.layDeg ?? layDeg);
  const lines = s('g', { class: 'lines' });
  const knob = s('circle', { class: 'knob', r: 9 });
  const face = s('svg', { class: 'dial-round', viewBox: '-116 -116 232 130', 'aria-hidden': 'true' },
    s('path', { class: 'rim', d: `M${-RADIUS} 0A${RADIUS} ${RADIUS} 0 0 1 ${RADIUS} 0` }),
    Array.from({ length: 13 }, (_, i) => tick(i * 15)), lines, knob);
  const set = (degrees, gesture) => {
    angle = normal(degrees);
    draw();
    box.set(angle);
    store.act('edit', { path, value: { ...pins(), [key]: ownOf(angle) }, label: 'lay of a zone', gesture });
    release.disabled = false;
  };
  const box = numberBox({ label: 'Lay angle', unit: 'deg', min: 0, max: 180, step: 1, path: key }, (value, gesture) => set(value, gesture));
  const release = signButton('pin', 'Unpin', () => {
    const { [key]: gone, ...rest } = pins();
    store.act('edit', { path, value: Object.keys(rest).length === 0 ? undefined : rest, label: 'unpin a lay' });
    if (gone !== undefined) close();
  }, { disabled: pins()[key] === undefined, title: 'Let the engine choose again' });

  function draw() {
    const a = (angle * Math.PI) / 180;
    const u = [Math.cos(a), -Math.sin(a)];
    knob.setAttribute('cx', u[0] * RADIUS);
    knob.setAttribute('cy', u[1] * RADIUS);
    lines.replaceChildren(...[-30, -20, -10, 0, 10, 20, 30].map((off) => {
      const half = Math.sqrt(42 * 42 - off * off);
      const [x, y] = [-u[1] * off, u[0] * off - 46];
      return s('line', { x1: x - u[0] * half, y1: y - u[1] * half, x2: x + u[0] * half, y2: y + u[1] * half });
    }));
  }

  face.addEventListener('pointerdown', (event) => {
    event.preventDefault();
    face.setPointerCapture(event.pointerId);
    const gesture = `dial-${(drags += 1)}`;
    wiring.changing(true);
    const follow = (move) => {
      const bounds = face.getBoundingClientRect();
      const x = ((move.clientX - bounds.left) / bounds.width) * 232 - 116;
      const y = ((move.clientY - bounds.top) / bounds.height) * 130 - 116;
      const degrees = Math.max(0, Math.min(180, (Math.atan2(Math.max(0, -y), x) * 180) / Math.PI));
      const near = Math.round(degrees / SNAP_DEGREES) * SNAP_DEGREES;
      set(!move.altKey && Math.abs(near - degrees) < SNAP_REACH ? near : Math.round(degrees), gesture);
    };
    follow(event);
    face.addEventListener('pointermove', follow);
    const done = () => {
      face.removeEventListener('pointermove', follow);
      face.removeEventListener('pointerup', done);
      face.removeEventListener('pointercancel', done);
      wiring.changing(false);
    };
    face.addEventListener('pointerup', done);
    face.addEventListener('pointercancel', done);
  });
  draw();
  box.set(angle);
  return h('div', { class: 'dial', role: 'dialog', 'aria-label': title }, head(title), face, h('div', { class: 'row' }, box.element, release),
    h('p', { class: 'card-about', text: 'Measured from the bed’s X, seen from above. Zones of one kind share their lay.' }));
}

function tick(degrees) {
  const a = (degrees * Math.PI) / 180;
  const inner = degrees % 45 === 0 ? 88 : 93;
  return s('line', { class: 'tick', x1: inner * Math.cos(a), y1: -inner * Math.sin(a), x2: 98 * Math.cos(a), y2: -98 * Math.sin(a) });
}

function strokePanel(wiring, hit) {
  const { store } = wiring;
  const own = valueAt(jobOf(store.get()), PIECE.classes) ?? {};
  const now = own[String(hit.stroke)] ?? hit.class;
  const select = h('select', { 'aria-label': 'What this line is', on: { change: () => {
    const value = { ...(valueAt(jobOf(store.get()), PIECE.classes) ?? {}), [String(hit.stroke)]: select.value };
    store.act('edit', { path: PIECE.classes, value, label: 'what a line is' });
  } } }, CLASSES.map(([value, text]) => h('option', { value, text, selected: value === now })));
  return h('div', { class: 'dial', role: 'dialog', 'aria-label': 'A line of the old layer' }, head('A line of the old layer'),
    h('p', { class: 'card-about', text: `The engine takes it for ${hit.class}${hit.confidence ? `, ${plain(hit.confidence * 100, 0)} % sure` : ''}. Correct it if it is something else.` }), select);
}

function normal(degrees) {
  return ((degrees % 180) + 180) % 180;
}
