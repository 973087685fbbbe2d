/**
 * Starting gains by a coarse search: a grid in the engine's own measure, then one refinement about the best.
 *
 * The measure is K, what one unit of air is worth in steady speed, rpm: kp·K is the share of an error that the loop takes
 * back at once, ki·K how many times a second it takes it back, kd·K a time. So one grid serves every engine and valve.
 *
 * A set that does not hold a rough engine loses, however good it is on a smooth one: the derivative sees each firing.
 */
import type { Scenario } from '../scenario/index.js';
import { evaluate, type Outcome } from '../search/evaluate.js';
import type { Plants } from '../search/plants.js';
import { significant, withController } from './apply.js';
import { isOdd, type SetupDrill } from './drills.js';
import type { Runner } from './prove.js';

export interface Gains {
  readonly kp: number;
  readonly ki: number;
  readonly kd: number;
}

/** Each gain times K. */
interface Measure {
  readonly p: number;
  readonly i: number;
  readonly d: number;
}

const THREE_TERMS: readonly Measure[] = [0.35, 0.7, 1.4].flatMap((p) => [0.5, 1, 2].flatMap((i) => [0, 0.12, 0.3].map((d) => ({ p, i, d }))));
const INTEGRAL: readonly Measure[] = [0.35, 0.5, 0.7, 1, 1.4, 2, 2.8].map((i) => ({ p: 0, i, d: 0 }));
/** One refinement: each term a step either way. */
const FINER = 1.4;

/** Cautious: where everything before the search stands on. */
export const cautious = (rpmPerAir: number, stepper: boolean): Gains => gainsOf(stepper ? { p: 0, i: 0.7, d: 0 } : { p: 0.7, i: 1, d: 0.12 }, rpmPerAir);

const gainsOf = ({ p, i, d }: Measure, rpmPerAir: number): Gains => ({
  kp: significant(p / rpmPerAir),
  ki: significant(i / rpmPerAir),
  kd: significant(d / rpmPerAir),
});

/**
 * Most valve travel on a rough engine, of its range and second. Assumed: a tenth of its range each second wears a valve, and
 * is heard; without any derivative it is 1 to 3 %/s.
 */
export const MOST_TRAVEL_PCT_PER_S = 10;

export interface Found {
  readonly gains: Gains;
  /** Sets that did well enough on the smooth engine and lost on the rough one. */
  readonly shaken: number;
  /** Score of the worst drill. */
  readonly cost: number;
  readonly cells: number;
  readonly worst: string;
  /** Whether every set of gains stalls the engine in a drill, or shakes the valve of a rough one. */
  readonly stalls: boolean;
}

/**
 * Score of the worst drill, with a broken limit's charge where it does not settle or hunts; Infinity as soon as one stalls or
 * costs more than `enough`: it could not win any more.
 */
function worstOf(drills: readonly Scenario[], gains: Gains, enough: number, plants: Plants): { readonly cost: number; readonly worst: string } {
  const values = new Map(Object.entries(gains).map(([key, value]): [string, number] => [`controller.pid.${key}`, value]));
  let [cost, worst] = [0, ''];
  for (const drill of drills) {
    const { score, stalled, settlingTimeS, huntingRpm }: Outcome = evaluate([drill], values, plants);
    const fails = settlingTimeS === null || (huntingRpm ?? 0) > drill.scoring.scales.huntingRpm;
    const charged = score === null || stalled ? Number.POSITIVE_INFINITY : score + (fails ? drill.scoring.limitBroken : 0);
    if (charged >= enough) return { cost: Number.POSITIVE_INFINITY, worst: drill.drill.name };
    if (charged > cost) [cost, worst] = [charged, drill.drill.name];
  }
  return { cost, worst };
}

/** Whether gains hold a rough engine: it settles, does not hunt, and the valve is not shaken. */
function holdsRough(rough: Scenario, gains: Gains, runner: Runner): boolean {
  const { result } = runner.run(withController(rough, { pid: { ...rough.controller.pid, ...gains } }));
  return result.passes && (result.scored.metrics.valveTravelPctPerS ?? 0) <= MOST_TRAVEL_PCT_PER_S;
}

/** Drills that gains are searched on: the hardest so many by the cautious ones. */
const SEARCHED = 6;

/**
 * The gains whose worst drill scores best, none of the drills stalling, among those that hold a rough engine.
 *
 * @param drills with every other setting in place   @param rpmPerAir K
 */
export function searchGains(drills: readonly SetupDrill[], rpmPerAir: number, stepper: boolean, runner: Runner): Found {
  const { plants } = runner;
  const start = cautious(rpmPerAir, stepper);
  const startValues = new Map(Object.entries(start).map(([key, value]): [string, number] => [`controller.pid.${key}`, value]));
  const hardest = drills
    .filter((drill) => drill.kind !== 'start' && !isOdd(drill))
    .map(({ scenario }) => ({ scenario, score: evaluate([scenario], startValues, plants).score ?? Number.POSITIVE_INFINITY }))
    .sort((a, b) => b.score - a.score)
    .slice(0, SEARCHED)
    .map(({ scenario }) => scenario);

  const rough = drills.filter(({ kind }) => kind === 'rough').map(({ scenario }) => scenario);

  let best: { gains: Gains; cost: number; worst: string; measure: Measure } | null = null;
  let shaken = 0;
  const seen = new Set<string>();
  const look = (measure: Measure): void => {
    const gains = gainsOf(measure, rpmPerAir);
    const key = JSON.stringify(gains);
    if (seen.has(key)) return;
    seen.add(key);
    const { cost, worst } = worstOf(hardest, gains, best?.cost ?? Number.POSITIVE_INFINITY, plants);
    if (cost >= (best?.cost ?? Number.POSITIVE_INFINITY)) return;
    if (rough.every((drill) => holdsRough(drill, gains, runner))) best = { gains, cost, worst, measure };
    else shaken += 1;
  };
  for (const measure of stepper ? INTEGRAL : THREE_TERMS) look(measure);
  const coarse = best as { measure: Measure } | null;
  if (coarse !== null) {
    const { p, i, d } = coarse.measure;
    for (const factor of [1 / FINER, FINER]) {
      look({ p, i: i * factor, d });
      if (!stepper) look({ p: p * factor, i, d });
      if (!stepper) look({ p, i, d: d === 0 ? 0.06 : d * factor });
    }
  }
  const found = best as { gains: Gains; cost: number; worst: string } | null;
  return found === null
    ? { gains: start, shaken, cost: Number.POSITIVE_INFINITY, cells: seen.size, worst: hardest[0]?.drill.name ?? '', stalls: true }
    : { gains: found.gains, shaken, cost: found.cost, worst: found.worst, cells: seen.size, stalls: false };
}
