/**
 * Morris's screening: what a step of each input alone does to a result, from many places of its range. Cheap, for many inputs.
 *
 * M. D. Morris, Factorial sampling plans for preliminary computational experiments, Technometrics 33 (1991) 161–174; μ*, the
 * mean size of the effects, from F. Campolongo, J. Cariboni and A. Saltelli, An effective screening design for sensitivity
 * analysis of large models, Environmental Modelling & Software 22 (2007) 1509–1518. Four levels, steps of 2/3 of the range.
 */
import { streamOf } from './sampling/stream.js';
import { type Estimate, interval } from './sensitivity-sobol.js';

const LEVELS = 4;
const STEP = LEVELS / (2 * (LEVELS - 1));

/** Most trajectories; the streams beyond are those of resamples. */
export const MOST_TRAJECTORIES = 2 ** 20;

/** Runs a trajectory takes: its start, and one after each input's step. */
export const morrisRuns = (inputs: number): number => inputs + 1;

interface Trajectory {
  /** Inputs in the order in which they step. */
  readonly order: readonly number[];
  /** Where each starts, in the unit cube, and by how much it steps: ±2/3. */
  readonly start: Float64Array;
  readonly steps: Float64Array;
}

function trajectory(inputs: number, seed: number, index: number): Trajectory {
  const random = streamOf(seed, index);
  const order = Array.from({ length: inputs }, (_, i) => i);
  for (let i = inputs - 1; i > 0; i--) {
    const j = Math.floor(random.uniform() * (i + 1));
    [order[i], order[j]] = [order[j] as number, order[i] as number];
  }
  const start = new Float64Array(inputs);
  const steps = new Float64Array(inputs);
  for (let i = 0; i < inputs; i++) {
    const low = Math.floor(random.uniform() * (LEVELS / 2)) / (LEVELS - 1);
    const up = random.uniform() < 0.5;
    start[i] = up ? low : low + STEP;
    steps[i] = up ? STEP : -STEP;
  }
  return { order, start, steps };
}

/** Points of the design in the unit cube, by run: trajectory ⌊run/(inputs + 1)⌋, then its places in turn. */
export const createMorrisRuns = (inputs: number, seed: number) => (run: number): Float64Array => {
  const runs = morrisRuns(inputs);
  const { order, start, steps } = trajectory(inputs, seed, Math.floor(run / runs));
  const point = start.slice();
  for (const input of order.slice(0, run % runs)) point[input] = (start[input] as number) + (steps[input] as number);
  return point;
};

/** Of elementary effects, each in the result's unit for an input's whole range. */
export interface MorrisEffect {
  /** Mean; against `size` it tells whether the effect keeps its sign. */
  readonly mean: number;
  /** Mean size, μ*. */
  readonly size: number;
  /** Standard deviation, σ (of a sample, n − 1): large where an effect depends on other inputs, or bends. */
  readonly scatter: number;
}

/** @throws RangeError for fewer than two effects */
export function morrisEffect(effects: readonly number[]): MorrisEffect {
  const n = effects.length;
  if (n < 2) throw new RangeError(`Morris: ${n} effects; two at least are wanted`);
  const mean = effects.reduce((sum, effect) => sum + effect, 0) / n;
  const size = effects.reduce((sum, effect) => sum + Math.abs(effect), 0) / n;
  return { mean, size, scatter: Math.sqrt(effects.reduce((sum, effect) => sum + (effect - mean) ** 2, 0) / (n - 1)) };
}

export interface MorrisIndex {
  readonly mean: number;
  readonly size: Estimate;
  readonly scatter: number;
  /** Effects that they are worked out from. */
  readonly used: number;
}

/** Effects below which nothing is given. Assumed. */
const LEAST_EFFECTS = 4;
const RESAMPLES = 400;

/**
 * Effects from the results of the runs, in the order of `createMorrisRuns`; an input with fewer than four whole effects has
 * null. Intervals: percentile bootstrap over effects.
 *
 * @throws RangeError if there are not whole trajectories of results
 */
export function morrisIndices(results: readonly (number | null)[], inputs: number, seed: number): readonly (MorrisIndex | null)[] {
  const runs = morrisRuns(inputs);
  if (results.length % runs !== 0) throw new RangeError(`Morris: ${results.length} results are no whole number of ${runs}`);
  const effects = Array.from({ length: inputs }, (): number[] => []);
  for (let t = 0; t < results.length / runs; t++) {
    const { order, steps } = trajectory(inputs, seed, t);
    order.forEach((input, place) => {
      const [before, after] = [results[t * runs + place], results[t * runs + place + 1]];
      if (before === null || before === undefined || after === null || after === undefined) return;
      effects[input]?.push((after - before) / (steps[input] as number));
    });
  }
  return effects.map((known) => {
    if (known.length < LEAST_EFFECTS) return null;
    const sizes = Array.from({ length: RESAMPLES }, (_, k) => {
      const random = streamOf(seed, MOST_TRAJECTORIES + k);
      return known.reduce((sum) => sum + Math.abs(known[Math.floor(random.uniform() * known.length)] as number), 0) / known.length;
    });
    const { mean, size, scatter } = morrisEffect(known);
    return { mean, size: { value: size, ...interval(sizes) }, scatter, used: known.length };
  });
}
