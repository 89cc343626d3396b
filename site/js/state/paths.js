// Where the page finds the values of a job that it handles beyond plain
// fields. The engine's schema is the authority; these are its names.

export const ART = {
  kind: 'art.kind',
  generator: 'art.generator',
  params: 'art.params',
  seed: 'art.seed',
  svg: 'art.svg',
  svgName: 'art.name',
  picture: 'art.picture',
  text: 'art.text',
  lays: 'art.lays',
};

export const PLACEMENT = {
  x: 'placement.xMM',
  y: 'placement.yMM',
  turn: 'placement.turnDeg',
  scale: 'placement.scale',
  mirror: 'placement.mirror',
};

export const PIECE = {
  file: 'piece.file',
  firstLine: 'piece.firstLine',
  nextLine: 'piece.nextLine',
  classes: 'piece.classes',
  islands: 'piece.islands',
};

/** What the first layer may be covered with, in the order offered. */
export const ART_KINDS = [
  { value: 'generator', label: 'Built-in pattern' },
  { value: 'lines', label: 'Drawn lines (SVG)' },
  { value: 'shapes', label: 'Drawn shapes (SVG)' },
  { value: 'picture', label: 'Picture' },
  { value: 'lettering', label: 'Lettering' },
  { value: 'trial', label: 'Trial plate' },
];
