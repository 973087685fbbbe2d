/**
 * Numbers of the normal law, mean 0 and variance 1, from a seeded source, with the same bits on every machine: the polar
 * method, G. Marsaglia and T. A. Bray, A convenient method for generating normal variables, SIAM Review 6 (1964) 260–264.
 */
import { log } from '../../numerics/elementary.js';
import type { Random } from '../../numerics/random.js';

/** Fills `out` with independent normal numbers. */
export function fillNormal(random: Random, out: Float64Array): void {
  for (let i = 0; i < out.length; i += 2) {
    let u = 0;
    let v = 0;
    let square = 0;
    do {
      u = 2 * random.uniform() - 1;
      v = 2 * random.uniform() - 1;
      square = u * u + v * v;
    } while (square >= 1 || square === 0);
    const scale = Math.sqrt((-2 * log(square)) / square);
    out[i] = u * scale;
    if (i + 1 < out.length) out[i + 1] = v * scale;
  }
}
