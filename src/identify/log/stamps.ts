/** Time stamps: seconds, milliseconds, times of day, dates with times. */
import { isNothing, type Notation, numberOf } from './cells.js';
import { unitOf } from './units.js';

/** Reads one stamp as seconds; NaN where it is none. */
export interface StampReader {
  readonly read: (cell: string) => number;
  /** For a reader: `milliseconds, as its steps say`. */
  readonly how: string;
  /** Whether stamps start afresh at midnight. */
  readonly daily: boolean;
}

const DAY = 86_400;
const CLOCK = /^(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2}(?:[.,]\d+)?)\s*(am|pm)?$/i;
const ISO = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})[T\s_]+(.+?)\s*(Z|[+-]\d{2}:?\d{2})?$/i;
const DATE = /^(\d{1,2})([-/.])(\d{1,2})\2(\d{2,4})[T\s_]+(.+)$/;

/** Days since 1970-01-01 of a date of the Gregorian calendar. H. Hinnant, chrono-compatible low-level date algorithms, 2013. */
function dayNumber(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const ofEra = y - era * 400;
  const ofYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  return era * 146_097 + ofEra * 365 + Math.floor(ofEra / 4) - Math.floor(ofEra / 100) + ofYear - 719_468;
}

/** hh:mm:ss.fff or mm:ss.f as seconds. */
function clock(text: string): number {
  const match = CLOCK.exec(text.trim());
  if (match === null) return Number.NaN;
  const [, hours = '0', minutes, seconds, half] = match;
  const pm = half?.toLowerCase();
  const hour = pm === undefined ? Number(hours) : (Number(hours) % 12) + (pm === 'pm' ? 12 : 0);
  return hour * 3600 + Number(minutes) * 60 + Number((seconds as string).replace(',', '.'));
}

/** A date and a time of day as seconds since 1970 in the stamp's own zone; with a zone of its own in universal time. */
function dated(cell: string): number {
  const text = cell.trim();
  const iso = ISO.exec(text);
  if (iso !== null) {
    const zone = iso[5] === undefined || /z/i.test(iso[5]) ? 0 : Number(`${iso[5][0]}1`) * (Number(iso[5].slice(1, 3)) * 60 + Number(iso[5].slice(-2))) * 60;
    return dayNumber(Number(iso[1]), Number(iso[2]), Number(iso[3])) * DAY + clock(iso[4] as string) - zone;
  }
  const date = DATE.exec(text);
  if (date === null) return Number.NaN;
  // day first, unless that cannot be: only a log over midnight of two months' ends would tell
  const [first, second] = [Number(date[1]), Number(date[3])];
  const [day, month] = second > 12 ? [second, first] : [first, second];
  const year = Number(date[4]);
  return dayNumber(year < 100 ? 2000 + year : year, month, day) * DAY + clock(date[5] as string);
}

const median = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

/** Scale of numeric stamps in a unit of time; null for another unit. */
function scaleOf(unit: string): number | null {
  const known = unitOf(unit);
  if (known?.of !== 'time') return null;
  return ({ s: 1, ms: 1e-3, us: 1e-6, minute: 60, hour: 3600 } as Readonly<Record<string, number>>)[known.unit] ?? null;
}

/**
 * Finds how stamps are written from the first of them.
 *
 * @param unit given with the column, '' for none
 * @returns null when they are no stamps
 */
export function stampReaderOf(sample: readonly string[], unit: string, notation: Notation): StampReader | null {
  const cells = sample.filter((cell) => !isNothing(cell));
  const half = cells.length / 2;
  if (cells.length === 0) return null;
  const numbers = cells.map((cell) => numberOf(cell, notation)).filter((v) => !Number.isNaN(v));
  if (numbers.length <= half) {
    for (const [read, how, daily] of [[clock, 'times of day', true], [dated, 'dates and times of day', false]] as const) {
      if (cells.filter((cell) => !Number.isNaN(read(cell))).length > half) return { read, how, daily };
    }
    return null;
  }
  const scaled = (scale: number, how: string): StampReader => ({ read: (cell) => numberOf(cell, notation) * scale, how, daily: false });
  const given = unit === '' ? null : scaleOf(unit);
  if (given !== null) return scaled(given, `in ${unit}`);
  const steps = numbers.slice(1).map((v, i) => v - (numbers[i] as number)).filter((d) => d > 0);
  const step = median(steps);
  const whole = numbers.every(Number.isInteger);
  // stamps counted from 1970, or steps that no recorder takes in seconds; 5 s a row is the slowest that is taken for seconds
  if (numbers[0]! > 1e14) return scaled(1e-6, 'microseconds, as their size says');
  if (numbers[0]! > 1e11) return scaled(1e-3, 'milliseconds, as their size says');
  if (whole && step >= 2_000_000) return scaled(1e-6, 'microseconds, as their steps say');
  if (whole && step > 5) return scaled(1e-3, 'milliseconds, as their steps say');
  return scaled(1, 'seconds, as their steps say');
}
