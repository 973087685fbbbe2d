/** Time stamps: seconds, milliseconds, times of day, dates with times. */
import { isNothing, type Notation, numberOf, readingOf, unitBehind } from './cells.js';
import { unitOf } from './units.js';

/** Reads one stamp as seconds; NaN where it is none. */
export interface StampReader {
  readonly read: (cell: string) => number;
  /** For a reader: `milliseconds, as its steps say`. */
  readonly how: string;
  /** Whether stamps start afresh at midnight. */
  readonly daily: boolean;
  /** Seconds that a stamp of 1 stands for; null where stamps are no numbers. */
  readonly scale: number | null;
}

const DAY = 86_400;
const CLOCK = /^(?:(\d{1,3}):)?(\d{1,2}):(\d{1,2}(?:[.,:]\d+)?)\s*([ap])?\.?(?:m\.?)?$/i;
const ISO = /^(\d{4})([-/.]?)(\d{2}|\d(?=\D))\2(\d{1,2})[T\s_]+(.+?)\s*(Z|[+-]\d{2}:?\d{2})?$/i;
const DATE = /^(\d{1,2})([-/.])(\d{1,2})\2(\d{2,4})[,T\s_]+(.+)$/;
const COMPACT = /^(\d{2})(\d{2})(\d{2}(?:[.,]\d+)?)$/;
const DATE_ALONE = /^(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}([-/.])\d{1,2}\1\d{2,4}|\d{1,2}[- .]\p{L}{3,9}\.?[- ]\d{2,4})$/u;
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
/** Where German, French, Spanish and Portuguese begin differently. */
const OTHER_MONTHS: Readonly<Record<string, number>> = { mär: 3, mrz: 3, mai: 5, okt: 10, dez: 12, fév: 2, avr: 4, jui: 6, aoû: 8, déc: 12, ene: 1, abr: 4, ago: 8, dic: 12, fev: 2, set: 9, out: 10 };

/** A date without a time of day: a cell beside the time, and no stamp by itself. */
export const isDate = (cell: string): boolean => DATE_ALONE.test(cell.trim());

/** Days since 1970-01-01 of a date of the Gregorian calendar. H. Hinnant, chrono-compatible low-level date algorithms, 2013. */
function dayNumber(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const ofEra = y - era * 400;
  const ofYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  return era * 146_097 + ofEra * 365 + Math.floor(ofEra / 4) - Math.floor(ofEra / 100) + ofYear - 719_468;
}

/** hh:mm:ss.fff, mm:ss.f, hh:mm:ss:fff or hhmmss as seconds; behind a date two parts are hours and minutes. */
function clock(text: string, behindDate = false): number {
  const plain = text.trim();
  const compact = behindDate ? COMPACT.exec(plain) : null;
  const match = compact === null ? CLOCK.exec(plain) : [plain, ...compact.slice(1)];
  if (match === null) return Number.NaN;
  const [, first, second, third, half] = match;
  const short = first === undefined && behindDate;
  const [hours, minutes, seconds] = short ? [second, third, '0'] : [first ?? '0', second, third];
  const pm = half?.toLowerCase();
  const hour = pm === undefined ? Number(hours) : (Number(hours) % 12) + (pm === 'p' ? 12 : 0);
  // a colon before the milliseconds
  const [whole, thousandths] = (seconds as string).split(':') as [string, string?];
  return hour * 3600 + Number(minutes) * 60 + (thousandths === undefined ? Number(whole.replace(',', '.')) : Number(whole) + Number(thousandths) / 10 ** thousandths.length);
}

/** A date with the month's name in it: `05-Mar-2024 10:11:12.5`, `Tue Mar 05 10:11:12 GMT+01:00 2024`. Its zone is left aside: it is one all along. */
function worded(text: string): number {
  const time = /\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?(?:\s*[ap]\.?m\.?)?/i.exec(text);
  if (time === null) return Number.NaN;
  const rest = `${text.slice(0, time.index)} ${text.slice(time.index + time[0].length)}`.replace(/\b(?:GMT|UTC)?[+-]\d{2}:?\d{2}\b/i, ' ');
  for (const word of rest.matchAll(/\p{L}{3,}/gu)) {
    const start = word[0].toLowerCase().slice(0, 3);
    const month = OTHER_MONTHS[start] ?? MONTHS.indexOf(start) + 1;
    const numbers = rest.match(/\d+/g) ?? [];
    const year = numbers.find((n) => n.length === 4) ?? (numbers.length === 2 ? numbers[1] : undefined);
    const day = numbers.find((n) => n !== year && n.length <= 2);
    if (month > 0 && day !== undefined) return dayNumber(year === undefined ? 1970 : Number(year) + (year.length === 2 ? 2000 : 0), month, Number(day)) * DAY + clock(time[0], true);
  }
  return Number.NaN;
}

/** A date and a time of day as seconds since 1970 in the stamp's own zone; with a zone of its own in universal time. */
function dated(cell: string): number {
  const text = cell.trim();
  const iso = ISO.exec(text);
  if (iso !== null) {
    const zone = iso[6] === undefined || /z/i.test(iso[6]) ? 0 : Number(`${iso[6][0]}1`) * (Number(iso[6].slice(1, 3)) * 60 + Number(iso[6].slice(-2))) * 60;
    return dayNumber(Number(iso[1]), Number(iso[3]), Number(iso[4])) * DAY + clock(iso[5] as string, true) - zone;
  }
  const date = DATE.exec(text);
  if (date === null) return /\p{L}{3}/u.test(text) ? worded(text) : Number.NaN;
  // day first, unless that cannot be: only a log over midnight of two months' ends would tell
  const [first, second] = [Number(date[1]), Number(date[3])];
  const [day, month] = second > 12 ? [second, first] : [first, second];
  const year = Number(date[4]);
  return dayNumber(year < 100 ? 2000 + year : year, month, day) * DAY + clock(date[5] as string, true);
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
  const behind = unitBehind(cells[0] as string);
  const scale = behind === '' ? null : scaleOf(behind);
  if (scale !== null && cells.filter((cell) => unitBehind(cell) === behind).length > half) return { read: (cell) => readingOf(cell, notation) * scale, how: `in ${behind}`, daily: false, scale: null };
  const numbers = cells.map((cell) => numberOf(cell, notation)).filter((v) => !Number.isNaN(v));
  if (numbers.length <= half) {
    for (const [read, how, daily] of [[(cell: string) => clock(cell), 'times of day', true], [dated, 'dates and times of day', false]] as const) {
      if (cells.filter((cell) => !Number.isNaN(read(cell))).length > half) return { read, how, daily, scale: null };
    }
    return null;
  }
  const scaled = (scale: number, how: string): StampReader => ({ read: (cell) => numberOf(cell, notation) * scale, how, daily: false, scale });
  const given = unit === '' ? null : scaleOf(unit);
  if (given !== null) return scaled(given, `in ${unit}`);
  const steps = numbers.slice(1).map((v, i) => v - (numbers[i] as number)).filter((d) => d > 0);
  const step = median(steps);
  const whole = numbers.every(Number.isInteger);
  // dates as spreadsheets count them, in days since 1900: steps of less than 17 s
  if (!whole && numbers.every((v) => v > 30_000 && v < 60_000) && step < 2e-4 && (numbers.at(-1) as number) - (numbers[0] as number) < 0.2) return scaled(DAY, 'days, as a spreadsheet counts them');
  // stamps counted from 1970, or steps that no recorder takes in seconds; 5 s a row is the slowest that is taken for seconds
  if (numbers[0]! > 1e14) return scaled(1e-6, 'microseconds, as their size says');
  if (numbers[0]! > 1e11) return scaled(1e-3, 'milliseconds, as their size says');
  if (whole && step >= 2_000_000) return scaled(1e-6, 'microseconds, as their steps say');
  if (whole && step > 5) return scaled(1e-3, 'milliseconds, as their steps say');
  return scaled(1, 'seconds, as their steps say');
}
