// Numbers as people read and write them.

const grouped = new Intl.NumberFormat('en', { maximumFractionDigits: 0 });

/** 1204 -> "1,204". */
export function count(value) {
  return grouped.format(value);
}

/** At most `places` decimals, no trailing zeros: 0.4200001 -> "0.42". */
export function plain(value, places = 3) {
  if (!Number.isFinite(value)) return '–';
  const text = value.toFixed(places);
  const short = text.includes('.') ? text.replace(/\.?0+$/, '') : text;
  return short === '-0' ? '0' : short;
}

/** Millimetres as "8.4 mm" or, from a metre on, "41.2 m". */
export function length(mm) {
  return mm >= 1000 ? `${plain(mm / 1000, 1)} m` : `${plain(mm, 1)} mm`;
}

/** Seconds as "48 s", "34 min" or "2 h 05 min". */
export function duration(seconds) {
  if (!Number.isFinite(seconds)) return '–';
  if (seconds < 59.5) return `${Math.round(seconds)} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** Seconds into a path as "12:07", for places along it. */
export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** A share of one as "99.4 %". */
export function percent(share, places = 1) {
  return `${plain(share * 100, places)} %`;
}

/** A figure of a report with its unit: a share as percent, a time in words. */
export function figureWords(value, unit = '') {
  if (unit === 'share') return percent(value);
  if (unit === 's') return duration(value);
  if (unit === 'mm') return length(value);
  if (unit === '') return Number.isInteger(value) ? count(value) : plain(value, 3);
  return `${plain(value, unit === 'mm²' || unit === 'g' ? 1 : unit === 'mm/mm' ? 4 : 2)} ${unit}`;
}

/** Bytes as "812 B", "4.2 kB", "1.1 GB". */
export function bytes(size) {
  const units = ['B', 'kB', 'MB', 'GB'];
  let value = size;
  let unit = 0;
  while (value >= 999.5 && unit < units.length - 1) {
    value /= 1000;
    unit += 1;
  }
  return `${plain(value, unit === 0 ? 0 : 1)} ${units[unit]}`;
}

/** The singular or the plural: some(1, "wall") -> "1 wall". */
export function some(number, one, many = `${one}s`) {
  return `${number === 0 ? 'no' : count(number)} ${number === 1 ? one : many}`;
}

/**
 * A typed number: comma or point, an optional unit behind it. NaN when the
 * text is no plain number.
 */
export function typed(text) {
  const found = /^\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(?:mm\/s|mm³\/s|mm|°|%|°C|s|g)?\s*$/i.exec(text);
  return found ? Number(found[1].replace(',', '.')) : NaN;
}
