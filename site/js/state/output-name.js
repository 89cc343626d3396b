// The name of the finished file: the source's with a suffix, never the
// source's own.

const SUFFIX = '-sheenlay';

/** "tile.gcode" -> "tile-sheenlay.gcode"; a packed source comes out unpacked. */
export function outputName(source, given = '') {
  const unpacked = source.replace(/\.gz$/i, '');
  const end = /\.[^.\\/]+$/.exec(unpacked)?.[0] ?? '.gcode';
  const stem = unpacked.slice(0, unpacked.length - (/\.[^.\\/]+$/.exec(unpacked)?.[0].length ?? 0)) || 'piece';
  const wanted = cleaned(given) || `${stem}${SUFFIX}${end}`;
  return wanted === source || wanted === unpacked ? `${stem}${SUFFIX}${end}` : wanted;
}

function cleaned(name) {
  return name.replace(/[\\/:*?"<>|\u0000-\u001f]/g, '').trim().slice(0, 180);
}
