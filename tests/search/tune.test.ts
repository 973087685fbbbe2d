/** Tuning: sensitivities, the race, the corners, the relay, and what the whole comes to on short drills. */
import { describe, expect, test } from 'vitest';
import { idleMargins, linearIdleOf } from '../../src/linear/idle.js';
import { type Scenario, withValues } from '../../src/scenario/index.js';
import { evaluate } from '../../src/search/evaluate.js';
import { openPool } from '../../src/search/jobs.js';
import { AS_DESCRIBED, tuneCorners } from '../../src/search/tune/corners.js';
import { createRacer, type Entry, NEVER, type RaceCourse, WORTH } from '../../src/search/tune/race.js';
import { processSeen } from '../../src/search/tune/process.js';
import { createReferee, type Judged } from '../../src/search/tune/referee.js';
import { stageOf } from '../../src/search/tune/result.js';
import { ruleRows } from '../../src/search/tune/rule-rows.js';
import { createSensitivity } from '../../src/search/tune/sensitivity.js';
import { GAIN_KEYS, leastIntegral, placeOf, settingAt, type Variable } from '../../src/search/tune/space.js';
import { tune, type TuneOptions } from '../../src/search/tune/tune.js';
import { readSuite } from './suite.js';

const LOADS = `title: two loads
run: { duration: 6 }
controller: { base: [[80, 22]] }
drills:
  - { name: load, events: [{ do: load, at: 1, name: load, torque: 6 }] }
  - { name: pulse, events: [{ do: load, at: 1, name: pulse, torque: 5, hold: 0.6 }] }
`;
const STEPPER = `${LOADS}valve: { kind: stepper, steps: 150 }\n`.replace('base: [[80, 22]]', 'base: [[80, 34]]');
const loads = (): Promise<readonly Scenario[]> => readSuite(LOADS);

const LIMITS = { msNominal: 1.6, msCorner: 2, settlingS: 3, huntingRpm: 25 };
const options = (scenarios: readonly Scenario[], more: Partial<TuneOptions> = {}): TuneOptions => ({
  scenarios, terms: null, airOnly: true, uncertain: null, further: [], limits: LIMITS, budgetS: 900, seed: 1, jobs: 1, ...more,
});
const put = (scenario: Scenario, gains: Readonly<Record<string, number>>): Scenario => withValues(scenario, new Map(Object.entries(gains)));

describe('sensitivity of many gain sets', () => {
  test.each([
    { [GAIN_KEYS.kp]: 0.02, [GAIN_KEYS.ki]: 0.03, [GAIN_KEYS.kd]: 0.005, [GAIN_KEYS.rate]: 0 },
    { [GAIN_KEYS.kp]: 0.04, [GAIN_KEYS.ki]: 0.02, [GAIN_KEYS.kd]: 0, [GAIN_KEYS.rate]: 0.1 },
    { [GAIN_KEYS.kp]: 0.02, [GAIN_KEYS.ki]: 0.05, [GAIN_KEYS.kd]: 0.004, [GAIN_KEYS.rate]: 0.5 },
    { [GAIN_KEYS.kp]: 0.004, [GAIN_KEYS.ki]: 0.13, [GAIN_KEYS.kd]: 0, [GAIN_KEYS.rate]: 0.25 },
    { [GAIN_KEYS.kp]: 0, [GAIN_KEYS.ki]: 0.002, [GAIN_KEYS.kd]: 0.012, [GAIN_KEYS.rate]: 0 },
    { [GAIN_KEYS.kp]: 0.4, [GAIN_KEYS.ki]: 0.03, [GAIN_KEYS.kd]: 0, [GAIN_KEYS.rate]: 0 },
  ])('is that of the margins, within half a per cent: %o', async (gains) => {
    const [scenario] = (await loads()) as [Scenario];
    const quick = createSensitivity(scenario).of(put(scenario, gains).controller);
    const exact = idleMargins(linearIdleOf(put(scenario, gains)));
    expect(quick.stable).toBe(exact.stable);
    if (exact.worstMs === null) expect(quick.ms).toBe(Number.POSITIVE_INFINITY);
    else expect(Math.abs(quick.ms / exact.worstMs - 1)).toBeLessThan(0.005);
  });
});

describe('a swing that is hardly damped', () => {
  test('has its narrow peak found between two frequencies', async () => {
    const [scenario] = (await readSuite(LOADS.replace('base: [[80, 22]]', 'base: [[80, 22]], target: [[80, 470]]').concat('engine: { inertia: 0.05 }\n'))) as [Scenario];
    for (const gains of [
      { [GAIN_KEYS.kp]: 0.000102, [GAIN_KEYS.ki]: 0.000239, [GAIN_KEYS.kd]: 0, [GAIN_KEYS.rate]: 0.0111 },
      { [GAIN_KEYS.kp]: 0.0001, [GAIN_KEYS.ki]: 0.0001, [GAIN_KEYS.kd]: 0, [GAIN_KEYS.rate]: 0.008 },
    ]) {
      const quick = createSensitivity(scenario).of(put(scenario, gains).controller);
      const exact = idleMargins(linearIdleOf(put(scenario, gains)));
      expect(exact.worstMs).not.toBeNull();
      expect(Math.abs(quick.ms / (exact.worstMs as number) - 1)).toBeLessThan(0.005);
    }
  });
});

describe('the race', () => {
  const course = async (): Promise<RaceCourse> => {
    const scenarios = await loads();
    return { scenarios: [...scenarios, ...scenarios.map((scenario) => put(scenario, { 'engine.inertia': 0.12 }))], drills: 2, keys: [GAIN_KEYS.ki], settlingS: 3, huntingRpm: 25, settles: [true, true] };
  };
  const entry = (values: readonly number[], more: Partial<Entry> = {}): Entry => ({ values, order: [0, 1, 2, 3], stopAbove: null, onlyHolding: false, throughStalls: false, before: 0, ...more });

  test('gives the worst corner its mean, and adds what is over a limit', async () => {
    const raced = await course();
    const finish = createRacer(raced)(entry([0.03]));
    const scores = raced.scenarios.map((scenario) => evaluate([scenario], new Map([[GAIN_KEYS.ki, 0.03]])).score as number) as [number, number, number, number];
    expect(finish.score).toBeCloseTo(Math.max((scores[0] + scores[1]) / 2, (scores[2] + scores[3]) / 2), 12);
    expect(createRacer(raced)(entry([0.03], { order: [2, 3, 0, 1] })).score).toBe(finish.score);
    expect(finish.settlingExcess).toBe(0);
    expect(finish.cost).toBe(finish.score);
    const tight = createRacer({ ...raced, settlingS: 0.5 })(entry([0.03], { before: 1 }));
    const slowest = Math.max(...tight.runs.map(({ settlingTimeS }) => settlingTimeS as number));
    const x = slowest / 0.5 - 1;
    expect(tight.cost).toBeCloseTo((finish.score as number) + 1 + (WORTH * x) / (1 + x / NEVER), 9);
  });

  test('gives up as soon as the bound is passed, and never says less than that', async () => {
    const racer = createRacer(await course());
    const whole = racer(entry([0.01]));
    const stopped = racer(entry([0.01], { stopAbove: 0.1 }));
    expect(stopped.runs.length).toBeLessThan(whole.runs.length);
    expect(stopped.score).toBeNull();
    expect(stopped.cost).toBeGreaterThan(0.1);
    expect(stopped.cost).toBeLessThanOrEqual(whole.cost);
    expect(racer(entry([0.01], { onlyHolding: true })).runs.length).toBeLessThan(4);
  });

  test('ends at a stall, dearer the earlier in the race, unless every run is asked for', async () => {
    const [load] = (await readSuite(LOADS.replace('torque: 6', 'torque: 60'))) as [Scenario];
    const raced = { ...(await course()), scenarios: [...(await course()).scenarios.slice(0, 1), load, ...(await course()).scenarios.slice(2)] };
    const late = createRacer(raced)(entry([0.03]));
    const early = createRacer(raced)(entry([0.03], { order: [1, 0, 2, 3] }));
    expect([late.stalled, late.runs.length, early.runs.length]).toEqual([true, 2, 1]);
    expect(early.cost).toBeGreaterThan(late.cost);
    expect(createRacer(raced)(entry([0.03], { throughStalls: true })).runs).toHaveLength(4);
  });
});

describe('corners', () => {
  test('are the engine as described and each thing off by itself, drill by drill about its own', async () => {
    const scenarios = await loads();
    const corners = tuneCorners(scenarios, []);
    expect(corners.map(({ name }) => name)).toEqual([
      AS_DESCRIBED, 'inertia −20 %', 'inertia +20 %', 'plenum volume −20 %', 'plenum volume +20 %', 'friction −20 %', 'friction +20 %', 'valve flow −20 %', 'valve flow +20 %',
      'valve lag halved', 'valve lag doubled', 'delay −20 %', 'delay +20 %', 'temperature −25 K', 'temperature +25 K', 'altitude +1500 m', 'roughness 6 %',
    ]);
    const light = put(scenarios[0] as Scenario, { 'engine.inertia': 0.1 });
    const engine = corners[1]!.put(light).engine as { inertia: number };
    expect(engine.inertia).toBeCloseTo(0.08, 12);
    expect(corners.at(-1)!.put(light).scoring.settlingBandRpm).toBe(40);
    expect(corners[1]!.put(light).engine).toBe(corners[1]!.put(light).engine);
  });
  test('a range of the user’s takes the place of what it names; none leaves the engine as described', async () => {
    const scenarios = await loads();
    const own = { key: 'engine.inertia', unit: 'kg m^2', spacing: 'linear', lo: 0.1, hi: 0.3, integer: false } as const;
    const names = tuneCorners(scenarios, [own]).map(({ name }) => name);
    expect(names).toContain('inertia 0.3 kg m^2');
    expect(names).not.toContain('inertia −20 %');
    expect(names).toHaveLength(17);
    expect(tuneCorners(scenarios, [own], true)).toHaveLength(3);
    expect(tuneCorners(scenarios, null)).toHaveLength(1);
  });
});

test('the relay on the simulated engine finds the ultimate point of the linear loop, within a tenth', async () => {
  const [scenario] = (await loads()) as [Scenario];
  const seen = processSeen(scenario, linearIdleOf(scenario), true);
  expect(Math.abs((seen.relay?.gain as number) / (seen.ultimate.point?.gain as number) - 1)).toBeLessThan(0.1);
  expect(Math.abs((seen.relay?.periodS as number) / (seen.ultimate.point?.periodS as number) - 1)).toBeLessThan(0.1);
  const rows = ruleRows(seen);
  expect(rows).toHaveLength(11);
  const zn = rows.find(({ name }) => name === 'Ziegler–Nichols PI')?.gains;
  expect(zn?.kp).toBeCloseTo(0.45 * (seen.ultimate.point?.gain as number), 3);
});

test('a place and its setting are each other’s inverse, to the three digits that are typed in', () => {
  const variable: Variable = { key: 'k', unit: '', least: 0, most: 0.08, square: true };
  for (const value of [0, 0.0004, 0.0123, 0.08]) expect(settingAt(variable, placeOf(variable, value))).toBe(value);
  expect(settingAt({ ...variable, square: false, least: 50, most: 300 }, 0.5)).toBe(175);
});

test('a pool that stays open answers in the order of the tasks, and null once it is called off', async () => {
  const stop = new AbortController();
  const pool = await openPool<number, number, number>(10, 'none', (data) => (task) => {
    if (task === 3) stop.abort();
    return data * task;
  }, { jobs: 1, signal: stop.signal });
  expect(await pool.run([1, 2])).toEqual([10, 20]);
  expect(await pool.run([3, 4])).toEqual([30, null]);
  await pool.close();
});

describe('tuning two short drills', () => {
  test('beats the file and every rule that keeps the limits, keeps them itself, and is the same again', async () => {
    const scenarios = await loads();
    const result = await tune(options(scenarios));
    const { judged, everywhere } = stageOf(result).best as NonNullable<ReturnType<typeof stageOf>['best']>;
    expect([judged.holds, everywhere, result.answer]).toEqual([true, true, 'air']);
    expect(judged.msNominal).toBeLessThanOrEqual(1.6);
    const score = judged.finish?.score as number;
    expect(score).toBeLessThan(result.before?.finish?.score as number);
    for (const rule of result.rules) if (rule.judged?.holds) expect(score).toBeLessThan(rule.judged.finish?.score as number);
    // what is reported is what comes out when it is run
    const again = evaluate(scenarios, new Map(result.keys.map((key, i): [string, number] => [key, judged.values[i] as number])));
    expect(again.score).toBeCloseTo(score, 12);
    expect(result.margins.after?.worstMs as number).toBeLessThanOrEqual(1.6);
    for (const { value, least, most } of result.ranges ?? []) {
      expect(least).toBeLessThanOrEqual(value);
      expect(most).toBeGreaterThanOrEqual(value);
    }
    expect(result.ranges).toHaveLength(3);
    expect(JSON.stringify(await tune(options(scenarios)))).toBe(JSON.stringify(result));
  });

  test('a range is one: a little inside it every limit is kept, a little outside one is broken', async () => {
    const scenarios = await loads();
    const result = await tune(options(scenarios, { budgetS: 500 }));
    const judged = stageOf(result).best!.judged;
    const range = result.ranges!.find(({ key }) => key === GAIN_KEYS.kp)!;
    const referee = await createReferee({ scenarios, idle: scenarios[0] as Scenario, corners: tuneCorners(scenarios, null), keys: result.keys, limits: LIMITS, jobs: 1 });
    const at = async (kp: number): Promise<boolean> => (await referee.judge([judged.values.with(0, kp)], { order: [0, 1] }))[0]!.holds;
    expect(await at(range.most)).toBe(true);
    expect(range.mostOpen || !(await at(1.1 * range.most + 0.06 * range.value))).toBe(true);
    await referee.close();
  });

  test('a loop that rings costs more than a speed that never settles', async () => {
    const scenarios = await loads();
    const keys = [GAIN_KEYS.kp, GAIN_KEYS.ki];
    const referee = await createReferee({ scenarios, idle: scenarios[0] as Scenario, corners: tuneCorners(scenarios, null), keys, limits: LIMITS, jobs: 1 });
    const [rings, drifts] = (await referee.judge([[0.036, 0.03], [0, 0.002]], { order: [0, 1] })) as [Judged, Judged];
    expect([rings.msNominal > 1.6, rings.msNominal < 2.5, drifts.msNominal < 1.6, drifts.finish?.settlingExcess]).toEqual([true, true, true, NEVER]);
    expect(rings.cost).toBeGreaterThan(drifts.cost);
    await referee.close();
  });

  test('a limit that nothing meets leaves the best it can, marked', async () => {
    const result = await tune(options(await loads(), { limits: { ...LIMITS, settlingS: 1 }, budgetS: 600 }));
    const judged = stageOf(result).best!.judged;
    expect(judged.holds).toBe(false);
    expect(judged.msNominal).toBeLessThanOrEqual(1.6); // settling is not bought with a loop that rings
    expect(judged.finish?.settlingExcess).toBeGreaterThan(0);
    expect(result.ranges).toBeNull();
  });

  test('drills that stall whatever the gains leave no answer, and the set that came furthest', async () => {
    const result = await tune(options(await readSuite(LOADS.replace('torque: 6', 'torque: 60')), { budgetS: 200 }));
    expect(stageOf(result).best).toBeNull();
    expect(stageOf(result).closest?.finish?.stalled).toBe(true);
  });

  test('on a stepper the integral and its dead band are tuned, and no other term', async () => {
    const result = await tune(options(await readSuite(STEPPER), { budgetS: 300, limits: { ...LIMITS, settlingS: 6 } }));
    expect(result.terms).toBe('i');
    expect(stageOf(result).variables.map(({ key }) => key)).toEqual([GAIN_KEYS.ki, GAIN_KEYS.deadBand]);
    const { values } = stageOf(result).best!.judged;
    expect([values[0], values[2]]).toEqual([0, 0]);
  });

  test('the integral stays large enough to take a load over from the trim, whatever the file starts from', async () => {
    const scenarios = (await loads()).map((scenario) => put(scenario, { [GAIN_KEYS.ki]: 0 }));
    const scenario = put(scenarios[0] as Scenario, { [GAIN_KEYS.rate]: 0 });
    const least = leastIntegral(processSeen(scenario, linearIdleOf(scenario), false));
    const result = await tune(options(scenarios, { budgetS: 300, airOnly: false, terms: 'i', limits: { ...LIMITS, settlingS: null } }));
    for (const { values } of [...result.air.found, ...(result.spark?.found ?? [])]) expect(values[result.keys.indexOf(GAIN_KEYS.ki)]).toBeGreaterThanOrEqual(least);
    expect(least).toBeGreaterThan(0.001);
  });

  test('further settings are tuned beside the gains, within their range', async () => {
    const scenarios = await readSuite(`run: { duration: 5 }\ndrill: { name: blip, events: [{ do: throttle, at: 0.5, opening: 20, until: 1800 }] }`);
    const further: Variable = { key: 'controller.entry.window', unit: 'rpm', least: 40, most: 500, square: false };
    const result = await tune(options(scenarios, { further: [further], budgetS: 600, limits: { ...LIMITS, settlingS: null } }));
    const best = stageOf(result).best!.judged;
    const at = result.keys.indexOf(further.key);
    expect(best.values[at]).toBeGreaterThanOrEqual(40);
    expect(best.values[at]).toBeLessThanOrEqual(500);
    // the window decides how the blip comes back: the same gains at the far end of its range cost more
    const score = (window: number): number => evaluate(scenarios, new Map(result.keys.map((key, i): [string, number] => [key, i === at ? window : (best.values[i] as number)]))).score as number;
    expect(score(best.values[at] as number)).toBeLessThan(Math.max(score(40), score(500)));
    expect(new Set(stageOf(result).found.map(({ values }) => values[at])).size).toBeGreaterThan(10);
  });

  test('spark without authority is not tuned, for that reason; a held command leaves nothing to tune', async () => {
    const scenarios = await loads();
    const still = scenarios.map((scenario) => put(scenario, { 'controller.spark.authority': 0 }));
    const result = await tune(options(still, { budgetS: 200, airOnly: false }));
    expect([result.spark, result.answer]).toEqual([null, 'air']);
    expect(result.noSpark).toMatch(/authority is 0/);
    const held = scenarios.map((scenario) => put(scenario, { 'controller.hold': 22 }));
    await expect(tune(options(held))).rejects.toThrow(/nothing to tune/);
  });
});
