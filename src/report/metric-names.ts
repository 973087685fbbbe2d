/** How the metrics of a run are called and printed, and which way is better; one row each, in the order of the tables. */
import type { MetricName, Metrics } from '../score/metrics.js';
import { formatNumber } from './numbers.js';
import type { TableCell } from './table.js';

export interface MetricRow {
  readonly name: MetricName;
  readonly label: string;
  readonly unit: string;
  /** Null where neither is better, such as the time of the lowest speed. */
  readonly better: 'lower' | 'higher' | null;
  /** 0 the response to an event, 1 how near it came to stalling, 2 how steady it runs. */
  readonly part: 0 | 1 | 2;
}

export const METRIC_ROWS: readonly MetricRow[] = [
  { name: 'sagRpm', label: 'sag', unit: 'rpm', better: 'lower', part: 0 },
  { name: 'flareRpm', label: 'flare', unit: 'rpm', better: 'lower', part: 0 },
  { name: 'settlingTimeS', label: 'settling', unit: 's', better: 'lower', part: 0 },
  { name: 'overshootPct', label: 'overshoot', unit: '%', better: 'lower', part: 0 },
  { name: 'iaeRpmS', label: 'IAE', unit: 'rpm·s', better: 'lower', part: 0 },
  { name: 'saturatedS', label: 'at clamp', unit: 's', better: 'lower', part: 0 },
  { name: 'lowestRpm', label: 'lowest speed', unit: 'rpm', better: 'higher', part: 1 },
  { name: 'lowestAtS', label: 'lowest at', unit: 's', better: null, part: 1 },
  { name: 'stallMarginRpm', label: 'stall margin', unit: 'rpm', better: 'higher', part: 1 },
  { name: 'stallMarginPct', label: 'stall margin', unit: '%', better: 'higher', part: 1 },
  { name: 'huntingRpm', label: 'hunting', unit: 'rpm', better: 'lower', part: 2 },
  { name: 'huntingHz', label: 'hunting', unit: 'Hz', better: null, part: 2 },
  { name: 'valveTravelPctPerS', label: 'valve travel', unit: '%/s', better: 'lower', part: 2 },
  { name: 'sparkActivityDeg', label: 'spark activity', unit: '°', better: 'lower', part: 2 },
];

/** A metric as a cell: the number, or its absence and why. */
export function metricCell(metrics: Metrics, row: MetricRow): TableCell {
  const value = metrics[row.name];
  return value === null ? { absent: metrics.reasons[row.name] ?? 'not measured' } : formatNumber(value, row.unit);
}
