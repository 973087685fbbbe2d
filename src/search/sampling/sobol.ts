/**
 * Sobol' sequences: points that fill the unit cube more evenly than chance does, so that averages over it converge faster.
 *
 * Any point is found from its index alone, so shards and resumed runs need nothing of those before it.
 *
 * I. M. Sobol', USSR Computational Mathematics and Mathematical Physics 7 (1967) 86–112; in the order of I. A. Antonov and
 * V. M. Saleev (1979), which takes the directions that stand in the Gray code of the index.
 */
import { DIRECTIONS } from './direction-numbers.js';
import { streamOf } from './stream.js';

const BITS = 32;

/** Most dimensions there are direction numbers for. */
export const MOST_DIMENSIONS = DIRECTIONS.length + 1;

/** Direction numbers of a dimension, counted from 0, as fractions of 2³². */
function directionsOf(dimension: number): Uint32Array {
  const v = new Uint32Array(BITS);
  const known = DIRECTIONS[dimension - 1];
  for (let i = 0; i < BITS; i++) {
    if (known === undefined) {
      v[i] = 2 ** (BITS - 1 - i);
      continue;
    }
    const { polynomial, first } = known;
    const degree = first.length;
    if (i < degree) {
      v[i] = (first[i] as number) * 2 ** (BITS - 1 - i);
      continue;
    }
    const back = v[i - degree] as number;
    let next = back ^ (back >>> degree);
    for (let k = 1; k < degree; k++) if ((polynomial >>> (degree - 1 - k)) & 1) next ^= v[i - k] as number;
    v[i] = next;
  }
  return v;
}

/** A sequence: fills `out` with the point of this index, each coordinate in [0, 1), a multiple of 2⁻³². */
export type Sequence = (index: number, out: Float64Array) => void;

/**
 * A Sobol' sequence in so many dimensions.
 *
 * @param seed shifts all points by random bits, a digital shift, which keeps them as even as they were and off the cube's
 *   corner (P. L'Ecuyer and C. Lemieux, Recent advances in randomized quasi-Monte Carlo methods, 2002); null for the sequence
 *   as published, whose point 0 is the origin
 * @throws RangeError if there are no such dimensions, seed, or (when called) index: whole numbers from 0 to 2³² − 1
 */
export function createSobol(dimensions: number, seed: number | null): Sequence {
  if (!(Number.isInteger(dimensions) && dimensions >= 1 && dimensions <= MOST_DIMENSIONS)) {
    throw new RangeError(`Sobol' sequence: ${dimensions} dimensions; there are from 1 to ${MOST_DIMENSIONS}`);
  }
  const directions = Array.from({ length: dimensions }, (_, d) => directionsOf(d));
  const random = seed === null ? null : streamOf(seed, 0);
  const shift = Uint32Array.from(directions, () => (random === null ? 0 : random.uniform() * 2 ** BITS));
  return (index, out) => {
    if (!(Number.isInteger(index) && index >= 0 && index < 2 ** BITS)) throw new RangeError(`Sobol' sequence: no point ${index}`);
    const gray = index ^ (index >>> 1);
    for (let d = 0; d < dimensions; d++) {
      const v = directions[d] as Uint32Array;
      let word = shift[d] as number;
      for (let rest = gray, i = 0; rest !== 0; rest >>>= 1, i++) if (rest & 1) word ^= v[i] as number;
      out[d] = (word >>> 0) / 2 ** BITS;
    }
  };
}
