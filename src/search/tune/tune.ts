/**
 * Tuning: the gains that do best in the worst case, within limits on sensitivity, settling and hunting.
 *
 *     minimise    worst corner's suite score
 *     subject to  no stall, M_s ≤ 1.6 as described and ≤ 2 at every corner, settling ≤ 3 s, hunting ≤ 25 rpm   (all settable)
 *
 * First the air alone, then with the spark trim, each from the rules on; see stage.ts and search.ts.
 */
import { idleMargins, type LinearIdle, linearIdleOf } from '../../linear/idle.js';
import { ultimateOf } from '../../linear/index.js';
import { numericKeys, type Scenario, withValues } from '../../scenario/index.js';
import { scenarioLabel } from '../keys.js';
import type { Range } from '../sampling/index.js';
import { answersOf } from './answers.js';
import { tuneCorners } from './corners.js';
import { processSeen } from './process.js';
import { rangesOf } from './ranges.js';
import { createReferee, type Judged, type TuneLimits } from './referee.js';
import type { RuleStanding, TuneResult, TuneStage } from './result.js';
import { type RuleRow, ruleRows, typed } from './rule-rows.js';
import { allDrills, allRuns, cornerRuns, hardCorners, hardDrills } from './runs.js';
import { orderOf, search } from './search.js';
import { GAIN_KEYS, leastIntegral, type TuneTerms, type Variable, variablesOf } from './space.js';
import { runStage } from './stage.js';
import { ratesBeside, ruleStandings, simcRate } from './standings.js';

export interface TuneOptions {
  readonly scenarios: readonly Scenario[];
  /** Null: integral alone on a stepper, all three terms otherwise. */
  readonly terms: TuneTerms | null;
  /** Whether the answer must do without spark trim. */
  readonly airOnly: boolean;
  /** The user's ranges of what is uncertain; null for nothing uncertain. */
  readonly uncertain: readonly Range[] | null;
  /** Whether the usual uncertainties are left out, so that the user's ranges alone count. */
  readonly onlyThese?: boolean;
  readonly further: readonly Variable[];
  readonly limits: TuneLimits;
  /** Simulated seconds to spend, about. */
  readonly budgetS: number;
  readonly seed: number;
  readonly jobs: number;
  readonly signal?: AbortSignal | undefined;
  readonly workerUrl?: URL | undefined;
  readonly onProgress?: ((at: { readonly doing: string; readonly simulatedS: number; readonly best: Judged | null }) => void) | undefined;
}

/** Shares of the budget. */
const AIR = 0.4;
const SPARK = 0.45;
const INTEGRAL = 0.06;
/** Largest spark rate looked at, of that at which spark alone hunts; where it never hunts, °/rpm. */
const SPARK_ROOM = 0.5;
const SPARK_MOST = 0.3;
/** Starting rates, of the largest. */
const SPARK_STARTS = [0.1, 0.3];

/** The scenario whose idle is linearised: the first that runs settled from its start, else the first. */
export const idleScenario = (scenarios: readonly Scenario[]): Scenario =>
  scenarios.find(({ drill: { start } }) => start.engine === 'running' && start.gear === 0 && start.settled) ?? (scenarios[0] as Scenario);

const withRate = (scenario: Scenario, rate: number): Scenario => withValues(scenario, new Map([[GAIN_KEYS.rate, rate]]));

/** Why spark cannot be tuned; null where it can. */
function sparkless({ controller }: Scenario, { engine }: LinearIdle): string | null {
  if (controller.spark.authorityDeg === 0) return 'controller.spark.authority is 0: the trim may not move';
  return engine.speed.bySpark > 0 ? null : 'more spark gives this engine no more torque';
}

const sparkBound = (idle: LinearIdle): number => {
  const { point } = ultimateOf({ at: (omega) => idle.plant(omega).spark, periodS: idle.controller.periodS, from: 0.01, to: Math.PI / idle.controller.periodS });
  return typed(point === null ? SPARK_MOST : Math.min(5, SPARK_ROOM * point.gain));
};

/**
 * Tunes.
 *
 * @throws RangeError where there is nothing to tune, or the engine has no idle as described
 */
export async function tune(options: TuneOptions): Promise<TuneResult> {
  const { scenarios, limits, further, budgetS, seed, signal, onProgress } = options;
  const idle = idleScenario(scenarios);
  if (idle.controller.hold !== null) throw new RangeError('controller.hold: the air command is held, so there is nothing to tune');
  const stepper = idle.engine.model !== 'regression' && idle.valve.kind === 'stepper';
  const terms = options.terms ?? (stepper ? 'i' : 'pid');
  const bare = withRate(idle, 0);
  const bareIdle = linearIdleOf(bare);
  const noSpark = sparkless(idle, bareIdle);
  const seen = processSeen(bare, bareIdle, false);
  const sparkMost = noSpark === null ? sparkBound(bareIdle) : null;
  const variables = variablesOf(idle, seen, terms, stepper, sparkMost, further);
  const airVariables = variables.filter(({ key }) => key !== GAIN_KEYS.rate);
  const keys = [...new Set([...Object.values(GAIN_KEYS), ...further.map(({ key }) => key)])];
  const known = new Map(numericKeys(idle).map((key) => [key.path, key]));
  const corners = tuneCorners(scenarios, options.uncertain, options.onlyThese);
  const referee = await createReferee({ ...options, idle, corners, keys });

  const own = keys.map((key) => known.get(key)?.value ?? 0);
  const put = (base: readonly number[], values: Readonly<Record<string, number>>): readonly number[] => keys.map((key, i) => values[key] ?? (base[i] as number));
  const rateOf = (values: readonly number[]): number => values[keys.indexOf(GAIN_KEYS.rate)] as number;
  const fixed = terms === 'i' ? { [GAIN_KEYS.kp]: 0, [GAIN_KEYS.kd]: 0 } : terms === 'pi' ? { [GAIN_KEYS.kd]: 0 } : {};
  const rowsAt = (rate: number): readonly RuleRow[] => {
    const scenario = withRate(idle, rate);
    return ruleRows(processSeen(scenario, linearIdleOf(scenario), false));
  };
  const asSet = (row: RuleRow, rate: number): readonly number[] | null =>
    row.gains === null ? null : put(own, { [GAIN_KEYS.kp]: row.gains.kp, [GAIN_KEYS.ki]: row.gains.ki, [GAIN_KEYS.kd]: row.gains.kd, ...fixed, [GAIN_KEYS.rate]: rate });
  const setsAt = (rate: number): readonly (readonly number[])[] => rowsAt(rate).map((row) => asSet(row, rate)).filter((set) => set !== null);
  /** A share of an error a second, and of it at once: what setup starts from. */
  const cautious = (rate: number): readonly number[] =>
    put(own, { [GAIN_KEYS.kp]: typed(0.5 / seen.rpmPerAir), [GAIN_KEYS.ki]: typed(0.7 / seen.rpmPerAir), [GAIN_KEYS.kd]: 0, ...fixed, [GAIN_KEYS.rate]: rate });

  let best: Judged | null = null;
  const tell = (doing: string) => (at: Judged | null) => {
    best = at ?? best;
    onProgress?.({ doing, simulatedS: referee.spent().simulatedS, best });
  };

  try {
    tell('the file as it is, and the rules')(null);
    const ki = keys.indexOf(GAIN_KEYS.ki);
    const integrating = (values: readonly number[]): readonly number[] => values.map((value, i) => (i === ki ? Math.max(value, leastIntegral(seen)) : value));
    const airStarts = [cautious(0), put(own, { ...fixed, [GAIN_KEYS.rate]: 0 }), ...setsAt(0)].map(integrating);
    const first = await referee.judge(airStarts, { order: cornerRuns(referee, 0, allDrills(referee)), stopAbove: 140 });
    const ranked = first.filter((each): each is Judged => each !== null).sort((a, b) => a.cost - b.cost);
    const drills = hardDrills(referee, ranked.slice(0, 2).flatMap(({ finish }) => finish ?? []));
    const widely = await referee.judge(ranked.slice(0, 1).map(({ values }) => values), { order: referee.corners.flatMap((_, corner) => cornerRuns(referee, corner, drills)), throughStalls: true });
    const cornersHard = hardCorners(referee, widely.flatMap((each) => each?.finish ?? []));
    const runs = cornersHard.flatMap((corner) => cornerRuns(referee, corner, drills));

    const common = { referee, seed, signal };
    const { stage: air, runs: airRuns } = await runStage({ ...common, variables: airVariables, starts: ranked.map(({ values }) => values), runs, budgetS: AIR * budgetS, onBest: tell('air alone') });
    let spark: TuneStage | null = null;
    let searchedOn = airRuns;
    const airHolds = air.best?.judged.holds === true;
    if (sparkMost !== null && !(options.airOnly && airHolds) && !signal?.aborted) {
      const rates = SPARK_STARTS.map((share) => typed(share * sparkMost));
      const starts = [...air.found.slice(0, 3).flatMap(({ values }) => rates.map((rate) => put(values, { [GAIN_KEYS.rate]: rate }))), ...rates.flatMap((rate) => [cautious(rate), ...setsAt(rate)].map(integrating))];
      const done = await runStage({ ...common, variables, starts, runs: airRuns, budgetS: SPARK * budgetS, onBest: tell('with spark trim') });
      spark = done.stage;
      if (!options.airOnly) searchedOn = done.runs;
    }
    const answer = !options.airOnly && spark?.best != null && (air.best === null || better(spark.best.judged, air.best.judged)) ? 'spark' : 'air';
    const chosen = answer === 'spark' ? (spark as TuneStage) : air;
    const judged = chosen.best?.judged ?? null;
    const rate = judged === null ? 0 : rateOf(judged.values);

    tell('before, and the rules on every corner')(judged);
    const order = orderOf(allRuns(referee), referee);
    const [before = null] = signal?.aborted ? [null] : await referee.judge([own], { order, throughStalls: true });
    const rates = ratesBeside({ file: own[keys.indexOf(GAIN_KEYS.rate)] as number, simc: answer === 'spark' ? simcRate(bare, bareIdle) : null, tuned: rate });
    const rules: RuleStanding[] = [];
    if (judged !== null && !signal?.aborted) for (const [from, at] of rates) rules.push(...(await ruleStandings(referee, rowsAt(at), (row) => asSet(row, at), order, { rate: at, rateFrom: from })));

    tell('how far each may move')(judged);
    const stageVariables = answer === 'spark' ? variables : airVariables;
    const [onSearched = null] = judged === null || signal?.aborted ? [null] : await referee.judge([judged.values], { order: orderOf(searchedOn, referee) });
    const ranges = onSearched?.holds === true && !signal?.aborted ? await rangesOf(referee, onSearched, stageVariables, searchedOn) : null;

    tell('integral alone')(judged);
    const alone = stageVariables.filter(({ key }) => key !== GAIN_KEYS.kp && key !== GAIN_KEYS.kd);
    const noTerms = { [GAIN_KEYS.kp]: 0, [GAIN_KEYS.kd]: 0 };
    const integral = onSearched === null || terms === 'i' || signal?.aborted ? null
      : await search({ ...common, variables: alone, runs: searchedOn, budgetS: INTEGRAL * budgetS, starts: [put(onSearched.values, noTerms), put(cautious(rate), noTerms)] });
    const marginsOf = (values: readonly number[] | null) => (values === null ? null : idleMargins(linearIdleOf(withValues(idle, new Map(keys.map((key, i) => [key, values[i] as number]))))));
    return {
      terms, stepper, limits, keys, units: keys.map((key) => known.get(key)?.unit ?? ''), drills: scenarios.map((scenario) => scenario.drill.name || scenarioLabel(scenario)),
      settles: referee.course.settles, corners: corners.map(({ name }) => name),
      before, air, spark, noSpark, answer, rules, ranges,
      integralOnly: integral === null || onSearched === null ? null : { judged: integral.found[0] ?? null, beside: onSearched },
      answers: onSearched === null ? [] : answersOf(chosen.found, onSearched, stageVariables, referee),
      margins: {
        before: idleMargins(linearIdleOf(idle)), after: marginsOf(judged?.values ?? null),
        withoutSpark: judged === null || rate === 0 ? null : marginsOf(put(judged.values, { [GAIN_KEYS.rate]: 0 })),
      },
      msWithoutSpark: judged === null || rate === 0 ? null : referee.look(put(judged.values, { [GAIN_KEYS.rate]: 0 })).msWorst,
      searched: { corners: [...new Set(searchedOn.map((run) => Math.floor(run / referee.course.drills)))], drills: [...new Set(searchedOn.map((run) => run % referee.course.drills))] },
      spent: referee.spent(), interrupted: signal?.aborted ?? false,
    };
  } finally {
    await referee.close();
  }
}

/** Keeping the limits comes before any score. */
const better = (a: Judged, b: Judged): boolean => (a.holds === b.holds ? a.cost <= b.cost : a.holds);
