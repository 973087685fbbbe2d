/** Margins of an idle as a table, for those who read them, beside the sentences of margins-words.ts. */
import type { BreakName } from '../linear/idle-loops.js';
import type { IdleMargins } from '../linear/idle.js';
import type { MarginName, Margins } from '../linear/margins.js';
import type { Layout } from './chart.js';
import { formatNumber } from './numbers.js';
import { table, type TableCell } from './table.js';

/** What each loop is called, the order of the rows. */
export const LOOP_NAMES: Readonly<Record<BreakName, string>> = {
  air: 'air loop',
  spark: 'spark loop',
  both: 'both, at the speed',
  airBreak: 'at the air valve',
  sparkBreak: 'at the spark',
};

/** Three significant digits, noughts kept: 2.00 is not 2. */
export const threeDigits = (value: number): string => (Math.abs(value) >= 100 ? formatNumber(Math.round(value)) : value.toPrecision(3).replace('-', '−'));

/** Rows of the loops that act. @returns lines no wider than `columns` */
export function marginsTable({ loops }: IdleMargins, layout: Pick<Layout, 'columns' | 'colour'>): string[] {
  const names = Object.keys(LOOP_NAMES) as BreakName[];
  const rows = names.flatMap((name) => (loops[name] === null ? [] : [[LOOP_NAMES[name], ...cellsOf(loops[name], name)]]));
  return table({
    heads: [
      { head: 'loop', align: 'left', names: true },
      { head: 'gain margin', unit: '×' },
      { head: 'hunts at', unit: 'Hz' },
      { head: 'phase margin', unit: '°' },
      { head: 'delay margin', unit: 'ms' },
      { head: 'Ms' },
      { head: 'crosses at', unit: 'Hz' },
      { head: 'follows to', unit: 'Hz' },
    ],
    rows,
    columns: layout.columns,
    colour: layout.colour,
  });
}

function cellsOf(margins: Margins, name: BreakName): TableCell[] {
  const cell = (key: MarginName, write: (value: number) => string): TableCell => {
    const value = margins[key];
    return value === null ? { absent: margins.reasons[key] ?? 'not there' } : write(value);
  };
  const hertz = (value: number): string => formatNumber(value / (2 * Math.PI), 'Hz');
  return [
    cell('gainMargin', threeDigits),
    cell('gainMarginAt', hertz),
    cell('phaseMarginDeg', (value) => formatNumber(value, '°BTDC')),
    cell('delayMarginS', (value) => formatNumber(Math.round(1e3 * value))),
    cell('ms', threeDigits),
    cell('crossover', hertz),
    name === 'sparkBreak' ? { absent: 'the air takes slow errors over, so there is nothing for the spark to follow' } : cell('bandwidth', hertz),
  ];
}
