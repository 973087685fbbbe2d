/**
 * One set of gains through every drill on every engine that may be the real one, given up as soon as it cannot win.
 *
 * A worker loads this file. What comes out depends on the entry alone, so it is the same on any number of workers.
 *
 *     cost = worst corner's suite score + WORTH·(e_settling + e_hunting) + what sensitivities over their bounds cost
 *     e = x/(1 + x/NEVER)        x: how far a limit is exceeded, relative; at most NEVER, which an unsettled run costs
 *
 * A stall ends the race at once; the later in it, the less it costs, so that a search has a slope to follow.
 */
import type { Scenario } from '../../scenario/table.js';
import { DRIVER } from '../../score/reasons.js';
import { evaluate, type Outcome } from '../evaluate.js';
import { createPlants } from '../plants.js';

/** What is raced on. Runs are numbered corner · drills + drill. */
export interface RaceCourse {
  readonly scenarios: readonly Scenario[];
  readonly drills: number;
  /** Settings that an entry puts in. */
  readonly keys: readonly string[];
  /** Limits; null for none. `settles` says of each drill whether its settling counts: that of a start is the open-loop air's. */
  readonly settlingS: number | null;
  readonly huntingRpm: number | null;
  readonly settles: readonly boolean[];
}

export interface Entry {
  /** One a key, in documented units. */
  readonly values: readonly number[];
  /** Runs in the order in which they are made, a corner after the other. */
  readonly order: readonly number[];
  /** Given up as soon as the cost is bound to be above this; null for never. */
  readonly stopAbove: number | null;
  /** Given up as soon as a limit is broken: what is asked is only whether it holds. */
  readonly onlyHolding: boolean;
  /** Every run is made, stalls and all: for a table of what happens. */
  readonly throughStalls: boolean;
  /** Cost of what was known before any run: sensitivities over their bounds. */
  readonly before: number;
}

/** A run of the race. */
export interface RaceRun extends Pick<Outcome, 'sagRpm' | 'flareRpm' | 'settlingTimeS' | 'stallMarginRpm' | 'huntingRpm' | 'stalled'> {
  readonly run: number;
  readonly score: number;
}

export interface Finish {
  /** At least this, where it was given up. */
  readonly cost: number;
  /** Worst corner's mean score; null when not every run was made. */
  readonly score: number | null;
  readonly stalled: boolean;
  /** Largest excess e over the limits of settling and hunting. */
  readonly settlingExcess: number;
  readonly huntingExcess: number;
  readonly runs: readonly RaceRun[];
  /** Simulated seconds that it took. */
  readonly simulatedS: number;
  /** Settings that contradict each other, or what failed; null otherwise. */
  readonly reason: string | null;
}

/** What exceeding a limit by all of it costs: far above what a score gains by it, so that the best keeps the limits. */
export const WORTH = 20;
const STALL = 1000;
/** Excess of a run that does not settle at all. */
export const NEVER = 3;

function over(value: number | null, limit: number | null): number {
  if (value === null || limit === null) return 0;
  const x = Math.max(0, value / limit - 1);
  return x / (1 + x / NEVER);
}

export function createRacer(course: RaceCourse): (entry: Entry) => Finish {
  const { scenarios, drills, keys, settlingS, huntingRpm, settles } = course;
  const plants = createPlants();
  return ({ values, order, stopAbove, onlyHolding, throughStalls, before }) => {
    const put = new Map(keys.map((key, i) => [key, values[i] as number]));
    const sums = new Map<number, { sum: number; count: number; of: number }>();
    for (const run of order) {
      const corner = Math.floor(run / drills);
      const known = sums.get(corner);
      if (known === undefined) sums.set(corner, { sum: 0, count: 0, of: 1 });
      else known.of += 1;
    }
    const runs: RaceRun[] = [];
    let [settlingExcess, huntingExcess, simulatedS, worst, stalls] = [0, 0, 0, 0, 0];
    const finish = (cost: number, score: number | null, stalled: boolean, reason: string | null = null): Finish => ({
      cost, score, stalled, settlingExcess, huntingExcess, runs, simulatedS, reason,
    });
    const cost = (): number => worst + before + WORTH * (settlingExcess + huntingExcess);
    for (const [i, run] of order.entries()) {
      const scenario = scenarios[run] as Scenario;
      const outcome = evaluate([scenario], put, plants);
      const { score, reason, sagRpm, flareRpm, settlingTimeS, stallMarginRpm, huntingRpm: hunts, stalled, stallTimeS } = outcome;
      if (score === null) return finish(2 * STALL, null, false, reason);
      runs.push({ run, score, sagRpm, flareRpm, settlingTimeS, stallMarginRpm, huntingRpm: hunts, stalled });
      simulatedS += stallTimeS ?? scenario.run.duration;
      if (stalled) stalls += 1;
      if (stalled && !throughStalls) return finish(STALL + before + (100 * (order.length - i)) / order.length - (stallTimeS ?? 0) / scenario.run.duration, null, true);
      if (settles[run % drills] === true) {
        const never = settlingTimeS === null && outcome.reasons.settlingTimeS?.includes(DRIVER) !== true;
        settlingExcess = Math.max(settlingExcess, settlingS !== null && never ? NEVER : over(settlingTimeS, settlingS));
      }
      huntingExcess = Math.max(huntingExcess, over(hunts, huntingRpm));
      const corner = sums.get(Math.floor(run / drills)) as { sum: number; count: number; of: number };
      corner.sum += score;
      corner.count += 1;
      worst = Math.max(worst, corner.sum / corner.of);
      const givenUp = (onlyHolding && settlingExcess + huntingExcess > 0) || (stopAbove !== null && cost() > stopAbove);
      if (givenUp && i < order.length - 1) return finish(cost(), null, false);
    }
    return finish(stalls > 0 ? STALL + cost() : cost(), worst, stalls > 0);
  };
}
