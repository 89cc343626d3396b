// Reading and writing one value of a job by its dotted path. Jobs are plain
// data and never changed in place.

/** The value at `path` ("bead.widthMM"), or undefined. */
export function valueAt(job, path) {
  let here = job;
  for (const key of path.split('.')) {
    if (here === null || typeof here !== 'object') return undefined;
    here = here[key];
  }
  return here;
}

/**
 * A copy of `job` with `value` at `path`; undefined takes the value out, and
 * with it every object that has become empty.
 */
export function withValue(job, path, value) {
  const [key, ...rest] = path.split('.');
  const copy = Array.isArray(job) ? job.slice() : { ...job };
  if (rest.length === 0) {
    if (value === undefined) delete copy[key];
    else copy[key] = value;
    return copy;
  }
  const below = withValue(isBranch(copy[key]) ? copy[key] : {}, rest.join('.'), value);
  if (Object.keys(below).length === 0) delete copy[key];
  else copy[key] = below;
  return copy;
}

/** Reports whether two pieces of plain data are the same. */
export function same(a, b) {
  if (Object.is(a, b)) return true;
  if (!isBranch(a) || !isBranch(b) || Array.isArray(a) !== Array.isArray(b)) return false;
  const keys = Object.keys(a);
  if (keys.length !== Object.keys(b).length) return false;
  return keys.every((key) => Object.hasOwn(b, key) && same(a[key], b[key]));
}

function isBranch(value) {
  return value !== null && typeof value === 'object';
}
