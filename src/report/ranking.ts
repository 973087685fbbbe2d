/** The best of a sweep, in a table. */
import type { Layout } from './chart.js';
import { formatNumber } from './numbers.js';
import { table, type TableCell, type TableHead } from './table.js';
import { clean, wrap } from './text.js';

/** One setting of a sweep and how it did; the worst numbers are over all drills of a suite. */
export interface RankedRow {
  readonly rank: number;
  /** Varied key → value, in the same order in each row. */
  readonly values: Readonly<Record<string, number>>;
  readonly score: number;
  readonly worst: {
    readonly sagRpm: number | null;
    readonly flareRpm: number | null;
    readonly settlingTimeS: number | null;
    readonly stallMarginRpm: number | null;
    readonly huntingRpm: number | null;
  };
  /** Reasons for what is absent in `worst`. */
  readonly reasons?: Readonly<Partial<Record<keyof RankedRow['worst'], string>>>;
  readonly stalled: boolean;
  readonly missed: number;
}

const WORST = [
  ['sagRpm', 'sag', 'rpm'],
  ['flareRpm', 'flare', 'rpm'],
  ['settlingTimeS', 'settling', 's'],
  ['stallMarginRpm', 'stall margin', 'rpm'],
  ['huntingRpm', 'hunting', 'rpm'],
] as const;

/** Share of the best score by which the worst must differ for the settings to make a difference: rounding makes less. */
const SAME = 1e-9;

/** The shortest endings of dotted keys that still tell them apart. */
export function shortKeys(keys: readonly string[]): string[] {
  const ending = (key: string, parts: number): string => key.split('.').slice(-parts).join('.');
  return keys.map((key) => {
    let parts = 1;
    while (parts < key.split('.').length && keys.some((other) => other !== key && ending(other, parts) === ending(key, parts)))
      parts++;
    return ending(key, parts);
  });
}

/**
 * The ranking, in the order given.
 *
 * @param options `units` per key; `of` is how many settings there were and `worstScore` what the worst of them scored, when
 *   more than are shown
 * @returns lines no wider than `columns` (40 at least)
 */
export function rankingTable(
  rows: readonly RankedRow[],
  options: Pick<Layout, 'columns' | 'colour'> & {
    readonly units: Readonly<Record<string, string>>;
    readonly of?: number;
    readonly worstScore?: number | null;
  },
): string[] {
  const { columns, colour, units, of = rows.length } = options;
  if (rows.length === 0) return ['nothing to rank'];
  const best = (rows[0] as RankedRow).score;
  const worst = options.worstScore ?? (of > rows.length ? null : (rows.at(-1) as RankedRow).score);
  const same = of > 1 && worst !== null && Math.abs(worst - best) <= SAME * Math.abs(best);
  const keys = Object.keys((rows[0] as RankedRow).values);
  const short = shortKeys(keys);
  const heads: TableHead[] = [
    { head: 'rank', names: true },
    ...keys.map((key, i): TableHead => ({ head: short[i] as string, unit: units[key] ?? '', names: keys.length <= 3 })),
    { head: 'score' },
    { head: 'outcome', align: 'left' },
    ...WORST.map(([, head, unit]) => ({ head, unit })),
  ];
  const body = rows.map((row): TableCell[] => [
    String(row.rank),
    ...keys.map((key): TableCell => {
      const value = row.values[key];
      return value === undefined ? { absent: 'not varied in this row' } : formatNumber(value);
    }),
    formatNumber(row.score, 'score'),
    row.stalled ? 'stalls' : row.missed > 0 ? `${row.missed} missed` : 'holds',
    ...WORST.map(([name, , unit]): TableCell => {
      const value = row.worst[name];
      return value === null
        ? { absent: row.reasons?.[name] ?? (row.stalled ? 'the engine stalls' : 'not measured') }
        : formatNumber(value, unit);
    }),
  ]);
  const width = Math.max(40, Math.floor(columns));
  const renamed = keys.flatMap((key, i) => (short[i] === key ? [] : [`${short[i]} is ${clean(key)}`]));
  const notes = [
    ...renamed,
    ...(of > rows.length ? [`best ${rows.length} of ${of}`] : []),
    ...(rows.some((row) => !row.stalled && row.missed > 0) ? ['missed: limits that the scenario states'] : []),
    'sag to hunting: the worst of the drills',
    ...(same ? ['this makes no difference in these drills: best and worst score the same'] : []),
  ];
  return [...table({ heads, rows: body, columns, colour }), ...notes.flatMap((note) => wrap(note, width, 2))];
}
