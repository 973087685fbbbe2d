/** Tables of `tickover tune`: gains, margins, drills before and after, the answers that differ. */
import type { IdleMargins } from '../linear/idle.js';
import type { RaceRun } from '../search/tune/race.js';
import type { Judged } from '../search/tune/referee.js';
import { stageOf, type TuneResult } from '../search/tune/result.js';
import type { Layout } from './chart.js';
import { threeDigits } from './margins.js';
import { formatNumber } from './numbers.js';
import { gainText, type GainScale, isScaled } from './rules.js';
import { table, type TableCell, type TableHead } from './table.js';

type Page = Pick<Layout, 'columns' | 'colour'>;

/** `controller.pid.kp` as `kp`; the spark's rate by both names. */
export const shortKey = (key: string): string => (key === 'controller.spark.rate' ? 'spark rate' : key === 'controller.pid.deadBand' ? 'dead band' : key.split('.').slice(key.startsWith('controller.pid.') ? -1 : -2).join('.'));

const absent = (reason: string): TableCell => ({ absent: reason });

/** Settings that were tuned: before, after, and how far each may move alone. */
export function tunedTable(result: TuneResult, judged: Judged, own: readonly number[], scale: GainScale, page: Page): readonly string[] {
  const { keys, units, ranges } = result;
  const scaled = isScaled(scale);
  const rows = stageOf(result).variables.map(({ key }): TableCell[] => {
    const at = keys.indexOf(key);
    const range = ranges?.find((each) => each.key === key);
    const value = judged.values[at] as number;
    const factor = scale[shortKey(key) as keyof GainScale] ?? null;
    const none = absent('not told: the gains found do not keep every limit themselves');
    return [
      shortKey(key), units[at] ?? '', gainText(own[at] as number), gainText(value),
      ...(scaled ? [factor === null ? absent('no scale given') : gainText(value * factor)] : []),
      range === undefined ? none : `${gainText(range.least)}`,
      range === undefined ? none : `${range.mostOpen ? 'over ' : ''}${gainText(range.most)}`,
    ];
  });
  const heads: TableHead[] = [
    { head: 'setting', align: 'left', names: true }, { head: 'unit', align: 'left' }, { head: 'before' }, { head: 'tuned' },
    ...(scaled ? [{ head: 'in yours' }] : []), { head: 'alone, from' }, { head: 'to' },
  ];
  return table({ ...page, heads, rows });
}

function marginRow(name: string, margins: IdleMargins | null, worst: number | null): TableCell[] {
  const air = margins?.loops.airBreak ?? margins?.loops.air ?? null;
  const cell = (value: number | null | undefined, write: (value: number) => string): TableCell =>
    value == null || !Number.isFinite(value) ? absent(margins?.stable === false || value === Number.POSITIVE_INFINITY ? 'unstable' : 'without end') : write(value);
  return [
    name, cell(air?.gainMargin, threeDigits), cell(air?.phaseMarginDeg, (value) => formatNumber(Math.round(value))),
    cell(air?.delayMarginS, (value) => formatNumber(Math.round(1e3 * value))), cell(margins?.worstMs, threeDigits), worst === null ? absent('not looked at') : cell(worst, threeDigits),
  ];
}

/** Before, tuned, and the same air gains with the trim off. */
export function tunedMargins({ margins, before, msWithoutSpark }: TuneResult, judged: Judged, page: Page): readonly string[] {
  return table({
    ...page,
    heads: [
      { head: 'air loop', align: 'left', names: true }, { head: 'gain margin', unit: '×' }, { head: 'phase margin', unit: '°' }, { head: 'delay margin', unit: 'ms' },
      { head: 'Ms', unit: 'nominal' }, { head: 'Ms', unit: 'worst' },
    ],
    rows: [
      marginRow('before', margins.before, before?.msWorst ?? null),
      marginRow('tuned', margins.after, judged.msWorst),
      ...(margins.withoutSpark === null ? [] : [marginRow('tuned, trim off', margins.withoutSpark, msWithoutSpark)]),
    ],
  });
}

type Metric = 'sagRpm' | 'settlingTimeS' | 'stallMarginRpm' | 'score';

/** Worst of a drill over the corners, and which. */
export function worstRun(judged: Judged, drill: number, drills: number, of: Metric): RaceRun | null {
  const runs = (judged.finish?.runs ?? []).filter(({ run }) => run % drills === drill);
  const never = of === 'settlingTimeS' ? runs.find((run) => run.settlingTimeS === null) : undefined;
  if (never !== undefined) return never;
  const sign = of === 'stallMarginRpm' ? -1 : 1;
  return runs.reduce<RaceRun | null>((a, b) => (b[of] === null ? a : a === null || sign * (b[of] as number) > sign * ((a[of] as number | null) ?? 0) ? b : a), null);
}

/** Each drill's worst numbers over the corners, before → tuned. */
export function drillsTable(result: TuneResult, judged: Judged, page: Page): readonly string[] {
  const { drills, corners, before } = result;
  const pair = (drill: number, of: Metric, unit: string): string => {
    const text = (set: Judged | null): string => {
      const run = set === null ? null : worstRun(set, drill, drills.length, of);
      if (run === null) return '–';
      if (run.stalled && of !== 'score') return 'stalls';
      return run[of] === null ? 'never' : formatNumber(run[of] as number, unit);
    };
    return `${text(before)} → ${text(judged)}`;
  };
  return table({
    ...page,
    heads: [
      { head: 'drill', align: 'left', names: true }, { head: 'sag', unit: 'rpm' }, { head: 'settling', unit: 's' }, { head: 'stall margin', unit: 'rpm' }, { head: 'score' },
      { head: 'dearest corner', align: 'left' },
    ],
    rows: drills.map((name, drill) => {
      const run = worstRun(judged, drill, drills.length, 'score');
      return [name, pair(drill, 'sagRpm', 'rpm'), pair(drill, 'settlingTimeS', 's'), pair(drill, 'stallMarginRpm', 'rpm'), pair(drill, 'score', 'score'), run === null ? '–' : (corners[Math.floor(run.run / drills.length)] as string)];
    }),
  });
}

/** The three answers, side by side. */
export function answersTable(result: TuneResult, page: Page): readonly string[] {
  const { answers, keys, settles, drills } = result;
  const variables = stageOf(result).variables;
  const worst = (judged: Judged, of: (run: RaceRun) => number): number => Math.max(0, ...(judged.finish?.runs ?? []).map(of));
  return table({
    ...page,
    heads: [
      { head: 'answer', align: 'left', names: true }, ...variables.map(({ key, unit }): TableHead => ({ head: shortKey(key), unit, part: 0 })),
      { head: 'Ms', unit: 'nominal', part: 1 }, { head: 'Ms', unit: 'worst', part: 1 }, { head: 'score', part: 1 }, { head: 'worst sag', unit: 'rpm', part: 1 }, { head: 'settling', unit: 's', part: 1 },
    ],
    rows: answers.map(({ name, judged }) => {
      const settling = worst(judged, ({ run, settlingTimeS }) => (settles[run % drills.length] === true ? (settlingTimeS ?? Number.POSITIVE_INFINITY) : 0));
      return [
        name, ...variables.map(({ key }) => gainText(judged.values[keys.indexOf(key)] as number)), threeDigits(judged.msNominal), threeDigits(judged.msWorst),
        formatNumber(judged.finish?.score as number, 'score'), formatNumber(worst(judged, ({ sagRpm }) => sagRpm ?? 0), 'rpm'), Number.isFinite(settling) ? formatNumber(settling, 's') : 'never',
      ];
    }),
  });
}
