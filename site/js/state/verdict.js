// What the page says about a job: one line, and the findings in their order.

import { count, duration, figureWords, length, percent, some } from './numbers.js';

const ORDER = ['stop', 'caution', 'note'];

/** Reports whether a report speaks of lines that were laid, not only of what stood in the way. */
export const isLaid = (report) => report?.figures?.lengthMM > 0;

/** Findings with the gravest first, otherwise in the engine's order. */
export function inOrder(findings) {
  return ORDER.flatMap((level) => findings.filter((one) => one.level === level));
}

/** The same findings with those that say the same made one, each of its places once: {...one, places}. */
export function gathered(findings) {
  const groups = new Map();
  for (const one of findings) {
    const key = [one.level, one.code, one.text, one.remedy, one.place?.element].join('\n');
    const group = groups.get(key);
    if (!group) groups.set(key, { ...one, places: [one.place] });
    else if (!group.places.some((place) => placeWords(place) === placeWords(one.place))) group.places.push(one.place);
  }
  return [...groups.values()].map((one) => ({ ...one, places: one.places.filter(Boolean) }));
}

/** How many findings of each level there are. */
export function tally(findings) {
  return Object.fromEntries(ORDER.map((level) => [level, findings.filter((one) => one.level === level).length]));
}

/**
 * The verdict of a finished run: {level, lead, rest}. `level` is "ready",
 * "caution" or "stop".
 */
export function verdict(report) {
  const found = tally(report.findings ?? []);
  const level = !report.ok || found.stop > 0 ? 'stop' : found.caution > 0 ? 'caution' : 'ready';
  const lead = {
    stop: `Not yet: ${some(Math.max(1, found.stop), 'thing stands', 'things stand')} in the way.`,
    caution: `Ready, with ${some(found.caution, 'caution')}.`,
    ready: 'Ready.',
  }[level];
  return { level, lead, rest: level === 'stop' ? '' : report.sentence?.replace(/^Ready[^.]*\.\s*/, '') || figuresLine(report.figures ?? {}) };
}

/** The figures that decide, in one line. */
export function figuresLine(figures) {
  const parts = [];
  const lines = figures.strands ?? 0;
  if (figures.lengthMM) parts.push(`${lines === 1 ? 'One unbroken line' : some(lines, 'line')}, ${length(figures.lengthMM)}, ${duration(figures.timeS)}`);
  if (figures.coveredShare !== undefined) parts.push(`${percent(figures.coveredShare)} covered`);
  if (figures.joinLine) parts.push(`joins at line ${count(figures.joinLine)}`);
  if (figures.tailLine) parts.push('nothing after it changes');
  return parts.length === 0 ? '' : `${parts.join('; ')}.`;
}

/**
 * A report with what is known of the whole file since it was given; any other
 * report, or none, as it is.
 */
export function completed(report, laid) {
  if (!laid || !report?.ok || report.figures.timeS !== laid.figures.timeS || report.figures.joinLine !== laid.figures.joinLine) return report;
  const findings = [...report.findings.filter(({ code }) => !/^(claims|tail)-/.test(code)), ...laid.findings];
  return { ...report, findings, figures: laid.figures, whole: laid.whole };
}

/** The face in words, for those who do not see the drawing. */
export function faceWords(piece, report) {
  const face = piece?.report.footprint;
  if (!face) return 'No face yet.';
  const [x0, y0, x1, y1] = face.bounds;
  const words = [`A face of ${(x1 - x0).toFixed(1)} by ${(y1 - y0).toFixed(1)} mm with ${some(face.islands?.length ?? 1, 'island')}.`];
  if (!report) return words[0];
  words.push(figuresLine(report.figures ?? {}));
  const kinds = report.zones ?? [];
  const lays = kinds.slice(0, 12).map((kind) => `${kind.name || `kind ${kind.kind + 1}`} ${kind.field ? 'along a field' : `at ${Math.round(kind.layDeg)}°`}`);
  if (lays.length > 0) words.push(`${some(kinds.length, 'kind of zone', 'kinds of zones')}: ${lays.join(', ')}.`);
  const found = tally(report.findings ?? []);
  words.push(`${some(found.stop, 'stop')}, ${some(found.caution, 'caution')}, ${some(found.note, 'note')}.`);
  return words.filter(Boolean).join(' ');
}

/** Where a finding is, in words; empty when it concerns the whole job. */
export function placeWords(place) {
  if (!place) return '';
  const words = [];
  if (place.layer) words.push(`layer ${place.layer}`);
  if (place.line) words.push(`line ${count(place.line)}${place.column ? `, column ${place.column}` : ''}`);
  else if (place.element) words.push(place.element);
  if (place.at) words.push(`at ${place.at.map((one) => one.toFixed(1)).join(', ')} mm`);
  return words.join(', ');
}

/** The whole report as text, for the clipboard; `schema` names its figures. */
export function reportText(piece, report, schema) {
  const said = verdict(report);
  const lines = [`Sheenlay report: ${piece?.name ?? 'no piece'}`, `${said.lead} ${said.rest}`.trim(), ''];
  for (const one of inOrder(report.findings ?? [])) {
    const place = placeWords(one.place);
    lines.push(`${one.level.toUpperCase()} ${one.code}: ${one.text}${place ? ` (${place})` : ''}${one.remedy ? ` ${one.remedy}` : ''}`);
  }
  const named = (schema?.figures ?? []).filter(({ name }) => report.figures?.[name] !== undefined);
  if (report.whole) lines.push('', report.whole.text);
  lines.push('', ...named.map(({ name, label, unit }) => `${label}: ${figureWords(report.figures[name], unit)}`));
  return lines.join('\n');
}
