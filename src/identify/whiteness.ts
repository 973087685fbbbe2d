/**
 * Whether residuals are white: nothing in one tells of the next.
 *
 *     r_k = Σ (e_t − m)(e_{t−k} − m) / Σ (e_t − m)²        Q = N(N + 2) Σ r_k²/(N − k) ~ χ²(lags − fitted)
 *
 * G. M. Ljung and G. E. P. Box, Biometrika 65, 1978. Of the lags one in twenty lies outside the 95 % band by chance, so one
 * outside is no verdict: Q is.
 */
import { chiSquaredTail, normalQuantile } from './distributions.js';

export interface Whiteness {
  /** r_1 … r_lags. */
  readonly autocorrelation: Float64Array;
  /** ± this holds 95 % of the r_k of white noise. */
  readonly band: number;
  /** Lags, from 1, whose r_k lie outside the band. */
  readonly outside: readonly number[];
  /** Ljung and Box's Q, and the probability that white noise gives a larger one. */
  readonly q: number;
  readonly p: number;
  /** p ≥ 0.05. */
  readonly white: boolean;
}

const LEVEL = 0.05;

/**
 * @param residuals evenly spaced  @param lags fewer than the residuals  @param fitted parameters of a model of the noise itself
 * @throws RangeError when there are too few residuals or too few lags
 * @returns null when the residuals are all the same
 */
export function whiteness(residuals: Float64Array, lags = 20, fitted = 0): Whiteness | null {
  const n = residuals.length;
  if (!(lags > fitted && lags < n)) throw new RangeError(`${lags} lags of ${n} residuals with ${fitted} fitted: more lags than fitted and fewer than residuals are wanted`);
  const mean = residuals.reduce((sum, e) => sum + e, 0) / n;
  const power = residuals.reduce((sum, e) => sum + (e - mean) ** 2, 0);
  if (power === 0) return null;
  const autocorrelation = new Float64Array(lags);
  let q = 0;
  for (let k = 1; k <= lags; k++) {
    let sum = 0;
    for (let t = k; t < n; t++) sum += (residuals[t]! - mean) * (residuals[t - k]! - mean);
    autocorrelation[k - 1] = sum / power;
    q += (sum / power) ** 2 / (n - k);
  }
  q *= n * (n + 2);
  const band = normalQuantile(1 - LEVEL / 2) / Math.sqrt(n);
  const p = chiSquaredTail(q, lags - fitted);
  const outside = Array.from(autocorrelation).flatMap((r, k) => (Math.abs(r) > band ? [k + 1] : []));
  return { autocorrelation, band, outside, q, p, white: p >= LEVEL };
}
