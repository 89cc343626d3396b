// The lamp: its place over the face from two angles, and what it is called.

/** Highest tilt of the lamp from straight above, degrees. */
export const LARGEST_TILT = 45;
/** Distance of lamp and eye from the middle of the face, mm. */
export const DISTANCE = 700;

/**
 * The lamp's place in bed mm for azimuth (degrees counter-clockwise from +X
 * as the person sees it) and tilt from straight above. Seen from below, the
 * person's right is the bed's left.
 */
export function lampAt(azimuth, tilt, centre, mirrored) {
  const a = (azimuth * Math.PI) / 180;
  const t = (tilt * Math.PI) / 180;
  const side = mirrored ? -1 : 1;
  return [
    centre[0] + side * DISTANCE * Math.sin(t) * Math.cos(a),
    centre[1] + DISTANCE * Math.sin(t) * Math.sin(a),
    DISTANCE * Math.cos(t),
  ];
}

/** Lamp angles for a pointer at (x, y) in units of the bench's half size, y up. */
export function lampFrom(x, y) {
  const reach = Math.hypot(x, y);
  const azimuth = reach < 1e-6 ? 90 : (Math.atan2(y, x) * 180) / Math.PI;
  return { azimuth: Math.round(((azimuth % 360) + 360) % 360), tilt: Math.round(Math.min(1, reach) * LARGEST_TILT) };
}

/** Where the lamp's mark stands, in the same units as lampFrom. */
export function lampMark(azimuth, tilt) {
  const a = (azimuth * Math.PI) / 180;
  const reach = tilt / LARGEST_TILT;
  return [reach * Math.cos(a), reach * Math.sin(a)];
}

/** The lamp in words: "from the upper right, 52° up". */
export function lampWords(azimuth, tilt) {
  if (tilt < 4) return 'straight in front';
  const sides = ['right', 'upper right', 'top', 'upper left', 'left', 'lower left', 'bottom', 'lower right'];
  return `from the ${sides[Math.round(azimuth / 45) % 8]}, ${90 - tilt}° up`;
}
