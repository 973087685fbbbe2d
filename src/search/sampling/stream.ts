/** One seed, and from it as many streams of random numbers as are wanted, each found by its number. */
import { createRandom, type Random } from '../../numerics/random.js';

const STREAMS = 2 ** 21;

/**
 * The stream of this number: what a design's point, a generation of an optimiser or a resample draws from, whatever was
 * drawn before it.
 *
 * The seed is hashed to 32 bits first, so that neighbouring seeds share no stream.
 *
 * @param seed whole number, 0 … 2⁵³ − 1   @param index whole number, 0 … 2²¹ − 1
 * @throws RangeError on any other
 */
export function streamOf(seed: number, index: number): Random {
  if (!(Number.isInteger(index) && index >= 0 && index < STREAMS)) throw new RangeError(`stream ${index}: a whole number from 0 to ${STREAMS - 1} is wanted`);
  const [word = 0] = createRandom(seed).state();
  return createRandom(word * STREAMS + index);
}
