// Writes a sliced file as large as wanted whose truth is known: a plate of
// 90 mm by 90 mm, then the same fine layer over and over. About 29 bytes a line
// and half a megabyte a layer, as large prints have.

import { open } from "node:fs/promises";

const START = `; piece: reading-day plate
G21
G90
M83
M140 S60
M104 S205
M190 S60
M109 S205
G28
G92 E0
`;

const fixed = (value, digits) => String(Number(value.toFixed(digits)));

/** Lines back and forth over the plate, `cut` segments to each. */
function fill(cut) {
  let text = "";
  const step = 90 / cut;
  const amount = fixed(step * 0.0377, 5);
  for (let y = 65, right = true; y <= 155; y += 0.45, right = !right) {
    text += `G0 F7200 X${right ? 65 : 155} Y${fixed(y, 3)}\nG1 F1800\n`;
    for (let i = 1; i <= cut; i++) text += `G1 X${fixed(right ? 65 + i * step : 155 - i * step, 3)} Y${fixed(y, 3)} E${amount}\n`;
  }
  return text;
}

const begin = (number, z) => `;LAYER:${number}\nG1 F2400 E-0.8\nG0 F7200 X65 Y65 Z${fixed(z + 0.4, 3)}\nG1 Z${fixed(z, 3)}\nG1 F1800 E0.8\n`;

/**
 * Writes exactly `size` bytes to `path`. Answers {headEnd, tailStart, layers}:
 * the bytes before headEnd and from tailStart on belong to no first layer.
 */
export async function writeGiant(path, size) {
  const file = await open(path, "w");
  try {
    const headEnd = Buffer.byteLength(START);
    const second = begin(1, 0.4);
    const first = START + begin(0, 0.2) + fill(8);
    const tailStart = Buffer.byteLength(first) + Buffer.byteLength(second);
    const body = Buffer.from(fill(88));
    await file.write(first + second);
    await file.write(body);
    let written = tailStart + body.length;
    let layers = 2;
    for (;;) {
      const mark = Buffer.from(begin(layers, 0.2 + layers * 0.2));
      if (written + mark.length + body.length > size) break;
      await file.writev([mark, body]);
      written += mark.length + body.length;
      layers += 1;
    }
    const rest = size - written;
    if (rest > 0) await file.write(`;${" ".repeat(Math.max(0, rest - 2))}\n`.slice(-rest));
    return { headEnd, tailStart, layers };
  } finally {
    await file.close();
  }
}
