/**
 * Sobol' indices: how much of a result's variance each input makes, alone (first) and with all that it does together with
 * others (total), while all inputs move through their ranges at once.
 *
 * Design and first index: A. Saltelli et al., Variance based sensitivity analysis of model output, Computer Physics
 * Communications 181 (2010) 259–270, table 2 (b); total index: M. J. W. Jansen, Analysis of variance designs for model
 * output, ibid. 117 (1999) 35–43, table 2 (f) there. Intervals: percentile bootstrap over base points, B. Efron and R. J.
 * Tibshirani, An Introduction to the Bootstrap, 1993, ch. 13. As base points are spread evenly, and not at random, these
 * intervals are rather too wide than too narrow.
 */
import { createSobol, MOST_DIMENSIONS, streamOf } from './sampling/index.js';

/** A number with the interval that holds it in 95 of 100 resamples. */
export interface Estimate {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** Most inputs: each takes two dimensions of the sequence. */
export const MOST_SOBOL_INPUTS = MOST_DIMENSIONS / 2;

/** Runs a base point takes: A, B, and for each input A with that input's number from B. */
export const sobolRuns = (inputs: number): number => inputs + 2;

/**
 * Points of the design in the unit cube, by run: base point ⌊run/(inputs + 2)⌋, then A, B, and A with input 0, 1, … of B.
 *
 * @throws RangeError if there are more than 20 inputs, or (when called) no such run
 */
export function createSobolRuns(inputs: number, seed: number): (run: number) => Float64Array {
  if (!(inputs >= 1 && inputs <= MOST_SOBOL_INPUTS)) throw new RangeError(`Sobol' indices: ${inputs} inputs; from 1 to ${MOST_SOBOL_INPUTS} are possible`);
  const sequence = createSobol(2 * inputs, seed);
  const pair = new Float64Array(2 * inputs);
  return (run) => {
    const runs = sobolRuns(inputs);
    sequence(Math.floor(run / runs), pair);
    const place = run % runs;
    const point = pair.slice(place === 1 ? inputs : 0, place === 1 ? 2 * inputs : inputs);
    if (place >= 2) point[place - 2] = pair[inputs + place - 2] as number;
    return point;
  };
}

export interface SobolIndex {
  /** Shares of the variance; null where too few base points are whole. An estimate may fall a little below 0 or above 1. */
  readonly first: Estimate | null;
  readonly total: Estimate | null;
  /** Base points that they are worked out from. */
  readonly used: number;
}

export interface SobolIndices {
  readonly mean: number;
  readonly variance: number;
  /** One an input. */
  readonly indices: readonly SobolIndex[];
}

/** Base points below which no index is given. Assumed: so few say nothing. */
export const LEAST_BASES = 8;
/** Range below which a result does not vary but for rounding, as a share of its size. */
const ROUNDING = 1e-9;
const RESAMPLES = 400;

/**
 * Indices from the results of the runs, in the order of `createSobolRuns`. A base point that lacks a result is left out of
 * the indices that need it.
 *
 * @returns why there are none, where there are none
 * @throws RangeError if there are not whole base points of results
 */
export function sobolIndices(results: readonly (number | null)[], inputs: number, seed: number): SobolIndices | string {
  const runs = sobolRuns(inputs);
  if (results.length % runs !== 0) throw new RangeError(`Sobol' indices: ${results.length} results are no whole number of ${runs}`);
  const bases = results.length / runs;
  const at = (base: number, place: number): number | null => results[base * runs + place] as number | null;
  const pairs = Array.from({ length: bases }, (_, base) => base).filter((base) => at(base, 0) !== null && at(base, 1) !== null);
  if (pairs.length < LEAST_BASES) return `${pairs.length} of ${bases} base points have it; ${LEAST_BASES} at least are wanted`;
  const known = pairs.flatMap((base) => [at(base, 0) as number, at(base, 1) as number]);
  const all = results.filter((value) => value !== null);
  const size = all.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  if (all.reduce((a, b) => Math.max(a, b)) - all.reduce((a, b) => Math.min(a, b)) <= ROUNDING * size) return 'it does not vary';
  const mean = known.reduce((sum, value) => sum + value, 0) / known.length;
  const variance = known.reduce((sum, value) => sum + (value - mean) ** 2, 0) / known.length;

  const indices = Array.from({ length: inputs }, (_, input): SobolIndex => {
    const used = pairs.filter((base) => at(base, 2 + input) !== null);
    if (used.length < LEAST_BASES) return { first: null, total: null, used: used.length };
    const a = Float64Array.from(used, (base) => (at(base, 0) as number) - mean); // about the mean: less noise in `first`
    const b = Float64Array.from(used, (base) => (at(base, 1) as number) - mean);
    const mixed = Float64Array.from(used, (base) => (at(base, 2 + input) as number) - mean);
    const ofAll = shares(a, b, mixed, Uint32Array.from(used, (_, i) => i));
    const places = new Uint32Array(used.length);
    const resampled: { first: number; total: number }[] = [];
    for (let k = 0; k < RESAMPLES; k++) {
      const random = streamOf(seed, k + 1);
      for (let i = 0; i < places.length; i++) places[i] = random.uniform() * places.length; // whole numbers are kept of it
      const drawn = shares(a, b, mixed, places);
      if (drawn !== null) resampled.push(drawn);
    }
    if (ofAll === null) return { first: null, total: null, used: used.length };
    const estimate = (name: 'first' | 'total'): Estimate => ({ value: ofAll[name], ...interval(resampled.map((each) => each[name])) });
    return { first: estimate('first'), total: estimate('total'), used: used.length };
  });
  return { mean, variance, indices };
}

function shares(a: Float64Array, b: Float64Array, mixed: Float64Array, places: Uint32Array): { first: number; total: number } | null {
  let [sum, squares, first, total] = [0, 0, 0, 0];
  for (let i = 0; i < a.length; i++) {
    const p = places[i] as number;
    const [fa, fb, fm] = [a[p] as number, b[p] as number, mixed[p] as number];
    sum += fa + fb;
    squares += fa * fa + fb * fb;
    first += fb * (fm - fa);
    total += (fa - fm) ** 2;
  }
  const n = a.length;
  const variance = squares / (2 * n) - (sum / (2 * n)) ** 2;
  return variance > 0 ? { first: first / n / variance, total: total / (2 * n) / variance } : null;
}

/** What 95 of 100 lie within. */
export function interval(values: readonly number[]): { readonly low: number; readonly high: number } {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.min(sorted.length - 1, Math.max(0, Math.round(share * (sorted.length - 1))))] as number;
  return { low: at(0.025), high: at(0.975) };
}
