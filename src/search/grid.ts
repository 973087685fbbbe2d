/** The cells of a product of axes, by whole number; the last axis runs fastest. Never laid out in memory. */
import type { Axis } from './axis.js';

/** How many cells a product of axes has; 1 for no axes. */
export const cellCount = (axes: readonly Axis[]): number => axes.reduce((product, axis) => product * axis.values.length, 1);

/**
 * Values of a cell, one an axis, in the units of the axes.
 *
 * @throws RangeError if there is no such cell
 */
export function cellValues(axes: readonly Axis[], index: number): number[] {
  const count = cellCount(axes);
  if (!Number.isInteger(index) || index < 0 || index >= count) throw new RangeError(`cell ${index}: there are ${count}, from 0`);
  const values = new Array<number>(axes.length);
  let rest = index;
  for (let a = axes.length - 1; a >= 0; a--) {
    const along = axes[a]?.values as readonly number[];
    values[a] = along[rest % along.length] as number;
    rest = Math.floor(rest / along.length);
  }
  return values;
}

/**
 * Index of the cell at these places along the axes, each counted from 0.
 *
 * @throws RangeError if a place is missing or not on its axis
 */
export function cellIndex(axes: readonly Axis[], places: readonly number[]): number {
  if (places.length !== axes.length) throw new RangeError(`cell: ${places.length} places for ${axes.length} axes`);
  let index = 0;
  for (const [a, axis] of axes.entries()) {
    const place = places[a] as number;
    const { length } = axis.values;
    if (!Number.isInteger(place) || place < 0 || place >= length) throw new RangeError(`${axis.key}: place ${place}; there are ${length}, from 0`);
    index = index * length + place;
  }
  return index;
}
