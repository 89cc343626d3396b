// What the lamp shines on: the numbers that the shader and the engine take.

import { DISTANCE, lampAt } from './light.js';

/** Factor on all light, so that a dark filament still shows its colour, and
 * the share of light that comes from everywhere (as the engine's). */
export const EXPOSURE = 1.7;
export const GROUND_LIGHT = 0.1;

/** A smooth shine for when the engine names no surface. */
export const PLAIN_SURFACE = { id: 'plain', name: 'Plain', diffuse: 0.2, specular: 0.12, along: 0.05, across: 0.16, tint: 0.25 };

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
  return {
    lamp: lampAt(look.azimuth, look.tilt, centre, look.below),
    eye: [centre[0], centre[1], DISTANCE],
    lampFromMiddle: lampAt(look.azimuth, look.tilt, [0, 0], look.below),
    eyeFromMiddle: [0, 0, DISTANCE],
    colour: linear(look.colour),
    surface: [surface.diffuse, surface.specular, surface.along, surface.across],
    tint: surface.tint,
    exposure: EXPOSURE,
    ground: GROUND_LIGHT,
  };
}
