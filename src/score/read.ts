/** Reading a trace as one reads a chart: a value at a time, the lowest in a stretch, when something first happens. */
import type { ColumnName, Trace } from '../loop/trace.js';

/** Row at a time, s; the first or the last where the trace does not reach it. */
const rowAt = ({ rows, recordS }: Trace, atS: number): number => Math.max(0, Math.min(rows - 1, Math.round(atS / recordS)));

export const at = (trace: Trace, column: ColumnName, atS: number): number => trace.columns[column][rowAt(trace, atS)]!;

/** A value and its time, s. */
export interface Point {
  readonly value: number;
  readonly atS: number;
}

function extreme(trace: Trace, column: ColumnName, fromS: number, toS: number, sign: 1 | -1): Point {
  let best = rowAt(trace, fromS);
  const values = trace.columns[column];
  for (let k = best; k <= rowAt(trace, toS); k++) if (sign * values[k]! > sign * values[best]!) best = k;
  return { value: values[best]!, atS: trace.columns.timeS[best]! };
}

export const lowest = (trace: Trace, column: ColumnName, fromS: number, toS = Number.POSITIVE_INFINITY): Point => extreme(trace, column, fromS, toS, -1);
export const highest = (trace: Trace, column: ColumnName, fromS: number, toS = Number.POSITIVE_INFINITY): Point => extreme(trace, column, fromS, toS, 1);

/** First time from `fromS` on at which the row satisfies; null when it never does. */
export function firstS(trace: Trace, fromS: number, is: (value: (column: ColumnName) => number) => boolean): number | null {
  for (let k = rowAt(trace, fromS); k < trace.rows; k++) if (is((column) => trace.columns[column][k]!)) return trace.columns.timeS[k]!;
  return null;
}

export function mean(trace: Trace, column: ColumnName, fromS: number, toS: number): number {
  const [from, to] = [rowAt(trace, fromS), rowAt(trace, toS)];
  let sum = 0;
  for (let k = from; k <= to; k++) sum += trace.columns[column][k]!;
  return sum / (to - from + 1);
}

/** Root of the mean square about the mean. */
export function wobble(trace: Trace, column: ColumnName, fromS: number, toS: number): number {
  const [from, to, middle] = [rowAt(trace, fromS), rowAt(trace, toS), mean(trace, column, fromS, toS)];
  let sum = 0;
  for (let k = from; k <= to; k++) sum += (trace.columns[column][k]! - middle) ** 2;
  return Math.sqrt(sum / (to - from + 1));
}

/** Torque left over to turn the crank faster at a time, N·m; negative slows it. */
export const surplus = (trace: Trace, atS: number): number =>
  at(trace, 'indicatedNm', atS) - at(trace, 'pumpingNm', atS) - at(trace, 'frictionNm', atS) - at(trace, 'loadNm', atS) - at(trace, 'clutchNm', atS);

/** When the throttle has shut after it was open, s; null when it never does. */
export function throttleShutS(trace: Trace): number | null {
  const openS = firstS(trace, 0, (value) => value('throttlePct') > 1);
  return openS === null ? null : firstS(trace, openS, (value) => value('throttlePct') < 0.5);
}
