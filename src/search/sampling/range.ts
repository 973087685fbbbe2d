/**
 * A key and the range that a sample takes it from: evenly likely, or its logarithm evenly likely. A key of whole numbers
 * takes each of lo … hi evenly. Values are rounded to 15 digits, so that the number read off a table is the number that ran.
 *
 * Workers load this file, so it reads no text and knows no units.
 */
import { pow } from '../../numerics/elementary.js';

export interface Range {
  /** Path of the key, such as `controller.pid.ki`. */
  readonly key: string;
  /** Documented unit of the values; '' for a plain number. */
  readonly unit: string;
  readonly spacing: 'linear' | 'log';
  /** In `unit`, `lo` below `hi`. */
  readonly lo: number;
  readonly hi: number;
  /** Whether only whole numbers are meant. */
  readonly integer: boolean;
}

const tidy = (value: number): number => Number(value.toPrecision(15));

/** The value at a place of the range, 0 at its start and 1 at its end. */
export function rangeValue({ lo, hi, spacing, integer }: Range, place: number): number {
  if (integer && spacing === 'linear') return Math.min(hi, lo + Math.floor(place * (hi - lo + 1)));
  if (place <= 0) return lo;
  if (place >= 1) return hi;
  const value = tidy(spacing === 'log' ? lo * pow(hi / lo, place) : lo + place * (hi - lo));
  return Math.min(hi, Math.max(lo, integer ? Math.round(value) : value));
}

/** Values of a point of the unit cube, one a range, in the units of the ranges. */
export const pointValues = (ranges: readonly Range[], point: ArrayLike<number>): number[] =>
  ranges.map((range, d) => rangeValue(range, point[d] as number));
