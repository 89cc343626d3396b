// Paints bitmaps of the bed that the engine has drawn. While a new one is on
// its way the last one is moved and scaled, so panning never waits.

import { toScreen } from '../state/viewport.js';

/** A painter on a 2-D canvas. */
export function flatPainter(canvas) {
  const context = canvas.getContext('2d');
  const store = document.createElement('canvas');
  const inside = store.getContext('2d');
  let box = null;

  return {
    /** Takes a bitmap {width, height, pixels} that shows `shown` (bed mm). */
    setBitmap(bitmap, shown) {
      box = bitmap ? shown : null;
      if (!bitmap) return;
      store.width = bitmap.width;
      store.height = bitmap.height;
      const bytes = bitmap.pixels;
      const pixels = new Uint8ClampedArray(bytes.buffer, bytes.byteOffset, bitmap.width * bitmap.height * 4);
      inside.putImageData(new ImageData(pixels, bitmap.width, bitmap.height), 0, 0);
    },

    paint(view, ratio) {
      context.setTransform(1, 0, 0, 1, 0, 0);
      context.clearRect(0, 0, canvas.width, canvas.height);
      if (!box) return;
      const [left, top] = toScreen(view, box[0], box[3]);
      const side = view.mirrored ? -1 : 1;
      const grow = view.scale * ratio;
      context.setTransform(side, 0, 0, 1, left * ratio, top * ratio);
      context.imageSmoothingEnabled = true;
      context.drawImage(store, 0, 0, (box[2] - box[0]) * grow, (box[3] - box[1]) * grow);
    },
  };
}
