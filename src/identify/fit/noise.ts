/**
 * How far a row's prediction error may be expected to be off:
 *
 *     σ_k² = a + b·(∂ŷ_k/∂age)² + c·(∂ŷ_k/∂shift)²
 *
 *     a        at rest: the reading's noise and digits, roughness
 *     b        a reading's age is only known to within a firing or so
 *     c        a command changes somewhere between two rows of the log
 *
 * The derivatives are the model's own, of a prediction that knows the rows before k alone. A weight that is made from the
 * measured slope would hang together with the noise of the row that it weighs: it takes rows in which the noise hastens a
 * change for worse than those in which it hinders it, and so makes every response too small and the inertia too large.
 */

export interface NoiseModel {
  /** Standard deviation at rest, in the unit of the values; of the moment of a reading, and of a command, s. */
  readonly steady: number;
  readonly readingS: number;
  readonly commandS: number;
}

/** ∂ŷ_k/∂age and ∂ŷ_k/∂shift, one a row, per second. */
export interface Timing {
  readonly age: Float64Array;
  readonly shift: Float64Array;
}

export const sigmaAt = ({ steady, readingS, commandS }: NoiseModel, age: number, shift: number): number => Math.sqrt(steady ** 2 + (readingS * age) ** 2 + (commandS * shift) ** 2);

const PASSES = 60;

/**
 * Fits the three parts to errors by maximum likelihood, each by its own ratio of expected to found; the parts stay positive.
 * D. A. Harville, Journal of the American Statistical Association 72, 1977, section 5 (variance components, the iteration).
 *
 * @param least the steady part is no smaller: half a digit of the recorder
 */
export function noiseOf(errors: ArrayLike<number>, { age, shift }: Timing, start: NoiseModel, least: number): NoiseModel {
  const parts = [start.steady ** 2, start.readingS ** 2, start.commandS ** 2];
  const share = new Float64Array(3);
  for (let pass = 0; pass < PASSES; pass++) {
    const found = [0, 0, 0];
    const expected = [0, 0, 0];
    for (let k = 0; k < errors.length; k++) {
      share[0] = 1;
      share[1] = age[k]! ** 2;
      share[2] = shift[k]! ** 2;
      const variance = parts[0]! + parts[1]! * share[1] + parts[2]! * share[2];
      for (let i = 0; i < 3; i++) {
        found[i] = found[i]! + (share[i]! * errors[k]! ** 2) / variance ** 2;
        expected[i] = expected[i]! + share[i]! / variance;
      }
    }
    for (let i = 0; i < 3; i++) if (expected[i]! > 0) parts[i] = parts[i]! * Math.sqrt(found[i]! / expected[i]!);
    parts[0] = Math.max(parts[0]!, least * least);
  }
  return { steady: Math.sqrt(parts[0]!), readingS: Math.sqrt(parts[1]!), commandS: Math.sqrt(parts[2]!) };
}
