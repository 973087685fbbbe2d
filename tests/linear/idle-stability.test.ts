/** Where the linear idle says that a loop hunts, the simulated one does. */
import { describe, expect, test } from 'vitest';
import { linearIdleOf, idleMargins } from '../../src/linear/idle.js';
import { createScatter } from '../../src/linear/idle-noise.js';
import { integratorSparkLimit, sparkLimitOf } from '../../src/linear/spark-limit.js';
import { simulate } from '../../src/loop/simulate.js';
import type { Scenario } from '../../src/scenario/index.js';
import { between, shipped } from '../trade/shipped.js';

const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const rms = (values: Float64Array): number => {
  const middle = mean(values);
  return Math.sqrt(mean(values.map((value) => (value - middle) ** 2)));
};

/** Growth of the swings, by an early and a late window of whole runs of them: above 1 it hunts. */
function growth(scenario: Scenario): number {
  const trace = simulate(scenario);
  if (trace.stalled) return Number.POSITIVE_INFINITY;
  const end = scenario.run.duration;
  return rms(between(trace, 'speedRpm', 0.72 * end, 0.98 * end)) / rms(between(trace, 'speedRpm', 0.4 * end, 0.66 * end));
}

/** Factor of a setting at which swings neither grow nor die, by halving of its logarithm. */
function critical(at: (factor: number) => Scenario, low: number, high: number): number {
  expect(growth(at(low))).toBeLessThan(1);
  expect(growth(at(high))).toBeGreaterThan(1);
  for (let i = 0; i < 6; i++) {
    const middle = Math.sqrt(low * high);
    if (growth(at(middle)) > 1) high = middle;
    else low = middle;
  }
  return Math.sqrt(low * high);
}

/** A small knock and a smooth reading, long enough for swings to show what they become. */
const KNOCK = ['run.senseResolution=0 rpm', 'run.duration=24 s', 'limits.hunting=5000 rpm'];

async function knocked(file: string, set: readonly string[]): Promise<Scenario> {
  const scenario = await shipped(file, [...KNOCK, ...set]);
  const { drill } = await shipped('studies/spark-rate-delay.yaml', ['drill.events.0.torque=0.02 N m']);
  return { ...scenario, drill };
}

const withPid = (scenario: Scenario, factor: number): Scenario => {
  const { pid } = scenario.controller;
  return { ...scenario, controller: { ...scenario.controller, pid: { ...pid, kp: pid.kp * factor, ki: pid.ki * factor, kd: pid.kd * factor } } };
};

describe('ultimate gain of the air loop, simulated, against the gain margin: within 2 %', () => {
  test.each([
    ['the four, all three terms', 'solenoid.yaml', []],
    ['the four, proportional', 'solenoid.yaml', ['controller.pid.ki=0', 'controller.pid.kd=0']],
    ['the eight', 'eight.yaml', []],
    ['the three with spark trim', 'three.yaml', ['controller.spark.rate=0.1 deg/rpm']],
  ] as const)('%s', async (_, file, set) => {
    const scenario = await knocked(file, set);
    const { loops } = idleMargins(linearIdleOf(scenario));
    const margin = (loops.airBreak ?? loops.air)!.gainMargin!;
    const found = critical((factor) => withPid(scenario, factor), 0.9 * margin, 1.1 * margin);
    expect(Math.abs(found / margin - 1)).toBeLessThan(0.02);
  });
});

const withSpark = (scenario: Scenario, rate: number): Scenario => ({
  ...scenario,
  controller: { ...scenario.controller, spark: { ...scenario.controller.spark, rateDegPerRpm: rate, authorityDeg: 60 } },
});

describe('the largest stable spark rate', () => {
  test.each([0.08, 0.15, 0.3, 0.5])('simulated with an inertia of %f kg m²: within 0.02 of the linear one and 0.1 of the closed form', async (inertia) => {
    const scenario = await knocked('studies/spark-rate-delay.yaml', [`engine.inertia=${inertia} kg m^2`, 'run.duration=12 s']);
    const limit = sparkLimitOf(linearIdleOf(scenario), scenario.controller);
    const rate = limit.alone.rate!;
    const found = critical((factor) => withSpark(scenario, rate * factor), 0.93, 1.07);
    expect(Math.abs(found - 1)).toBeLessThan(0.02);
    expect(Math.abs((found * rate) / limit.closedForm - 1)).toBeLessThan(0.1);
    expect(Math.abs((found * rate) / limit.closedFormShrunk - 1)).toBeLessThan(0.05);
  });

  test('is nearly proportional to the inertia', async () => {
    const each = await Promise.all([0.1, 0.2, 0.4].map(async (inertia) => {
      const scenario = await shipped('studies/spark-rate-delay.yaml', [`engine.inertia=${inertia} kg m^2`]);
      return sparkLimitOf(linearIdleOf(scenario), scenario.controller).alone.rate! / inertia;
    }));
    expect(Math.max(...each) / Math.min(...each)).toBeLessThan(1.02);
  });

  test('closed form: 0.15 kg m², 0.3 N m/° and 0.1 s allow 0.822 °/rpm, hunting at 2.5 Hz', () => {
    // π/2 = (0.3·rate·30/π/0.15)·0.1, by hand
    const { rate, huntingHz } = integratorSparkLimit(0.15, 0.3, 0.1);
    expect((0.3 * rate * (30 / Math.PI) * 0.1) / 0.15).toBeCloseTo(Math.PI / 2, 12);
    expect(rate).toBeCloseTo(0.8225, 4);
    expect(huntingHz).toBe(2.5);
  });

  test('does not exist where the air loop hunts by itself, and the reason is told', async () => {
    const scenario = await shipped('solenoid.yaml', ['controller.pid.kp=0.5', 'controller.pid.ki=0.5']);
    const { withAir, alone } = sparkLimitOf(linearIdleOf(scenario), scenario.controller);
    expect(withAir).toEqual({ rate: null, because: 'the air loop hunts by itself', huntingHz: null });
    expect(alone.rate).toBeGreaterThan(0.5);
  });
});

describe('roughness', () => {
  test.each([0.05, 0.1, 0.2])('at a spark rate of %f °/rpm: trim and reading as restless as simulated, within a tenth', async (rate) => {
    const scenario = await shipped('studies/spark-rate-rough.yaml', ['engine.roughness=4 %', 'run.duration=120 s', 'controller.spark.authority=60 deg', `controller.spark.rate=${rate} deg/rpm`]);
    const quiet = { ...scenario, drill: { ...scenario.drill, events: [] } };
    const trace = simulate(quiet);
    const found = createScatter(linearIdleOf(quiet), quiet.controller, 4)(rate);
    expect(Math.abs(rms(between(trace, 'sparkDeg', 5, 119)) / found.trimDeg - 1)).toBeLessThan(0.1);
  });
});
