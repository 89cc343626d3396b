// What the lamp shines on: the numbers that the shader and the engine take.

import { DISTANCE, lampAt } from './light.js';

/** Brightness of the lamp and of the room around it, in the formula's units. */
export const LAMP_POWER = 2.2;
export const ROOM_LIGHT = 0.16;

/** A scene of smooth shine for when the engine names no surface. */
export const PLAIN_SURFACE = { id: 'plain', name: 'Plain', rd: 0.25, rs: 0.3, ax: 0.06, ay: 0.2 };

/** sRGB "#rrggbb" to linear light, 0..1 per channel. */
export function linear(colour) {
  return [1, 3, 5].map((at) => {
    const value = parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
}

/** The scene for a look, over a face with box [x0,y0,x1,y1]. */
export function sceneOf(look, surfaces, box) {
  const surface = surfaces?.find((one) => one.id === look.surface) ?? surfaces?.[0] ?? PLAIN_SURFACE;
  const centre = [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2];
  const colour = linear(look.colour);
  return {
    lamp: lampAt(look.azimuth, look.tilt, centre, look.below),
    eye: [centre[0], centre[1], DISTANCE],
    colour,
    sheen: colour.map((part) => 0.45 + 0.55 * part),
    surface: [surface.rd, surface.rs, surface.ax, surface.ay],
    power: LAMP_POWER,
    room: ROOM_LIGHT,
  };
}
