/** How sensitive each metric of a suite is to each setting, over ranges: runs of a design, here or on workers, and its indices. */
import type { Scenario } from '../scenario/index.js';
import { absenceOf, type Objective, objectiveOf } from './objectives.js';
import type { SweepRow } from './evaluate.js';
import { runCells, type RunOptions } from './jobs.js';
import { scenarioLabel } from './keys.js';
import { pointValues, type Range } from './sampling/index.js';
import { createMorrisRuns, MOST_TRAJECTORIES, type MorrisIndex, morrisIndices, morrisRuns } from './sensitivity-morris.js';
import { createSobolRuns, LEAST_BASES, MOST_SOBOL_INPUTS, type SobolIndex, sobolIndices, sobolRuns } from './sensitivity-sobol.js';
import { rangeAxes } from './work.js';

export type SensitivityMethod = 'sobol' | 'morris';

export interface SensitivityOptions extends Omit<RunOptions, 'part'> {
  readonly scenarios: readonly Scenario[];
  /** What varies; every number of a range counts alike. */
  readonly ranges: readonly Range[];
  readonly method: SensitivityMethod;
  /** Base points of `sobol`, each keys + 2 runs; trajectories of `morris`, each keys + 1 runs. */
  readonly samples: number;
  readonly seed: number;
  readonly objectives: readonly Objective[];
  readonly onProgress?: ((progress: { readonly done: number; readonly total: number }) => void) | undefined;
}

/** One metric's indices, one a range, or why there are none. */
export type Indices =
  | { readonly kind: 'sobol'; readonly mean: number; readonly variance: number; readonly indices: readonly SobolIndex[] }
  | { readonly kind: 'morris'; readonly indices: readonly (MorrisIndex | null)[] }
  | { readonly kind: 'none'; readonly reason: string };

export interface MetricSensitivity {
  readonly objective: Objective;
  /** Finished runs without this metric, and why the first of them is. */
  readonly absent: number;
  readonly reason: string | null;
  readonly result: Indices;
}

export interface SensitivityResult {
  readonly method: SensitivityMethod;
  readonly scenarios: readonly string[];
  readonly ranges: readonly Range[];
  readonly samples: number;
  readonly seed: number;
  /** Runs asked for, those finished, and those of them that stall. */
  readonly total: number;
  readonly done: number;
  readonly stalled: number;
  readonly metrics: readonly MetricSensitivity[];
}

/** Most runs; the points of all of them go to each worker. */
export const MOST_RUNS = 200_000;

export const sensitivityRuns = (method: SensitivityMethod, samples: number, keys: number): number => samples * (method === 'sobol' ? sobolRuns(keys) : morrisRuns(keys));

/** Why such an analysis cannot be made, or null. */
export function sensitivityProblem({ method, samples, ranges }: Pick<SensitivityOptions, 'method' | 'samples' | 'ranges'>): string | null {
  if (method === 'sobol' && ranges.length > MOST_SOBOL_INPUTS) return `${ranges.length} keys; sobol takes at most ${MOST_SOBOL_INPUTS}, morris any number`;
  const runs = sensitivityRuns(method, samples, ranges.length);
  if (runs > MOST_RUNS || samples > MOST_TRAJECTORIES) return `${samples} samples of ${ranges.length} keys are ${runs} runs; at most ${MOST_RUNS}`;
  return null;
}

/**
 * Runs an analysis. The result depends on the seed and never on the number of workers.
 *
 * @returns indices from the runs that were finished, when `signal` ended it
 * @throws RangeError when there is nothing to run, too much, or jobs, samples or seed make no sense
 * @throws Error when a worker fails
 */
export async function sensitivity(options: SensitivityOptions): Promise<SensitivityResult> {
  const { scenarios, ranges, method, samples, seed, objectives, onProgress, ...run } = options;
  if (scenarios.length === 0 || ranges.length === 0) throw new RangeError('sensitivity: at least one scenario and one range are wanted');
  if (!(Number.isInteger(samples) && samples >= 1)) throw new RangeError(`samples: ${samples}; a whole number from 1 is wanted`);
  const problem = sensitivityProblem(options);
  if (problem !== null) throw new RangeError(`sensitivity: ${problem}`);

  const total = sensitivityRuns(method, samples, ranges.length);
  const place = method === 'sobol' ? createSobolRuns(ranges.length, seed) : createMorrisRuns(ranges.length, seed);
  const points = Array.from({ length: total }, (_, index) => pointValues(ranges, place(index)));
  const rows = new Array<SweepRow | null>(total).fill(null);
  let done = 0;
  const keep = (finished: readonly SweepRow[]): void => {
    for (const row of finished) rows[row.index] = row;
    done += finished.length;
    onProgress?.({ done, total });
  };
  await runCells({ scenarios, axes: rangeAxes(ranges), design: { kind: 'points', points } }, keep, run);
  const finished = rows.filter((row) => row !== null);
  return {
    method, scenarios: scenarios.map(scenarioLabel), ranges, samples, seed, total, done,
    stalled: finished.filter(({ stalled }) => stalled).length,
    metrics: objectives.map((objective) => measured(objective, rows, finished, options)),
  };
}

function measured(objective: Objective, rows: readonly (SweepRow | null)[], finished: readonly SweepRow[], { method, ranges, seed }: SensitivityOptions): MetricSensitivity {
  const lacking = finished.filter((row) => objectiveOf(row, objective) === null);
  const [first] = lacking;
  const results = rows.map((row) => (row === null ? null : objectiveOf(row, objective)));
  return { objective, absent: lacking.length, reason: first === undefined ? null : absenceOf(first, objective), result: indicesOf(results, method, ranges.length, seed) };
}

function indicesOf(results: readonly (number | null)[], method: SensitivityMethod, keys: number, seed: number): Indices {
  if (method === 'sobol') {
    const found = sobolIndices(results, keys, seed);
    if (typeof found === 'string') return { kind: 'none', reason: found };
    const most = Math.max(...found.indices.map(({ used }) => used));
    if (most < LEAST_BASES) return { kind: 'none', reason: `at most ${most} base points have it with a key changed; ${LEAST_BASES} at least are wanted` };
    return { kind: 'sobol', ...found };
  }
  const indices = morrisIndices(results, keys, seed);
  if (indices.every((index) => index === null)) return { kind: 'none', reason: 'too few trajectories have it for any key' };
  return { kind: 'morris', indices };
}
