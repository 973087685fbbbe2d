/**
 * How much spark trim an engine bears. Facts of the trade: common practice, no source; the closed form is a textbook's.
 *
 * The spark loop by itself is an integrator (the crank: torque to speed) with dead time, which turns unstable at
 * K·τ = π/2, swinging once in 4τ.
 *
 *     K = (N·m for each degree)·(degrees for each rpm)·(30/π)/J
 *     τ = spark delay + half a firing interval (the reading is a mean over one)
 *                     + half a firing interval (on average it is half an interval old)
 *                     + half a tick (the trim is held over one)
 *
 * The mean and the holds also shrink a wave of angular frequency π/2τ, each by sin(x)/x with x half its length in radians of
 * the wave; K may be larger by as much. Left out: the engine's own steadying (its torque falls as its speed rises) and the
 * manifold, both slow beside 3 Hz: they are what the margin of 5 % is for.
 */
import { describe, expect, test } from 'vitest';
import type { EngineSettings } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import type { Scenario } from '../../src/scenario/index.js';
import { between, highest, lastOf, lowest, run, shipped } from './shipped.js';

const STUDY = 'studies/spark-rate-delay.yaml';
/** Trim beyond which it is hunting: five times what holds the small load of the study, half the authority. */
const HUNTING_DEG = 9;
const RATES = [0.05, 5] as const;
/** Halvings of the ratio of 100 between the rates: to 1 %. */
const HALVINGS = 9;
const MARGIN = 0.05;

const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;

function hunts(scenario: Scenario, rate: number, inertia: number): boolean {
  const { trace } = run(scenario, { 'controller.spark.rate': rate, 'engine.inertia': inertia });
  const base = trace.columns.sparkDeg[0]!;
  const spark = trace.columns.sparkDeg.subarray(0, trace.rows);
  return Math.max(highest(spark) - base, base - lowest(spark)) > HUNTING_DEG;
}

/** The highest rate that does not hunt, °/rpm. */
function limitRate(scenario: Scenario, inertia: number): number {
  let [low, high] = RATES as readonly [number, number];
  expect([hunts(scenario, low, inertia), hunts(scenario, high, inertia)]).toEqual([false, true]);
  for (let i = 0; i < HALVINGS; i++) {
    const middle = Math.sqrt(low * high);
    if (hunts(scenario, middle, inertia)) high = middle;
    else low = middle;
  }
  return Math.sqrt(low * high);
}

/** N·m for each degree, where the engine sits after the small load at half the limit. */
function torquePerDegree(scenario: Scenario, rate: number, inertia: number): number {
  const { trace } = run(scenario, { 'controller.spark.rate': rate / 2, 'engine.inertia': inertia });
  const spark = mean(between(trace, 'sparkDeg', 10, 16));
  const plant = createPlant(scenario.engine as EngineSettings, scenario.valve, { step: scenario.run.step });
  const at = (degrees: number): number => {
    plant.inputs.spark = (degrees * Math.PI) / 180;
    plant.reset({ omega: (lastOf(trace, 'speedRpm') * Math.PI) / 30, pressure: lastOf(trace, 'mapKpa') * 1000, vehicleSpeed: null, engine: 'running' });
    return plant.observe().indicated;
  };
  const perDegree = at(spark + 0.5) - at(spark - 0.5);
  expect(perDegree).toBeGreaterThan(0.1);
  return perDegree;
}

/** The closed form, °/rpm. */
function closedForm(scenario: Scenario, inertia: number, perDegree: number): number {
  const intervalS = 120 / scenario.controller.targetRpm.y.at(-1)! / (scenario.engine as EngineSettings).cylinders;
  const { periodS } = scenario.controller;
  const deadS = intervalS + intervalS / 2 + intervalS / 2 + periodS / 2;
  const omega = Math.PI / 2 / deadS;
  const shrunk = (lengthS: number): number => Math.sin((omega * lengthS) / 2) / ((omega * lengthS) / 2);
  const gain = Math.PI / 2 / deadS / (shrunk(intervalS) ** 2 * shrunk(periodS));
  return (gain * inertia) / (perDegree * (30 / Math.PI));
}

describe('a spark rate limited by delay, the authority as good as off', () => {
  const INERTIAS = [0.08, 0.11, 0.15, 0.2, 0.28, 0.4];

  test('rises with the inertia of the crank, in proportion', async () => {
    const scenario = await shipped(STUDY);
    const limits = INERTIAS.map((inertia) => limitRate(scenario, inertia));
    for (let i = 1; i < limits.length; i++) expect(limits[i]!).toBeGreaterThan(limits[i - 1]! * 1.2);
    const each = limits.map((limit, i) => limit / INERTIAS[i]!);
    expect(Math.max(...each) / Math.min(...each)).toBeLessThan(1.03);
  });

  test.each([
    ['the four', 0.15, []],
    ['a heavy crank', 0.4, []],
    ['a quick controller', 0.15, ['controller.period=5 ms']],
    ['a slow controller', 0.15, ['controller.period=40 ms']],
    ['a three: longer gaps', 0.15, ['engine.cylinders=3']],
    ['an eight: shorter gaps', 0.15, ['engine.cylinders=8']],
  ] as const)('%s: agrees with an integrator and its dead time', async (_, inertia, set) => {
    const scenario = await shipped(STUDY, set);
    const limit = limitRate(scenario, inertia);
    const expected = closedForm(scenario, inertia, torquePerDegree(scenario, limit, inertia));
    expect(Math.abs(limit / expected - 1)).toBeLessThan(MARGIN);
  });

  test('is the same whether the authority is 18° or the 60° that is off', async () => {
    const off = limitRate(await shipped(STUDY, ['controller.spark.authority=60 deg']), 0.15);
    expect(limitRate(await shipped(STUDY), 0.15) / off).toBeCloseTo(1, 2);
  });

  test('is seen in the study: above it the speed hunts and the limit is missed, below it neither', async () => {
    const scenario = await shipped(STUDY);
    for (const [rate, inertia] of [[0.9, 0.15], [2.5, 0.4], [0.1, 0.08]] as const) {
      const { scored } = run(scenario, { 'controller.spark.rate': rate, 'engine.inertia': inertia });
      expect(scored.missed).toEqual([]);
      expect(scored.events[0]!.huntingRpm).toBeNull();
    }
    for (const [rate, inertia] of [[1.3, 0.15], [3.5, 0.4], [0.8, 0.08], [5, 0.08]] as const) {
      const { scored } = run(scenario, { 'controller.spark.rate': rate, 'engine.inertia': inertia });
      expect(scored.missed.map(({ limit }) => limit)).toEqual(['huntingRpm']);
      expect(scored.events[0]!.huntingHz).toBeGreaterThan(2.2);
      expect(scored.events[0]!.huntingHz).toBeLessThan(3.3);
    }
  });
});

describe('a spark rate on a rough engine with 10° of authority (common practice, no source)', () => {
  const ROUGH = 'studies/spark-rate-rough.yaml';
  const at = async (rate: number, roughness = 8) => {
    const scenario = await shipped(ROUGH, [`controller.spark.rate=${rate} deg/rpm`, `engine.roughness=${roughness} %`]);
    const { trace, scored } = run(scenario);
    const trim = between(trace, 'sparkDeg', 2, 9).map((spark) => Math.abs(spark - 12));
    const full = trim.filter((degrees) => degrees > 10 - 1e-9).length / trim.length;
    // before the load: the trim has nothing to do but to answer the roughness
    const idle = between(trace, 'sparkDeg', 0, 2);
    const middle = mean(idle);
    const busy = Math.sqrt(mean(idle.map((spark) => (spark - middle) ** 2)));
    return { busy, full, sag: scored.events[0]!.sagRpm!, missed: scored.missed.map(({ limit }) => limit) };
  };

  test('is busier the higher it is: near a tenth of a degree the trim moves by a degree, at 0.4 by several', async () => {
    const rates = [0, 0.05, 0.1, 0.2, 0.4, 0.8];
    const busy = (await Promise.all(rates.map((rate) => at(rate)))).map((each) => each.busy);
    expect(busy[0]).toBe(0);
    for (let i = 1; i < rates.length; i++) expect(busy[i]!).toBeGreaterThan(busy[i - 1]! * 1.4);
    expect(busy[2]).toBeGreaterThan(0.4);
    expect(busy[2]).toBeLessThan(1.5);
    expect(busy[4]).toBeGreaterThan(2);
  });

  test('on a smooth engine it is not busy at all: it is the roughness that it answers', async () => {
    expect((await at(0.1, 0)).busy).toBeLessThan(0.05 * (await at(0.1, 8)).busy);
  });

  test('is at its authority in a load from about 0.1 on, and saves no more sag beyond that', async () => {
    const [none, half, tenth, fifth, most] = await Promise.all([0, 0.05, 0.1, 0.2, 0.8].map((rate) => at(rate)));
    expect([none!.full, half!.full]).toEqual([0, 0]);
    expect(tenth!.full).toBeGreaterThan(0.05);
    expect(fifth!.full).toBeGreaterThan(tenth!.full);
    expect(most!.full).toBeGreaterThan(0.3);
    // up to 0.1 the trim saves a quarter of the sag; eight times the rate saves nothing beside that
    expect(tenth!.sag / none!.sag).toBeLessThan(0.8);
    expect(Math.abs(most!.sag - tenth!.sag) / none!.sag).toBeLessThan(0.05);
  });

  test('meets those limits long before the delay: a rate of 0.1 is a tenth of what the delay would allow', async () => {
    const delay = limitRate(await shipped(STUDY), 0.15);
    const allowed = [0.1, 0.2, 0.4];
    const kept = await Promise.all(allowed.map(async (rate) => (await at(rate)).missed));
    expect(kept[0]).toEqual([]);
    expect(kept[1]).toContain('sparkActivityDeg');
    expect(kept[2]).toContain('sparkActivityDeg');
    expect(delay / 0.1).toBeGreaterThan(8);
    expect(delay / 0.2).toBeGreaterThan(4);
  });
});
