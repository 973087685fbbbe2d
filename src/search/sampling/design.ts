/** A sampling design: points of the unit cube by number, from plain data that goes to a worker or into a file. */
import { createSobol, MOST_DIMENSIONS, type Sequence } from './sobol.js';
import { pointValues, type Range } from './range.js';
import { streamOf } from './stream.js';

export type DesignKind = 'sobol' | 'random';

/** Points 0 … count − 1. Each depends on `kind`, `seed` and its own index alone: a longer design starts with a shorter one. */
export interface Design {
  /** Evenly spread (a Sobol' sequence, digitally shifted), or each point at random. */
  readonly kind: DesignKind;
  readonly count: number;
  /** Whole number, 0 … 2⁵³ − 1. */
  readonly seed: number;
}

/** Most points of a random design: each has a stream of its own. */
export const MOST_POINTS = 2 ** 21 - 1;

/**
 * The points of a design in the unit cube.
 *
 * @throws RangeError if there are more dimensions than a Sobol' sequence has; when called, if there is no such point
 */
export function designSequence({ kind, count, seed }: Design, dimensions: number): Sequence {
  if (!(Number.isInteger(count) && count >= 1 && count <= MOST_POINTS)) throw new RangeError(`design: ${count} points; from 1 to ${MOST_POINTS} are possible`);
  if (kind === 'sobol' && dimensions > MOST_DIMENSIONS) throw new RangeError(`design: ${dimensions} keys; evenly spread points vary at most ${MOST_DIMENSIONS}, random ones any number`);
  const sobol = kind === 'sobol' ? createSobol(dimensions, seed) : null;
  return (index, out) => {
    if (!(Number.isInteger(index) && index >= 0 && index < count)) throw new RangeError(`design: point ${index}; there are ${count}, from 0`);
    if (sobol !== null) {
      sobol(index, out);
      return;
    }
    // stream 0 is the shift's, that of the points counts from 1
    const random = streamOf(seed, index + 1);
    for (let d = 0; d < dimensions; d++) out[d] = random.uniform();
  };
}

/** Values of a point by its number, one a range, in their units. @throws RangeError as `designSequence` */
export function createDesignPoints(design: Design, ranges: readonly Range[]): (index: number) => number[] {
  const sequence = designSequence(design, ranges.length);
  const point = new Float64Array(ranges.length);
  return (index) => {
    sequence(index, point);
    return pointValues(ranges, point);
  };
}
