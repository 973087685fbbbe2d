/**
 * A sweep: every cell of a grid run and scored, here or on worker threads, and ranked. Each row depends on its index
 * alone, so the result is the same for any number of jobs.
 */
import type { Axis } from './axis.js';
import { evaluate, type Outcome, type SweepRow } from './evaluate.js';
import { cellCount } from './grid.js';
import { runHere, runOnThreads } from './jobs.js';
import { createKeyFinder, scenarioLabel } from './keys.js';
import { rank } from './rank.js';
import { stretches, type Work } from './stretch.js';

export interface SweepOptions extends Work {
  /** Worker threads; 1 runs everything here. */
  readonly jobs: number;
  /** Called after each stretch with the number of cells done, of all. */
  readonly onProgress?: ((progress: { readonly done: number; readonly total: number }) => void) | undefined;
  /** Ends the sweep early; what is finished is kept. */
  readonly signal?: AbortSignal | undefined;
  /** JavaScript file of the worker; that of the library when not given. */
  readonly workerUrl?: URL | undefined;
}

/** The suite as it is, with what the varied keys are now. */
export interface StartingPoint extends Outcome {
  /** One an axis, in the units of the axes; null where the key is absent, or differs within the suite. */
  readonly values: readonly (number | null)[];
}

export interface SweepResult {
  readonly axes: readonly Axis[];
  /** Names of the scenarios of the suite. */
  readonly scenarios: readonly string[];
  readonly starting: StartingPoint;
  /** Finished cells by ascending index; all of them when `complete`. */
  readonly rows: readonly SweepRow[];
  /**
   * Places in `rows`, best first: cells that run through by score, then those that stall by score, then those that could
   * not be run; equal scores by index.
   */
  readonly ranking: readonly number[];
  /** Cells of the grid. */
  readonly total: number;
  readonly complete: boolean;
}

/** A sweep that broke off, and what had been finished by then. */
export class SweepError extends Error {
  override readonly name = 'SweepError';
  constructor(
    message: string,
    readonly result: SweepResult,
    cause: unknown,
  ) {
    super(message, { cause });
  }
}

/**
 * Runs a sweep.
 *
 * @returns finished rows, marked incomplete when `signal` ended it
 * @throws RangeError when there is nothing to run, or `jobs` is no whole number from 1 to 256
 * @throws SweepError when a cell or a worker fails for another reason than values that contradict each other
 */
export async function sweep(options: SweepOptions): Promise<SweepResult> {
  const { scenarios, axes, jobs, onProgress, signal } = options;
  if (scenarios.length === 0 || axes.length === 0) throw new RangeError('sweep: at least one scenario and one axis are wanted');
  if (!Number.isInteger(jobs) || jobs < 1 || jobs > 256) throw new RangeError(`jobs: ${jobs}; a whole number from 1 to 256 is wanted`);

  const find = createKeyFinder(scenarios);
  const present = axes.map(({ key }) => {
    const known = find(key);
    if (typeof known === 'string') throw new RangeError(`${key}: ${known}`);
    return known.value;
  });
  const starting: StartingPoint = { values: present, ...evaluate(scenarios, new Map()) };
  const total = cellCount(axes);
  const finished: SweepRow[] = [];
  const result = (): SweepResult => {
    const rows = finished.sort((a, b) => a.index - b.index);
    return { axes, scenarios: scenarios.map(scenarioLabel), starting, rows, ranking: rank(rows), total, complete: rows.length === total };
  };
  const keep = (rows: readonly SweepRow[]): void => {
    for (const row of rows) finished.push(row);
    onProgress?.({ done: finished.length, total });
  };

  const work: Work = { scenarios, axes };
  const parts = stretches(work, jobs);
  try {
    if (jobs === 1) await runHere(work, parts, keep, signal);
    else {
      const workerUrl = options.workerUrl ?? new URL('./worker.js', import.meta.url);
      await runOnThreads(work, parts, Math.min(jobs, parts.length), keep, signal, workerUrl);
    }
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new SweepError(`sweep: ${why}; ${finished.length} of ${total} cells were finished`, result(), error);
  }
  return result();
}
