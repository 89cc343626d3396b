// Paints bitmaps of the bed that the engine has drawn. While a new one is on
// its way the last one is moved and scaled, over the last one that showed the
// whole face, so panning and zooming never wait and never show a void.

import { toScreen } from '../state/viewport.js';

/** A painter on a 2-D canvas. */
export function flatPainter(canvas) {
  const context = canvas.getContext('2d');
  const near = layer();
  const whole = layer();

  function put(view, ratio, { store, box }) {
    const [left, top] = toScreen(view, box[0], box[3]);
    const side = view.mirrored ? -1 : 1;
    const grow = view.scale * ratio;
    context.setTransform(side, 0, 0, 1, left * ratio, top * ratio);
    context.drawImage(store, 0, 0, (box[2] - box[0]) * grow, (box[3] - box[1]) * grow);
  }

  return {
    /**
     * Takes a bitmap {width, height, pixels} that shows `box` (bed mm), with
     * marks to draw over it (see stroke-marks.js) at `ratio` device pixels to
     * one of the page; null clears. `isWhole` keeps it under closer ones.
     */
    setBitmap(bitmap, { box, marks = [], ratio = 1, isWhole = false } = {}) {
      if (!bitmap) {
        near.box = whole.box = null;
        return;
      }
      near.take(bitmap, box, marks, ratio);
      if (isWhole) whole.copy(near);
    },

    /** What lies under is outdated, or shows another way of looking. */
    forgetWhole() {
      whole.box = null;
    },

    paint(view, ratio) {
      context.setTransform(1, 0, 0, 1, 0, 0);
      context.clearRect(0, 0, canvas.width, canvas.height);
      if (!near.box) return;
      if (whole.box && !covers(near.box, view)) {
        put(view, ratio, whole);
        context.save();
        clearBehind(view, ratio, near.box);
        put(view, ratio, near);
        context.restore();
      } else put(view, ratio, near);
    },
  };

  function clearBehind(view, ratio, box) {
    const [ax, ay] = toScreen(view, box[0], box[3]);
    const [bx, by] = toScreen(view, box[2], box[1]);
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(Math.min(ax, bx) * ratio, ay * ratio, Math.abs(bx - ax) * ratio, (by - ay) * ratio);
  }
}

function covers(box, view) {
  const [x, y] = [view.width / 2 / view.scale, view.height / 2 / view.scale];
  const slack = 1 / view.scale;
  return box[0] <= view.x - x + slack && box[1] <= view.y - y + slack && box[2] >= view.x + x - slack && box[3] >= view.y + y - slack;
}

function layer() {
  const store = document.createElement('canvas');
  const inside = store.getContext('2d');
  return {
    store,
    box: null,

    take({ width, height, pixels: bytes }, shown, marks, ratio) {
      this.box = shown;
      store.width = width;
      store.height = height;
      inside.putImageData(new ImageData(new Uint8ClampedArray(bytes.buffer, bytes.byteOffset, width * height * 4), width, height), 0, 0);
      drawMarks(inside, marks, shown, width / (shown[2] - shown[0]), ratio);
    },

    copy(other) {
      this.box = other.box;
      store.width = other.store.width;
      store.height = other.store.height;
      inside.drawImage(other.store, 0, 0);
    },
  };
}

/** Strokes paths given in bed mm; dashes and widths are pixels of the page. */
function drawMarks(context, marks, box, scale, ratio) {
  for (const { path, tone, dash, width, round } of marks) {
    context.setTransform(scale, 0, 0, -scale, -box[0] * scale, box[3] * scale);
    context.strokeStyle = tone;
    context.lineWidth = (width * ratio) / scale;
    context.lineCap = round ? 'round' : 'butt';
    context.setLineDash(dash.map((one) => (one * ratio) / scale));
    context.stroke(path);
  }
  context.setTransform(1, 0, 0, 1, 0, 0);
}
