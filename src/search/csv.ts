/** A sweep as a table of comma-separated values: RFC 4180, numbers at full precision, a line a finished cell. */
import { WORST, type WorstName } from './evaluate.js';
import type { SweptRows } from './sweep.js';

const UNITS: Readonly<Record<WorstName, string>> = { sagRpm: 'rpm', flareRpm: 'rpm', settlingTimeS: 's', stallMarginRpm: 'rpm', huntingRpm: 'rpm' };

/** A field as RFC 4180 wants it; empty for what is absent. */
export function csvField(value: string | number | boolean | null): string {
  const text = value === null ? '' : String(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

const line = (fields: readonly (string | number | boolean | null)[]): string => fields.map(csvField).join(',');

const named = (name: string, unit: string): string => (unit === '' ? name : `${name} [${unit}]`);

/**
 * Lines of a table, without their ends: names with units, then the finished cells by index.
 *
 * `rank` counts from 1; `stalled` is 0 or 1, empty where the cell could not be run; `missed` names limits, with blanks between. Absent numbers are empty fields;
 * `reason` says why a cell could not be run.
 */
export function* csvLines({ axes, rows, ranking }: Pick<SweptRows, 'axes' | 'rows' | 'ranking'>): Generator<string> {
  const ranks = new Uint32Array(ranking.length);
  for (const [i, place] of ranking.entries()) ranks[place] = i + 1;
  yield line([
    'index', 'rank', ...axes.map(({ key, unit }) => named(key, unit)), 'score', 'stalled', named('stallTimeS', 's'), 'missed',
    ...WORST.map((name) => named(name, UNITS[name])), 'reason',
  ]);
  let place = 0;
  for (const row of rows) {
    yield line([
      row.index, ranks[place++] as number, ...row.values, row.score, row.score === null ? null : row.stalled ? 1 : 0, row.stallTimeS, row.missed.join(' '),
      ...WORST.map((name) => row[name]), row.reason,
    ]);
  }
}
