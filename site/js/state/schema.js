// The fields of a job as the engine describes them, and what may be typed
// into one.

import { same, valueAt } from './job-path.js';
import { plain, typed } from './numbers.js';

/** The fields of one section, in the engine's order. */
export function fieldsOf(fields, section) {
  return fields.filter((field) => field.section === section);
}

/** The field with this path, or undefined. */
export function fieldAt(fields, path) {
  return fields.find((field) => field.path === path);
}

/**
 * What a field stands at: the job's own value, else what was read from the
 * piece, else the default. `from` says which.
 */
export function standing(field, job, read = {}) {
  const own = valueAt(job, field.path);
  if (own !== undefined) return { value: own, from: 'job' };
  if (field.read && read[field.path] !== undefined) return { value: read[field.path], from: 'piece' };
  return { value: field.default, from: 'default' };
}

/**
 * What was read from a piece, by the full paths of fields: a report may name
 * the machine's fields without their section.
 */
export function readOf(piece) {
  const read = piece?.report?.machine?.read ?? {};
  return Object.fromEntries(Object.entries(read).map(([key, value]) => [key.includes('.') ? key : `machine.${key}`, value]));
}

/**
 * Where the value of a field comes from, in words, for fields that a sliced file
 * may show: '' for others, and while no piece is open.
 */
export function originWords(field, from, piece) {
  if (!field.read || !piece) return '';
  const read = readOf(piece)[field.path];
  if (from === 'piece') return 'from the file';
  if (from === 'default') return read === undefined ? 'not in the file' : '';
  return read === undefined ? 'typed' : `typed; the file has ${inWords(field, read)}`;
}

/** The engine's reason for a value that was read from the piece, '' for others. */
export function whyRead(field, piece) {
  const why = piece?.report?.machine?.why?.[field.path] ?? '';
  return why && `${why.charAt(0).toUpperCase()}${why.slice(1)}.`;
}

/** A field's unit as people write it. */
export function unitOf(field) {
  return field.unit === 'deg' ? '°' : field.unit ?? '';
}

/** Reports whether a field holds a number. */
export function isNumber(field) {
  return field.kind === 'number' || field.kind === 'whole';
}

/** The permitted range in words: "0.2 to 1.2 mm". */
export function range(field) {
  const unit = unitOf(field) ? ` ${unitOf(field)}` : '';
  const low = Number.isFinite(field.min) ? plain(field.min) : null;
  const high = Number.isFinite(field.max) ? plain(field.max) : null;
  if (low !== null && high !== null) return `${low} to ${high}${unit}`;
  if (low !== null) return `${low}${unit} or more`;
  if (high !== null) return `${high}${unit} or less`;
  return `a number${unit ? ` in${unit}` : ''}`;
}

/** Reads typed text for a number field: {value} or {wrong: sentence}. */
export function readNumber(text, field) {
  const value = typed(text);
  if (Number.isNaN(value)) return { wrong: `${field.label} is a number: ${range(field)}.` };
  if (field.kind === 'whole' && !Number.isInteger(value)) return { wrong: `${field.label} is a whole number: ${range(field)}.` };
  if (value < (field.min ?? -Infinity) || value > (field.max ?? Infinity)) {
    return { wrong: `${field.label} may be ${range(field)}.` };
  }
  return { value };
}

/**
 * The next value with an arrow key: one step, ten with Shift, on the grid of
 * steps and inside the range.
 */
export function stepped(value, field, direction, large) {
  const step = field.step || 1;
  const wide = step * (large ? 10 : 1);
  const start = Number.isFinite(value) ? value : field.default || 0;
  const grid = Math.round((start + direction * wide) / step) * step;
  const held = Math.min(field.max ?? Infinity, Math.max(field.min ?? -Infinity, grid));
  return Number(held.toFixed(6));
}

/** A field's value in words, with its unit. */
export function inWords(field, value) {
  if (value === undefined || value === null || value === '') return 'not set';
  if (field.heavy) return 'set';
  if (field.kind === 'bool') return value ? 'yes' : 'no';
  if (field.kind === 'choice') {
    return field.choices?.find((choice) => same(choice.value, value))?.label ?? String(value);
  }
  if (isNumber(field)) return `${plain(value)}${unitOf(field) ? ` ${unitOf(field)}` : ''}`;
  if (Array.isArray(value)) return value.length === 0 ? 'none' : `${value.length} listed`;
  return typeof value === 'object' ? 'set' : String(value);
}
