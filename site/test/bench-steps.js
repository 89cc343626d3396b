// Steps that tests of the bench take, beside those of harness.js.

import { deflateSync } from "node:zlib";
import { until } from "./harness.js";

/** The job's sentence as it reads now. */
export const sentence = (page) => page.$eval("#sentence", (one) => one.textContent.replace(/\s+/g, " ").trim());

/** Opens the card of a section and waits until it stands. */
export async function openCard(page, section) {
  await page.evaluate((section) => {
    if (!document.querySelector(`.card[data-section="${section}"]`)) document.querySelector(`.clause[data-section="${section}"]`).click();
  }, section);
  await until(page, (section) => document.querySelector(`.card[data-section="${section}"]`), section);
}

export async function closeCard(page) {
  await page.evaluate(() => document.querySelector('.card [aria-label="Close"]')?.click());
  await until(page, () => !document.querySelector(".card"));
}

/** Sets a field of an open card as typing and leaving it does. */
export function setField(page, path, value) {
  return page.evaluate((path, value) => {
    const row = document.querySelector(`[data-path="${path}"]`);
    for (let fold = row.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    const control = row.querySelector("input, select, textarea");
    if (control.type === "checkbox") control.checked = value;
    else if (control.tagName === "SELECT") control.selectedIndex = [...control.options].findIndex((one) => one.textContent === value || one.textContent.startsWith(value));
    else control.value = value;
    control.dispatchEvent(new Event("change", { bubbles: true }));
  }, path, value);
}

/** Chooses a way of looking and waits until its canvas is shown. */
export async function look(page, kind) {
  await page.evaluate((kind) => document.querySelector(`input[name="look"][value="${kind}"]`).click(), kind);
  // Without WebGL2 the light is on the second canvas too.
  await until(page, (kind) => { const [light, flat] = document.querySelectorAll("#bench canvas"); return kind === "light" ? !light.hidden || !flat.hidden : !flat.hidden; }, kind);
}

/** Number of pixels of the flat canvas whose colour is near `rgb`. */
export function pixelsNear(page, rgb, reach = 40) {
  return page.evaluate((rgb, reach) => {
    const canvas = document.querySelectorAll("#bench canvas")[1];
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    let found = 0;
    for (let at = 0; at < data.length; at += 4) {
      if (data[at + 3] > 200 && rgb.every((value, index) => Math.abs(data[at + index] - value) < reach)) found += 1;
    }
    return found;
  }, rgb, reach);
}

/** The colour of a class of strokes, as the style sheet gives it now. */
export const toneOf = (page, id) => page.$eval(`#bench .mark-${id}`, (one) => getComputedStyle(one).stroke.match(/\d+/g).slice(0, 3).map(Number));

/** A PNG of `width` by `height` grey pixels; grey(x, y) gives 0 to 255. */
export function png(width, height, grey) {
  const rows = Buffer.alloc((width + 1) * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) rows[y * (width + 1) + 1 + x] = grey(x, y);
  }
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head[8] = 8;
  return Buffer.concat([Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]), chunk("IHDR", head), chunk("IDAT", deflateSync(rows)), chunk("IEND", Buffer.alloc(0))]);
}

function chunk(name, data) {
  const body = Buffer.concat([Buffer.from(name, "latin1"), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc(body), body.length + 4);
  return out;
}

function crc(bytes) {
  let value = 0xffffffff;
  for (const byte of bytes) {
    value ^= byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  }
  return (value ^ 0xffffffff) >>> 0;
}

/**
 * A sliced plate of `side` mm: a skirt, one wall and straight lines of 0.42 mm
 * on the first layer, the same square on the second, in relative extrusion.
 */
export function plate(side, { from = 10 } = {}) {
  const width = 0.42, height = 0.2, area = height * (width - height) + (Math.PI * height * height) / 4;
  const perMM = area / ((Math.PI * 1.75 * 1.75) / 4);
  const lines = ["G21", "G90", "M83", "M104 S210", "M140 S60", "G28", "G92 E0"];
  let [x, y] = [0, 0];
  const go = (toX, toY, lays = true) => {
    const length = Math.hypot(toX - x, toY - y);
    lines.push(lays ? `G1 X${toX.toFixed(3)} Y${toY.toFixed(3)} E${(length * perMM).toFixed(5)}` : `G0 X${toX.toFixed(3)} Y${toY.toFixed(3)}`);
    [x, y] = [toX, toY];
  };
  const ring = (off) => {
    const [low, high] = [from - off, from + side + off];
    go(low, low, false);
    for (const [a, b] of [[high, low], [high, high], [low, high], [low, low]]) go(a, b);
  };
  const fill = (upright) => {
    const [low, high] = [from + 1.5 * width, from + side - 1.5 * width];
    for (let at = low, back = false; at <= high; at += width, back = !back) {
      const ends = back ? [high, low] : [low, high];
      go(...(upright ? [at, ends[0]] : [ends[0], at]), false);
      go(...(upright ? [at, ends[1]] : [ends[1], at]));
    }
  };
  lines.push(";LAYER:0", "G0 F7200", "G1 Z0.2 F600", "G1 F1200", ";TYPE:Skirt");
  ring(4);
  lines.push(";TYPE:Outer wall");
  ring(-width / 2);
  lines.push(";TYPE:Solid infill");
  fill(false);
  for (const layer of [1, 2]) {
    lines.push(`;LAYER:${layer}`, `G1 Z${(0.2 + 0.2 * layer).toFixed(1)} F600`, "G1 F2400", ";TYPE:Outer wall");
    ring(-width / 2);
    lines.push(";TYPE:Solid infill");
    fill(layer % 2 === 1);
  }
  lines.push("M104 S0", "M140 S0", "M84");
  return Buffer.from(`${lines.join("\n")}\n`);
}
