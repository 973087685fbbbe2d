/**
 * The search: CMA-ES from the best starting gains and from elsewhere, then simplices side by side from the best places met.
 * One seed of CMA-ES alone often rests in a worse valley; a simplex alone never leaves its own.
 */
import { askCmaEs, createCmaEs, tellCmaEs } from '../optimise/index.js';
import { askNelderMead, createNelderMead, type NelderMeadState, tellNelderMead } from '../optimise/nelder-mead.js';
import type { Judged, Referee } from './referee.js';
import { placeOf, settingAt, type Variable } from './space.js';

export interface SearchOptions {
  readonly referee: Referee;
  readonly variables: readonly Variable[];
  /** Whole sets, one number a key of the referee, in which the variables are put; the first of `starts` is the base. */
  readonly starts: readonly (readonly number[])[];
  /** Runs to judge on. */
  readonly runs: readonly number[];
  /** Simulated seconds to spend. */
  readonly budgetS: number;
  readonly seed: number;
  readonly signal?: AbortSignal | undefined;
  readonly onBest?: ((best: Judged) => void) | undefined;
}

export interface SearchResult {
  /** Complete sets, those that keep every limit first, the best first. */
  readonly found: readonly Judged[];
  /** The least bad of all, complete or not; null where nothing was judged. */
  readonly closest: Judged | null;
  readonly interrupted: boolean;
}

/** A cost beyond the best that still tells something; dearer sets are given up. */
const bound = (best: number): number => 1.3 * best + 0.1;
/** A start over the bounds on sensitivity needs no run. */
const HOPELESS = 140;
const POPULATION = 8;
/** Shares of the budget: each run of CMA-ES, the rest for simplices. */
const GLOBAL = 0.3;
const SIMPLICES = 3;
/** Sets looked at one after the other of which none was worth a run: the search is then over, since looks spend nothing. */
const MOST_LOOKS = 800;
const EDGE = 0.08;
/** How far apart, in places, simplices begin. */
const APART = 0.12;

/** Runs in the order in which they are made: corners and drills that put most sets out first. */
export function orderOf(runs: readonly number[], referee: Referee): readonly number[] {
  const { kills, course } = referee;
  const cornerOf = (run: number): number => Math.floor(run / course.drills);
  const total = (corner: number): number => runs.filter((run) => cornerOf(run) === corner).reduce((sum, run) => sum + (kills[run] as number), 0);
  return [...runs].sort((a, b) => {
    const [ca, cb] = [cornerOf(a), cornerOf(b)];
    return ca === cb ? (kills[b] as number) - (kills[a] as number) || a - b : total(cb) - total(ca) || ca - cb;
  });
}

export async function search({ referee, variables, starts, runs, budgetS, seed, signal, onBest }: SearchOptions): Promise<SearchResult> {
  const { keys } = referee.course;
  const base = starts[0] as readonly number[];
  const places = variables.map(({ key }) => keys.indexOf(key));
  const valuesAt = (point: readonly number[]): readonly number[] => {
    const values = [...base];
    variables.forEach((variable, i) => {
      values[places[i] as number] = settingAt(variable, point[i] as number);
    });
    return values;
  };
  const pointOf = (values: readonly number[]): number[] => variables.map((variable, i) => placeOf(variable, values[places[i] as number] as number));
  const found = new Map<string, Judged>();
  let best: Judged | null = null;
  let closest: Judged | null = null;
  const box = { lower: variables.map(() => 0), upper: variables.map(() => 1) };
  const since = referee.spent().simulatedS;
  const looks = { runs: -1, since: 0 };
  const left = (share: number): boolean => {
    const { simulatedS, runs: made, sets } = referee.spent();
    if (made !== looks.runs) [looks.runs, looks.since] = [made, sets];
    return simulatedS - since < share * budgetS && sets - looks.since < MOST_LOOKS && !signal?.aborted;
  };

  /** Costs of sets, given up where they cannot come near the best; null when cut off. */
  async function judge(sets: readonly (readonly number[])[]): Promise<readonly number[] | null> {
    const judged = await referee.judge(sets, { order: orderOf(runs, referee), stopAbove: best === null ? HOPELESS : bound(best.cost) });
    for (const each of judged) {
      if (each !== null && (closest === null || each.cost < closest.cost)) closest = each;
      if (each === null || !each.complete || each.finish?.stalled === true) continue;
      found.set(each.values.join(), each);
      if (best === null || each.cost < best.cost) {
        best = each;
        onBest?.(each);
      }
    }
    return judged.some((each) => each === null) ? null : judged.map((each) => (each as Judged).cost);
  }

  const costs = await judge(starts.map((values) => valuesAt(pointOf(values))));
  const ranked = starts.map((values, i) => ({ point: pointOf(values), cost: costs?.[i] ?? 0 })).sort((a, b) => a.cost - b.cost);
  for (const run of [0, 1]) {
    const start = ranked[run === 0 ? 0 : Math.min(1, ranked.length - 1)]?.point ?? box.lower;
    const state = createCmaEs({ ...box, seed: seed + run, start, spread: run === 0 ? 0.2 : 0.35, population: POPULATION, placeTolerance: 2e-3, costTolerance: 1e-4 });
    while (state.finished === null && left(GLOBAL * (run + 1))) {
      const told = await judge(askCmaEs(state).map(valuesAt));
      if (told === null) break;
      tellCmaEs(state, told);
    }
  }
  const simplices = distinct([...found.values()], pointOf).map((start): NelderMeadState => createNelderMead({ ...box, start, edge: EDGE, mostRestarts: 2, placeTolerance: 3e-3, costTolerance: 1e-3 }));
  while (left(1)) {
    const active = simplices.filter(({ finished }) => finished === null);
    if (active.length === 0) break;
    const asked = active.map((state) => askNelderMead(state).map(valuesAt));
    const told = await judge(asked.flat());
    if (told === null) break;
    let at = 0;
    active.forEach((state, i) => {
      const count = (asked[i] as readonly unknown[]).length;
      tellNelderMead(state, told.slice(at, at + count));
      at += count;
    });
  }
  const last = closest as Judged | null;
  if (found.size === 0 && last !== null && !signal?.aborted) {
    // nothing keeps to the bounds on sensitivity: the nearest is still worth being shown
    const [whole = null] = await referee.judge([last.values], { order: orderOf(runs, referee) });
    if (whole !== null) closest = whole;
    if (whole?.complete === true && whole.finish?.stalled === false) found.set(whole.values.join(), whole);
  }
  return { found: [...found.values()].sort((a, b) => Number(b.holds) - Number(a.holds) || a.cost - b.cost), closest, interrupted: signal?.aborted ?? false };
}

/** The best places that lie apart. */
function distinct(sets: readonly Judged[], pointOf: (values: readonly number[]) => number[]): readonly number[][] {
  const chosen: number[][] = [];
  for (const { values } of [...sets].sort((a, b) => a.cost - b.cost)) {
    const point = pointOf(values);
    if (chosen.every((other) => Math.hypot(...other.map((u, i) => u - (point[i] as number))) > APART)) chosen.push(point);
    if (chosen.length === SIMPLICES) break;
  }
  return chosen;
}
