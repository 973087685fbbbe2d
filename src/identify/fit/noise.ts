/**
 * How far a row's prediction error may be expected to be off: a steady part, and one that grows with how fast the reading
 * moves, since the moment of a reading is only known to within a firing or a row.
 *
 *     σ_k² = a + b·(dy/dt)_k²
 */

export interface NoiseModel {
  /** Standard deviation at rest, in the unit of the values, and of the moment of a reading, s. */
  readonly steady: number;
  readonly jitterS: number;
}

/** Rate of change at each row by differences, per second. */
export function slopes(values: Float64Array, periodS: number): Float64Array {
  return values.map((_, k) => {
    const [from, to] = [Math.max(0, k - 1), Math.min(values.length - 1, k + 1)];
    return to > from ? (values[to]! - values[from]!) / ((to - from) * periodS) : 0;
  });
}

/**
 * Fits the two parts to squared errors: `a` from the half of the rows that move least, `b` from what all have on top.
 *
 * @param least the steady part is no smaller: half a digit of the recorder
 */
export function noiseOf(errors: ArrayLike<number>, rates: ArrayLike<number>, least: number): NoiseModel {
  const n = errors.length;
  const order = Array.from({ length: n }, (_, k) => k).sort((i, j) => Math.abs(rates[i]!) - Math.abs(rates[j]!));
  const half = order.slice(0, Math.max(1, n >> 1));
  const a = Math.max(least * least, half.reduce((sum, k) => sum + errors[k]! ** 2, 0) / half.length);
  // ratio of means, each row weighted by its expected square, so that a single jump does not decide it
  let [top, bottom] = [0, 0];
  for (let k = 0; k < n; k++) {
    const weight = 1 / (a + (0.01 * rates[k]!) ** 2) ** 2;
    top += weight * (errors[k]! ** 2 - a) * rates[k]! ** 2;
    bottom += weight * rates[k]! ** 4;
  }
  return { steady: Math.sqrt(a), jitterS: bottom > 0 ? Math.sqrt(Math.max(0, top / bottom)) : 0 };
}

export const sigmaAt = ({ steady, jitterS }: NoiseModel, rate: number): number => Math.sqrt(steady * steady + (jitterS * rate) ** 2);
