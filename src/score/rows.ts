/** A trace made ready for measuring, and what adds up over its rows. */
import type { Trace } from '../loop/trace.js';
import type { Scoring } from './parameters.js';
import { at, DRIVERS, type Window } from './windows.js';

/** A trace made ready for measuring. */
export interface Rows {
  readonly trace: Trace;
  readonly error: Float64Array;
  readonly idle: Uint8Array;
  readonly driver: Uint8Array;
  readonly scoring: Scoring;
}

/** Root mean square of a column about its mean. */
export function deviation(column: Float64Array, from: number, to: number): number {
  const rows = column.subarray(from, to);
  const mean = rows.reduce((sum, value) => sum + value, 0) / rows.length;
  return Math.sqrt(rows.reduce((sum, value) => sum + (value - mean) ** 2, 0) / rows.length);
}

export function travel(column: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let k = from + 1; k < to; k++) sum += Math.abs(at(column, k) - at(column, k - 1));
  return sum;
}

/** Integral of absolute error (trapezoids) over rows that are the idle's own or, the driver aside, below target. */
export function errorIntegral({ trace, error, idle, driver }: Rows, { from, to }: Window): number | null {
  const { timeS } = trace.columns;
  const counts = (k: number): boolean => idle[k] !== DRIVERS || (driver[k] === 0 && at(error, k) < 0);
  let sum: number | null = null;
  for (let k = from; k + 1 < to; k++) {
    if (!counts(k) || !counts(k + 1)) continue;
    sum = (sum ?? 0) + ((Math.abs(at(error, k)) + Math.abs(at(error, k + 1))) / 2) * (at(timeS, k + 1) - at(timeS, k));
  }
  return sum;
}

/** Time with the air command at a limit of its clamp, s: each row holds until the next. */
export function timeAtStop({ trace }: Rows, { from, to }: Window): number {
  const { timeS, atStop } = trace.columns;
  let sum = 0;
  for (let k = from; k + 1 < to; k++) if (at(atStop, k) > 0) sum += at(timeS, k + 1) - at(timeS, k);
  return sum;
}
