/**
 * What is run: a suite, the keys that vary, and the cells. Plain data, so that it can be sent to a worker; a cell's numbers
 * follow from its index alone, so that a sweep can be cut into stretches and shards and taken up again at any cell.
 */
import type { Scenario } from '../scenario/table.js';
import type { Axis } from './axis.js';
import { cellCount, cellValues } from './grid.js';
import { createDesignPoints, type Design as Sample } from './sampling/design.js';
import type { Range } from './sampling/ranges.js';

/** Cells that are no grid. Each is one number an axis, in the units of the axes. */
export type Design =
  /** These very cells: what an optimiser or a sensitivity analysis asks for. */
  | { readonly kind: 'points'; readonly points: readonly (readonly number[])[] }
  /** Points of a sequence by their number, never laid out. One range an axis, in their order. */
  | { readonly kind: 'sample'; readonly sample: Sample; readonly ranges: readonly Range[] };

export interface Work {
  readonly scenarios: readonly Scenario[];
  /** With a design, its keys and units alone count. */
  readonly axes: readonly Axis[];
  /** The grid of the axes when not given. */
  readonly design?: Design | undefined;
}

/** The cells of a work, by whole number from 0. */
export interface Cells {
  readonly count: number;
  /** One number an axis. @throws RangeError if there is no such cell */
  valuesOf(index: number): readonly number[];
}

function pointCells(axes: readonly Axis[], points: readonly (readonly number[])[]): Cells {
  const wrong = points.findIndex((point) => point.length !== axes.length);
  if (wrong >= 0) throw new RangeError(`cell ${wrong}: ${points[wrong]?.length} numbers for ${axes.length} keys`);
  return {
    count: points.length,
    valuesOf(index) {
      const point = points[index];
      if (point === undefined) throw new RangeError(`cell ${index}: there are ${points.length}, from 0`);
      return point;
    },
  };
}

/** @throws RangeError if the cells of a design do not match the axes */
export function cellsOf({ axes, design }: Pick<Work, 'axes' | 'design'>): Cells {
  if (design === undefined) return { count: cellCount(axes), valuesOf: (index) => cellValues(axes, index) };
  if (design.kind === 'points') return pointCells(axes, design.points);
  return { count: design.sample.count, valuesOf: createDesignPoints(design.sample, design.ranges) };
}

/** Axes that stand for ranges, from end to end: names and units of what a sample varies. */
export const rangeAxes = (ranges: readonly Range[]): Axis[] => ranges.map(({ key, unit, spacing, lo, hi }) => ({ key, unit, spacing, values: [lo, hi] }));
