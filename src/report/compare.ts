/** Runs side by side: each metric, its difference from the first run, and in words whether that is better. */
import type { Scored } from '../score/score.js';
import type { MetricName } from '../score/metrics.js';
import type { Layout } from './chart.js';
import { palette } from './glyphs.js';
import { METRIC_ROWS, metricCell, type MetricRow } from './metric-names.js';
import { formatNumber, seconds, signed } from './numbers.js';
import { table, type TableCell, type TableHead } from './table.js';
import { clean, cut, eventKey, textWidth, wrap } from './text.js';

export type ComparedRun = {
  readonly name: string;
  readonly scored: Pick<Scored, 'events' | 'metrics' | 'score' | 'stalled' | 'stallTimeS' | 'missed'>;
};

const LONGEST_NAME = 16;
/** Columns from which the first run is repeated in each part of a table that must be split. */
const REPEAT_FIRST = 60;
/** Metrics compared event by event, after those of the whole run. */
const BY_EVENT: readonly MetricName[] = ['sagRpm', 'flareRpm', 'settlingTimeS', 'stallMarginRpm', 'huntingRpm'];

/** A difference and what it means: `−14 better`. Empty where there is nothing to compare. */
function difference(first: number | null, other: number | null, unit: string, better: MetricRow['better']): string {
  if (first === null || other === null) return '';
  const text = signed(other - first, unit);
  if (better === null) return text;
  if (text === '±0') return text;
  return `${text} ${other < first === (better === 'lower') ? 'better' : 'worse'}`;
}

/** Heads for the runs: their names where they are short and differ, else numbers that a list above explains. */
function runHeads(
  runs: readonly ComparedRun[],
  columns: number,
): { readonly names: readonly string[]; readonly list: readonly string[] } {
  const names = runs.map(({ name }) => clean(name));
  if (names.every((name) => name !== '' && textWidth(name) <= LONGEST_NAME) && new Set(names).size === names.length)
    return { names, list: [] };
  return {
    names: names.map((_, i) => `run ${i + 1}`),
    list: names.flatMap((name, i) => wrap(`run ${i + 1}: ${name}`, columns, 7)),
  };
}

function block(
  runs: readonly ComparedRun[],
  names: readonly string[],
  layout: Pick<Layout, 'columns' | 'colour'>,
  body: readonly (readonly TableCell[])[],
): string[] {
  const heads: TableHead[] = [
    { head: '', align: 'left', names: true },
    ...runs.flatMap((_, i): TableHead[] => [
      // where there is room, the first run stands beside each of the others
      { head: names[i] as string, part: i, names: i === 0 && layout.columns >= REPEAT_FIRST },
      ...(i === 0 ? [] : [{ head: 'difference', align: 'left' as const, part: i }]),
    ]),
  ];
  return table({ heads, rows: body, ...layout });
}

/**
 * Metrics of several runs, worst of each run first, then event by event where all runs have the same events.
 *
 * Differences are taken from the first run. @returns lines no wider than `columns` (40 at least)
 *
 * @throws RangeError if there are no runs
 */
export function compareTable(runs: readonly ComparedRun[], layout: Pick<Layout, 'columns' | 'colour'>): string[] {
  const first = runs[0]?.scored;
  if (first === undefined) throw new RangeError('nothing to compare: no runs');
  const columns = Math.max(40, Math.floor(layout.columns));
  const paint = palette(layout.colour);
  const { names, list } = runHeads(runs, columns);
  const cells = (
    of: (scored: ComparedRun['scored']) => readonly [TableCell, number | null],
    unit: string,
    better: MetricRow['better'],
  ): TableCell[] =>
    runs.flatMap(({ scored }, i): TableCell[] => {
      const [cell, value] = of(scored);
      return i === 0 ? [cell] : [cell, difference(of(first)[1], value, unit, better)];
    });
  const label = (row: MetricRow): string => `${row.label}, ${row.unit}`;
  const whole: TableCell[][] = [
    ['score', ...cells(({ score }) => [formatNumber(score, 'score'), score], 'score', 'lower')],
    [
      'stalls',
      ...runs.flatMap(({ scored }, i): TableCell[] => {
        const cell = scored.stalled ? (scored.stallTimeS === null ? 'yes' : `at ${seconds(scored.stallTimeS)}`) : 'no';
        return i === 0 ? [cell] : [cell, scored.stalled === first.stalled ? '' : scored.stalled ? 'worse' : 'better'];
      }),
    ],
    [
      'limits missed',
      ...runs.flatMap(({ scored }, i): TableCell[] => {
        const count = String(scored.missed.length);
        const by = scored.missed.length - first.missed.length;
        return i === 0
          ? [count]
          : [count, by === 0 ? '±0' : `${by > 0 ? '+' : '−'}${Math.abs(by)} ${by > 0 ? 'worse' : 'better'}`];
      }),
    ],
    ...METRIC_ROWS.map((row) => [
      label(row),
      ...cells(({ metrics }) => [metricCell(metrics, row), metrics[row.name]], row.unit, row.better),
    ]),
  ];
  const lines = [...list, paint.bold('whole run, worst of its events'), ...block(runs, names, layout, whole)];
  const same = runs.every(
    ({ scored }) =>
      scored.events.length === first.events.length &&
      scored.events.every((event, i) => event.atS === first.events[i]?.atS && event.name === first.events[i]?.name),
  );
  if (!same) return [...lines, ...wrap('the events differ, so only whole runs are compared', columns)];
  const rows = METRIC_ROWS.filter((row) => BY_EVENT.includes(row.name));
  first.events.forEach((event, i) => {
    lines.push('', paint.bold(cut(`${eventKey(i)}: ${clean(event.name)} at ${seconds(event.atS)}`, columns)));
    lines.push(
      ...block(
        runs,
        names,
        layout,
        rows.map((row) => [
          label(row),
          ...cells(({ events }) => [metricCell(events[i] ?? event, row), (events[i] ?? event)[row.name]], row.unit, row.better),
        ]),
      ),
    );
  });
  return lines;
}
