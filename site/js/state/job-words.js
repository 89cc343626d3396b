// The job as a sentence: which words stand for which section of the job.

import { valueAt } from './job-path.js';
import { plain, some } from './numbers.js';
import { ART, PLACEMENT } from './paths.js';
import { fieldAt, readOf, standing } from './schema.js';

/**
 * The sentence as a list of plain strings and clauses {section, text, lay}.
 * A clause opens the card of its section; `lay` names its line texture.
 */
export function sentence({ job, schema, piece }) {
  const at = (path) => reading(schema, job, piece, path);
  return [
    'Lay ', clause('art', artWords(job, schema, at), 'a'),
    ', ', clause('placement', placementWords(at), 'b'),
    ', under ', clause('piece', piece?.name ?? 'a sliced file', 'c'),
    ', keeping ', clause('keep', keepWords(at), 'd'),
    ', in ', clause('bead', beadWords(at), 'e'),
    ', ', clause('prime', joinWords(at), 'f'),
    ', for ', clause('machine', machineWords(at), 'g'),
    '.',
  ];
}

function clause(section, text, lay) {
  return { section, text, lay };
}

function reading(schema, job, piece, path) {
  const field = fieldAt(schema?.fields ?? [], path);
  if (!field) return valueAt(job, path);
  return standing(field, job, readOf(piece)).value;
}

/** The pattern in words: its name and the first of its numbers. */
export function artWords(job, schema, at) {
  const kind = at(ART.kind) ?? 'generator';
  if (kind === 'lettering') return `the words “${shortened(String(at(ART.text) || '…').replace(/\s+/g, ' '), 24)}”`;
  if (kind === 'picture') return 'a picture in tones';
  if (kind === 'trial') return 'a trial plate';
  if (kind === 'lines' || kind === 'shapes') {
    return `the ${kind} of ${shortened(at(ART.svgName) || 'a drawing', 28)}`;
  }
  const maker = schema?.generators?.find((one) => one.id === at(ART.generator)) ?? schema?.generators?.[0];
  if (!maker) return 'a pattern';
  const first = maker.params?.find((param) => param.unit === 'mm');
  const name = /['’]s /.test(maker.name) ? maker.name : maker.name.charAt(0).toLowerCase() + maker.name.slice(1);
  const size = first ? valueAt(job, `${ART.params}.${first.key}`) ?? first.default : 0;
  return size === 0 ? name : `${name}, ${plain(size, 2)} mm`;
}

/** Where the pattern lies. */
export function placementWords(at) {
  const words = [];
  const x = at(PLACEMENT.x) || 0;
  const y = at(PLACEMENT.y) || 0;
  words.push(x === 0 && y === 0 ? 'centred' : `moved by ${plain(x, 1)}, ${plain(y, 1)} mm`);
  const turn = at(PLACEMENT.turn) || 0;
  if (turn !== 0) words.push(`turned ${plain(turn, 1)}°`);
  const scale = at(PLACEMENT.scale) ?? 1;
  if (scale !== 1) words.push(`at ${plain(scale * 100, 1)} %`);
  if (at(PLACEMENT.mirror) === true) words.push('mirrored');
  return words.join(', ');
}

/** What stays of the piece's own first layer, and how often the pattern comes. */
export function keepWords(at) {
  const walls = at('keep.walls') ?? 0;
  const parts = [];
  if (walls > 0) parts.push(some(walls, 'wall'));
  else if (at('keep.around') !== false) parts.push('skirt and supports');
  else parts.push('nothing of its own');
  if ((at('keep.marginMM') ?? 0) > 0) parts.push(`with a ${plain(at('keep.marginMM'), 1)} mm rim to trim`);
  const layers = at('layers.count') ?? 1;
  if (layers > 1) parts.push(`on ${some(layers, 'layer')}`);
  return parts.join(', ');
}

/** The bead: how wide and how fast. */
export function beadWords(at) {
  const width = at('bead.widthMM');
  const speed = at('bead.speedMMs');
  const wide = width ? `${plain(width, 2)} mm lines` : 'lines as the piece has them';
  return speed ? `${wide} at ${plain(speed, 1)} mm/s` : wide;
}

/** How the bead begins, and whether the machine waits after it. */
export function joinWords(at) {
  const begins = at('prime.source') === 'file' ? 'primed by the file itself' : 'led in by a prime line';
  return (at('join.pause') ?? 'none') === 'none' ? begins : `${begins}, then a pause`;
}

/** The bed in words: "a 220 mm square bed". */
export function machineWords(at) {
  if (at('machine.bedShape') === 'round') return `a round ${plain(at('machine.bedDiameterMM'), 0)} mm bed`;
  const x = at('machine.bedWidthMM');
  const y = at('machine.bedDepthMM');
  if (!x) return 'the bed the file was made for';
  return x === y || !y ? `a ${plain(x, 1)} mm square bed` : `a ${plain(x, 1)} × ${plain(y, 1)} mm bed`;
}

function shortened(text, most) {
  return text.length <= most ? text : `${text.slice(0, most - 1).trimEnd()}…`;
}
