/**
 * One cell of a sweep: every scenario of the suite with the cell's numbers put in, run, and scored.
 *
 * A worker loads this file, so it leans on the scenarios' arithmetic alone and not on what reads files and units.
 */
import { simulate } from '../loop/simulate.js';
import type { Scenario } from '../scenario/table.js';
import { withValues } from '../scenario/vary.js';
import { type LimitName, scoreSuite, type Scored, scoreTrace } from '../score/index.js';
import { createPlants, type Plants } from './plants.js';
import { cellsOf, type Work } from './work.js';

/** Numbers of a row that are the worst of the suite. */
export const WORST = ['sagRpm', 'flareRpm', 'settlingTimeS', 'stallMarginRpm', 'huntingRpm'] as const;
export type WorstName = (typeof WORST)[number];

/** What came of one set of values. */
export interface Outcome extends Readonly<Record<WorstName, number | null>> {
  /** Mean of the scenarios' scores, no unit; lower is better. Null when it could not be run; `reason` says why. */
  readonly score: number | null;
  readonly reason: string | null;
  /** Whether the engine stalls in any scenario of the suite. */
  readonly stalled: boolean;
  /** Earliest stall of the suite, s from the start of its run; null when none stalls. */
  readonly stallTimeS: number | null;
  /** Limits missed in any scenario of the suite, each once, in the order met. */
  readonly missed: readonly LimitName[];
  /** Deepest sag below the lower of target and starting speed, rpm. */
  readonly sagRpm: number | null;
  /** Highest flare above the higher of target and starting speed, rpm. */
  readonly flareRpm: number | null;
  /** Longest settling time, s; null as soon as one event of the suite does not settle. */
  readonly settlingTimeS: number | null;
  /** Smallest margin of the lowest speed above the stall speed, rpm. */
  readonly stallMarginRpm: number | null;
  /** Largest hunting, peak to peak, rpm. */
  readonly huntingRpm: number | null;
  /** Why a worst number is null, where it is. */
  readonly reasons: Readonly<Partial<Record<WorstName, string>>>;
}

/** A cell that has been run. */
export interface SweepRow extends Outcome {
  /** Index of the cell; see `cellsOf`. */
  readonly index: number;
  /** One an axis, in the units of the axes. */
  readonly values: readonly number[];
}

/** Worst of a suite. One scenario without a settling time leaves the suite without; other absences are passed over. */
function worst(name: WorstName, runs: readonly Scored[]): number | null {
  let result: number | null = null;
  for (const { metrics } of runs) {
    const value = metrics[name];
    if (value === null && name === 'settlingTimeS') return null;
    if (value === null) continue;
    if (result === null || (name === 'stallMarginRpm' ? value < result : value > result)) result = value;
  }
  return result;
}

const failed = (reason: string): Outcome => ({
  score: null,
  reason,
  stalled: false,
  stallTimeS: null,
  missed: [],
  ...(Object.fromEntries(WORST.map((name) => [name, null])) as Record<WorstName, null>),
  reasons: Object.fromEntries(WORST.map((name) => [name, 'not run'])),
});

/**
 * Runs and scores a suite with numbers put in.
 *
 * @param values keys to numbers in documented units; none for the suite as it is
 * @param plants to use again from call to call
 * @returns an outcome without a score, and the reason, when the values contradict each other
 */
export function evaluate(scenarios: readonly Scenario[], values: ReadonlyMap<string, number>, plants: Plants = createPlants()): Outcome {
  const runs: Scored[] = [];
  try {
    for (const scenario of scenarios) {
      const changed = values.size === 0 ? scenario : withValues(scenario, values);
      runs.push(scoreTrace(simulate(changed, { plant: plants.of(changed) }), changed.limits, changed.scoring));
    }
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return failed(error.message);
  }
  const numbers = WORST.map((name): [WorstName, number | null] => [name, worst(name, runs)]);
  const absent = numbers.filter(([, value]) => value === null).map(([name]) => [name, reasonFor(name, runs)]);
  const stalls = runs.map((run) => run.stallTimeS).filter((timeS) => timeS !== null);
  return {
    score: scoreSuite(runs.map((run) => run.score)),
    reason: null,
    stalled: runs.some((run) => run.stalled),
    stallTimeS: stalls.length > 0 ? Math.min(...stalls) : null,
    missed: [...new Set(runs.flatMap((run) => run.missed.map(({ limit }) => limit)))],
    ...(Object.fromEntries(numbers) as Record<WorstName, number | null>),
    reasons: Object.fromEntries(absent),
  };
}

const reasonFor = (name: WorstName, runs: readonly Scored[]): string =>
  runs.find((run) => run.metrics[name] === null)?.metrics.reasons[name] ?? 'absent';

/** What runs the cells of a work, with plants used again from cell to cell. @throws RangeError if there is no such cell */
export function createRunner(work: Work): (index: number) => SweepRow {
  const { scenarios, axes } = work;
  const cells = cellsOf(work);
  const plants = createPlants();
  return (index) => {
    const values = cells.valuesOf(index);
    return { index, values, ...evaluate(scenarios, new Map(axes.map(({ key }, a) => [key, values[a] as number])), plants) };
  };
}
