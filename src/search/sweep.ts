/**
 * A sweep: every cell of a grid run and scored, here or on worker threads, and ranked. Each row depends on its index
 * alone, so the result is the same for any number of jobs.
 */
import type { Scenario } from '../scenario/index.js';
import type { Axis } from './axis.js';
import { evaluate, type Outcome, type SweepRow } from './evaluate.js';
import { checkJobs, runCells } from './jobs.js';
import { createKeyFinder, scenarioLabel } from './keys.js';
import { rank } from './rank.js';
import { cellsOf, type Work } from './work.js';

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

/** A sweep's rows, wherever they are kept. */
export interface SweptRows {
  readonly axes: readonly Axis[];
  /** Names of the scenarios of the suite. */
  readonly scenarios: readonly string[];
  readonly starting: StartingPoint;
  /** Finished cells by ascending index; all of them when `complete`. May be gone through several times. */
  readonly rows: Iterable<SweepRow>;
  /**
   * Places in `rows`, best first: cells that run through by score, then those that stall by score, then those that could
   * not be run; equal scores by index.
   */
  readonly ranking: readonly number[];
  /** Cells of the sweep. */
  readonly total: number;
  readonly complete: boolean;
}

export interface SweepResult extends SweptRows {
  readonly rows: readonly SweepRow[];
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

/** Names of the scenarios of a suite. */
export const scenarioNames = (scenarios: readonly Scenario[]): string[] => scenarios.map(scenarioLabel);

/** The suite as it is. @throws RangeError for a key that a sweep cannot vary */
export function startingPoint(scenarios: readonly Scenario[], axes: readonly Axis[]): StartingPoint {
  const find = createKeyFinder(scenarios);
  const values = axes.map(({ key }) => {
    const known = find(key);
    if (typeof known === 'string') throw new RangeError(`${key}: ${known}`);
    return known.value;
  });
  return { values, ...evaluate(scenarios, new Map()) };
}

/**
 * Runs a sweep.
 *
 * @returns finished rows, marked incomplete when `signal` ended it
 * @throws RangeError when there is nothing to run, or `jobs` is no whole number from 1 to 256
 * @throws SweepError when a cell or a worker fails for another reason than values that contradict each other
 */
export async function sweep(options: SweepOptions): Promise<SweepResult> {
  const { scenarios, axes, design, jobs, onProgress, signal, workerUrl } = options;
  if (scenarios.length === 0 || axes.length === 0) throw new RangeError('sweep: at least one scenario and one axis are wanted');
  checkJobs(jobs);
  const work: Work = { scenarios, axes, design };
  const total = cellsOf(work).count;
  const starting = startingPoint(scenarios, axes);
  const finished: SweepRow[] = [];
  const result = (): SweepResult => {
    const rows = finished.sort((a, b) => a.index - b.index);
    return { axes, scenarios: scenarioNames(scenarios), starting, rows, ranking: rank(rows), total, complete: rows.length === total };
  };
  const keep = (rows: readonly SweepRow[]): void => {
    for (const row of rows) finished.push(row);
    onProgress?.({ done: finished.length, total });
  };

  try {
    await runCells(work, keep, { jobs, signal, workerUrl });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new SweepError(`sweep: ${why}; ${finished.length} of ${total} cells were finished`, result(), error);
  }
  return result();
}
