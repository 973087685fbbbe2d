/**
 * The speed error averaged over one engine cycle, two revolutions at the target, so that the scatter from firing to firing
 * does not decide whether the speed has settled. Slower wander, which a driver feels, is left in.
 */
import { settle, type Settling, type Samples } from './step.js';

/** Rows on either side of the middle one that make up a cycle; none where the target gives no cycle. */
export const halfCycle = (targetRpm: number, recordS: number): number => (targetRpm > 0 ? Math.round(60 / targetRpm / recordS) : 0);

/** Mean of each row `from` … `to` − 1 with `half` rows on either side, as far as there are any; 0 elsewhere. */
export function cycleMean(error: Float64Array, from: number, to: number, half: number): Float64Array {
  const sums = new Float64Array(Math.max(0, to - from) + 1);
  for (let k = from; k < to; k++) sums[k - from + 1] = (sums[k - from] as number) + (error[k] as number);
  return Float64Array.from({ length: to }, (_, k) => {
    if (k < from) return 0;
    const low = Math.max(from, k - half) - from;
    const high = Math.min(to - 1, k + half) - from;
    return ((sums[high + 1] as number) - (sums[low] as number)) / (high + 1 - low);
  });
}

/**
 * Settling of the cycle mean. Where the speed itself passes the edge of the band just once within a cycle of where its mean
 * does, there is no scatter about the edge, and the time is the speed's own: a smooth curve settles when it settles, and a
 * mean's bend by its curvature does not show.
 *
 * @param mean of `error`, over 2·`half` + 1 rows; the rest as for `settle`
 */
export function settleOnMean(
  t: Samples, error: Float64Array, mean: Float64Array, half: number, from: number, to: number, band: number, holdS: number, startS: number,
): Settling {
  const outside = (values: Float64Array, k: number): boolean => Math.abs(values[k] as number) > band;
  let last = to - 1;
  while (last >= from && !outside(mean, last)) last--;
  if (last < from || last === to - 1) return settle(t, mean, from, to, band, holdS, startS);
  const low = Math.max(from, last - 2 * half);
  const high = Math.min(to - 1, last + 1 + 2 * half);
  let passes = 0;
  for (let k = low; k < high; k++) if (outside(error, k) !== outside(error, k + 1)) passes++;
  if (passes !== 1 || outside(error, high)) return settle(t, mean, from, to, band, holdS, startS);
  const joined = mean.slice();
  joined.set(error.subarray(low, high + 1), low);
  return settle(t, joined, from, to, band, holdS, startS);
}
