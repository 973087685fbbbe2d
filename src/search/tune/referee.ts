/** Judges sets of gains: sensitivities first, which cost nothing, then the race over drills and corners. */
import { type Scenario, withValues } from '../../scenario/index.js';
import { openPool, type RunOptions } from '../jobs.js';
import type { TuneCorner } from './corners.js';
import { createRacer, type Entry, type Finish, type RaceCourse, WORTH } from './race.js';
import { createSensitivity, type Sensitivity } from './sensitivity.js';

export interface TuneLimits {
  readonly msNominal: number;
  readonly msCorner: number;
  /** Null for none. */
  readonly settlingS: number | null;
  readonly huntingRpm: number | null;
}

export interface Judged {
  /** One a key. */
  readonly values: readonly number[];
  /** As described, and the worst of all corners with its number; Infinity where unstable. */
  readonly msNominal: number;
  readonly msWorst: number;
  readonly msCorner: number;
  readonly cost: number;
  /** Null where the sensitivities alone put it out. */
  readonly finish: Finish | null;
  /** Whether every run asked for was made. */
  readonly complete: boolean;
  /** Complete, and within every limit. */
  readonly holds: boolean;
}

export interface Asking {
  /** Runs, a corner after the other; see `RaceCourse`. */
  readonly order: readonly number[];
  readonly stopAbove?: number | null;
  readonly onlyHolding?: boolean;
  readonly throughStalls?: boolean;
}

/** Sensitivities of a set, without a run. */
export type Look = Pick<Judged, 'msNominal' | 'msWorst' | 'msCorner'>;

export interface Referee {
  readonly course: RaceCourse;
  readonly corners: readonly TuneCorner[];
  /** Null for what the signal cut off. */
  judge(sets: readonly (readonly number[])[], asking: Asking): Promise<readonly (Judged | null)[]>;
  look(values: readonly number[]): Look;
  /** How often each run was the one at which a set was given up: those are made first. */
  readonly kills: readonly number[];
  spent(): { readonly simulatedS: number; readonly runs: number; readonly sets: number };
  close(): Promise<void>;
}

export interface RefereeOptions extends Omit<RunOptions, 'part'> {
  readonly scenarios: readonly Scenario[];
  /** That whose idle the sensitivities are of. */
  readonly idle: Scenario;
  readonly corners: readonly TuneCorner[];
  readonly keys: readonly string[];
  readonly limits: TuneLimits;
}

/** Excess of a loop that is not stable: more than any that is. */
const UNSTABLE = 5;
/**
 * A sensitivity over its bound costs this and more: beyond all that settling and hunting can. A limit on settling that nothing
 * meets must not be bought with a loop that rings.
 */
const RINGS = 150;
/** The quick look at a peak may miss it by this much of it. */
const LOOK = 0.995;

const excess = ({ stable, ms }: Sensitivity, most: number): number => (stable ? Math.min(UNSTABLE, Math.max(0, ms / (LOOK * most) - 1)) : UNSTABLE);

const costOf = (x: number): number => (x === 0 ? 0 : RINGS + WORTH * x);

/** Whether a drill's settling is the gains' doing: not that of an engine which starts in it. */
export const settlesByGains = ({ drill, engine }: Scenario): boolean => drill.start.engine === 'running' && engine.model !== undefined;

/** @throws RangeError where the engine has no idle as described */
export async function createReferee(options: RefereeOptions): Promise<Referee> {
  const { scenarios, idle, corners, keys, limits } = options;
  const course: RaceCourse = {
    scenarios: corners.flatMap((corner) => scenarios.map((scenario) => corner.put(scenario))),
    drills: scenarios.length, keys, settlingS: limits.settlingS, huntingRpm: limits.huntingRpm, settles: scenarios.map(settlesByGains),
  };
  const linear = corners.map((corner, i) => {
    try {
      return createSensitivity(corner.put(idle));
    } catch (error) {
      if (!(error instanceof RangeError) || i === 0) throw error;
      return null; // there is no idle there to have a margin: the drills tell what happens
    }
  });
  const pool = await openPool<RaceCourse, Entry, Finish>(course, 'race', createRacer, options);
  const kills = course.scenarios.map(() => 0);
  const spent = { simulatedS: 0, runs: 0, sets: 0 };
  const known = new Map<string, Judged>();

  async function judge(sets: readonly (readonly number[])[], { order, stopAbove = null, onlyHolding = false, throughStalls = false }: Asking): Promise<readonly (Judged | null)[]> {
    const before = sets.map((values) => sensitivities(values));
    const memory = `${order.join()} ${stopAbove} ${onlyHolding} ${throughStalls} `;
    // the same set asked for twice is run once; what was given up at another bound is run again
    const wanted = sets.map((values, i) => {
      const whole = known.get(values.join());
      if (whole !== undefined && whole.finish !== null && order.length === whole.finish.runs.length && [...order].sort().join() === whole.finish.runs.map(({ run }) => run).sort().join()) return whole;
      const same = known.get(memory + values.join());
      if (same !== undefined) return same;
      const { cost, msNominal, msWorst, msCorner } = before[i] as ReturnType<typeof sensitivities>;
      if ((stopAbove !== null && cost > stopAbove) || (onlyHolding && cost > 0)) return { values, msNominal, msWorst, msCorner, cost, finish: null, complete: false, holds: false } satisfies Judged;
      return null;
    });
    const tasks = wanted.flatMap((judged, i): Entry[] => (judged === null ? [{ values: sets[i] as readonly number[], order, stopAbove, onlyHolding, throughStalls, before: before[i]!.cost }] : []));
    const finishes = [...(await pool.run(tasks))];
    spent.sets += sets.length;
    return wanted.map((judged, i) => {
      if (judged !== null) return judged;
      const finish = finishes.shift() ?? null;
      if (finish === null) return null;
      spent.simulatedS += finish.simulatedS;
      spent.runs += finish.runs.length;
      const last = finish.runs.at(-1)?.run;
      if (finish.score === null && last !== undefined) kills[last] = (kills[last] as number) + 1;
      const { cost, msNominal, msWorst, msCorner } = before[i] as ReturnType<typeof sensitivities>;
      const complete = finish.score !== null;
      const holds = complete && cost === 0 && !finish.stalled && finish.settlingExcess === 0 && finish.huntingExcess === 0;
      const values = sets[i] as readonly number[];
      const result: Judged = { values, msNominal, msWorst, msCorner, cost: finish.cost, finish, complete, holds };
      known.set(memory + values.join(), result);
      if (complete) known.set(values.join(), result);
      return result;
    });
  }

  function sensitivities(values: readonly number[]) {
    const { controller } = withValues(idle, new Map(keys.map((key, i) => [key, values[i] as number])));
    const found = linear.map((each) => each?.of(controller) ?? null);
    const nominal = found[0] as Sensitivity;
    let [msWorst, msCorner, over] = [nominal.ms, 0, 0];
    found.forEach((each, i) => {
      if (each === null || i === 0) return;
      if (each.ms > msWorst) [msWorst, msCorner] = [each.ms, i];
      over = Math.max(over, excess(each, limits.msCorner));
    });
    return { msNominal: nominal.ms, msWorst, msCorner, cost: costOf(excess(nominal, limits.msNominal) + over) };
  }

  return { course, corners, kills, judge, look: sensitivities, spent: () => ({ ...spent }), close: () => pool.close() };
}
