// The window onto the bed: which millimetre lies at which pixel.

/** Pixels per millimetre that a view may have. */
export const SCALE = { least: 0.4, most: 400 };

/** A view that shows box [x0,y0,x1,y1] whole, with a margin around it. */
export function fit(box, width, height, margin = 0.08, mirrored = false) {
  const wide = Math.max(1e-6, box[2] - box[0]);
  const high = Math.max(1e-6, box[3] - box[1]);
  const room = 1 - 2 * margin;
  const scale = Math.min((width * room) / wide, (height * room) / high);
  return { x: (box[0] + box[2]) / 2, y: (box[1] + box[3]) / 2, scale: held(scale), width, height, mirrored };
}

/** The wider free span [from, to] of a width beside what covers left..right. */
export function freeSpan(width, covered) {
  const before = covered ? Math.max(0, covered.left) : 0;
  const after = covered ? Math.max(0, width - covered.right) : 0;
  if (!covered || Math.max(before, after) < width / 4) return [0, width];
  return before >= after ? [0, before] : [width - after, width];
}

/** Like fit, beside something that covers the pixels from `left` to `right`. */
export function fitBeside(box, width, height, margin, mirrored, covered) {
  const [from, to] = freeSpan(width, covered);
  const view = fit(box, to - from, height, margin, mirrored);
  const side = mirrored ? -1 : 1;
  return { ...view, width, x: view.x - (side * ((from + to - width) / 2)) / view.scale };
}

/** Bed mm to pixels of the view. */
export function toScreen(view, x, y) {
  const side = view.mirrored ? -1 : 1;
  return [view.width / 2 + side * (x - view.x) * view.scale, view.height / 2 - (y - view.y) * view.scale];
}

/** Pixels of the view to bed mm. */
export function toBed(view, px, py) {
  const side = view.mirrored ? -1 : 1;
  return [view.x + (side * (px - view.width / 2)) / view.scale, view.y - (py - view.height / 2) / view.scale];
}

/** The view moved by a drag of (dx, dy) pixels. */
export function panned(view, dx, dy) {
  const side = view.mirrored ? -1 : 1;
  return { ...view, x: view.x - (side * dx) / view.scale, y: view.y + dy / view.scale };
}

/** The view zoomed by `factor` about a pixel, which stays where it is. */
export function zoomed(view, factor, px, py) {
  const [x, y] = toBed(view, px, py);
  const scale = held(view.scale * factor);
  const next = { ...view, scale };
  const [nowX, nowY] = toBed(next, px, py);
  return { ...next, x: next.x + x - nowX, y: next.y + y - nowY };
}

/** The view centred on a place of the bed, at least at `scale`. */
export function centred(view, x, y, scale = view.scale) {
  return { ...view, x, y, scale: held(Math.max(view.scale, scale)) };
}

/** The box of bed mm that the view shows: [x0, y0, x1, y1]. */
export function seen(view) {
  const w = view.width / 2 / view.scale;
  const h = view.height / 2 / view.scale;
  return [view.x - w, view.y - h, view.x + w, view.y + h];
}

/** A round length for the scale rule, about a fifth of the width. */
export function ruleLength(view) {
  const about = view.width / view.scale / 5;
  const power = 10 ** Math.floor(Math.log10(about));
  return [5, 2, 1].map((step) => step * power).find((length) => length <= about) ?? power;
}

function held(scale) {
  return Math.min(SCALE.most, Math.max(SCALE.least, scale));
}
