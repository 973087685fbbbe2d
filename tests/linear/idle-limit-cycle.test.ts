/** Limit cycles of whole steps and of play: predicted by describing function, and simulated. */
import { describe, expect, test } from 'vitest';
import { type LinearIdle, linearIdleOf } from '../../src/linear/idle.js';
import { imperfections, playCycle, playGain, stepCycle, stepSpeedRpm } from '../../src/linear/limit-cycle.js';
import { simulate } from '../../src/loop/simulate.js';
import type { Trace } from '../../src/loop/trace.js';
import type { Scenario } from '../../src/scenario/index.js';
import { between, shipped } from '../trade/shipped.js';

/** First harmonic and frequency of a sustained swing. */
function swing(trace: Trace, fromS: number, toS: number): { readonly rpm: number; readonly hz: number } {
  const values = between(trace, 'speedRpm', fromS, toS);
  const middle = values.reduce((sum, value) => sum + value, 0) / values.length;
  const ups: number[] = [];
  for (let i = 1; i < values.length; i++) if (values[i - 1]! < middle && values[i]! >= middle) ups.push(i);
  if (ups.length < 3) return { rpm: 0, hz: 0 };
  const [first, last] = [ups[0]!, ups.at(-1)!];
  const period = (last - first) / (ups.length - 1);
  let [re, im] = [0, 0];
  for (let i = first; i < last; i++) {
    const angle = (2 * Math.PI * (i - first)) / period;
    re += (values[i]! - middle) * Math.cos(angle);
    im += (values[i]! - middle) * Math.sin(angle);
  }
  return { rpm: (2 * Math.hypot(re, im)) / (last - first), hz: 1 / (period * trace.recordS) };
}

/** A scenario knocked once, its reading not rounded. */
async function knocked(file: string, set: readonly string[], torque: number): Promise<Scenario> {
  const scenario = await shipped(file, ['run.senseResolution=0', 'run.duration=60 s', ...set]);
  const [event] = scenario.drill.events;
  return { ...scenario, drill: { ...scenario.drill, events: [{ ...event!, do: 'load', torque, hold: 1, rise: 0, power: 0 } as never] } };
}

const predictedSteps = (scenario: Scenario, idle: LinearIdle) => stepCycle(idle, imperfections(scenario.valve, idle).step, scenario.controller.pid.deadBandRpm);

describe('whole steps', () => {
  const NO_BAND = 'controller.pid.deadBand=0';
  // with this leak the level lies midway between steps 33 and 34
  const MIDWAY = 'engine.throttle.leak.flow=0.596';

  test.each([
    ['integral alone', [], 0.05, 0.02],
    ['half the integral: the same swing of the speed', ['controller.pid.ki=0.03'], 0.05, 0.02],
    ['with a proportional term', ['controller.pid.ki=0.1', 'controller.pid.kp=0.1'], 0.1, 0.05],
  ] as const)('%s: amplitude and frequency as simulated', async (_, set, part, hzPart) => {
    const scenario = await knocked('stepper.yaml', [NO_BAND, MIDWAY, ...set], 0.5);
    const idle = linearIdleOf(scenario);
    expect(Math.abs((idle.equilibrium.command % 1) - 0.5)).toBeLessThan(0.02);
    const { cycle } = predictedSteps(scenario, idle);
    const found = swing(simulate(scenario), 30, 60);
    expect(Math.abs(found.rpm / cycle!.speedRpm - 1)).toBeLessThan(part);
    expect(Math.abs(found.hz / cycle!.hz - 1)).toBeLessThan(hzPart);
  });

  test('where the level does not lie midway the cycle is smaller and slower than told', async () => {
    const scenario = await knocked('stepper.yaml', [NO_BAND, 'engine.throttle.leak.flow=0.58'], 0.5);
    const { cycle } = predictedSteps(scenario, linearIdleOf(scenario));
    const found = swing(simulate(scenario), 30, 60);
    expect(found.rpm).toBeGreaterThan(0.3 * cycle!.speedRpm);
    expect(found.rpm).toBeLessThan(0.7 * cycle!.speedRpm);
    expect(found.hz).toBeLessThan(0.8 * cycle!.hz);
  });

  test('a dead band of half of what one step moves ends it; simulated, the valve then stands', async () => {
    const scenario = await knocked('stepper.yaml', [MIDWAY], 0.5);
    const idle = linearIdleOf(scenario);
    const step = stepSpeedRpm(idle, 1);
    expect(step).toBeGreaterThan(14);
    expect(step).toBeLessThan(17);
    expect(predictedSteps(scenario, idle)).toEqual({ cycle: null, because: 'one step moves the speed by 15 rpm, and the dead band of ±15 rpm always holds a step at rest' });
    const trace = simulate(scenario);
    const air = between(trace, 'air', 40, 60);
    expect(Math.max(...air) - Math.min(...air)).toBeLessThan(1e-9);
    expect(stepCycle(idle, 1, 0.4 * step).cycle).not.toBeNull();
  });

  test('one step moves the speed by what the simulated engine settles at', async () => {
    const scenario = await shipped('stepper.yaml', ['controller.hold=33', 'run.duration=20 s', 'run.senseResolution=0']);
    const level = (hold: number): number => {
      const quiet = { ...scenario, drill: { ...scenario.drill, events: [] }, controller: { ...scenario.controller, hold } };
      return between(simulate(quiet), 'speedRpm', 18, 19.9)[0]!;
    };
    expect(stepSpeedRpm(linearIdleOf(await shipped('stepper.yaml')), 1)).toBeCloseTo(level(34) - level(33), 0);
  });
});

/** First harmonic of play's answer to a sine, by quadrature over its second turn. */
function playByQuadrature(r: number): { readonly re: number; readonly im: number } {
  const [n, half] = [20_000, r];
  let [at, re, im] = [0, 0, 0];
  for (let k = 0; k < 2 * n; k++) {
    const angle = (2 * Math.PI * k) / n;
    const x = Math.sin(angle);
    at = Math.min(Math.max(at, x - half), x + half);
    if (k >= n) {
      re += (2 / n) * at * Math.sin(angle);
      im += (2 / n) * at * Math.cos(angle);
    }
  }
  return { re, im };
}

describe('play', () => {
  test.each([0.05, 0.3, 0.5, 0.8, 0.95])('its describing function at half a play of %f of the amplitude is the first harmonic of what it does', (r) => {
    const [got, want] = [playGain(r), playByQuadrature(r)];
    expect(got.re).toBeCloseTo(want.re, 4);
    expect(got.im).toBeCloseTo(want.im, 4);
  });

  // an integral and a proportional term too strong for this engine to bear play besides
  const STRONG = ['valve.hysteresis=0.5', 'controller.pid.kp=0.05', 'controller.pid.ki=0.03', 'controller.pid.kd=0.004'];

  test('swings as told after a knock beyond the threshold: amplitude within 10 %, frequency within 2 %', async () => {
    const scenario = await knocked('eight.yaml', STRONG, 10);
    const idle = linearIdleOf(scenario);
    const { cycle } = playCycle(idle, imperfections(scenario.valve, idle).play);
    const found = swing(simulate(scenario), 35, 60);
    expect(Math.abs(found.rpm / cycle!.speedRpm - 1)).toBeLessThan(0.1);
    expect(Math.abs(found.hz / cycle!.hz - 1)).toBeLessThan(0.02);
  });

  test('dies in the play after one well below it', async () => {
    const scenario = await knocked('eight.yaml', STRONG, 0.2);
    const idle = linearIdleOf(scenario);
    const { cycle } = playCycle(idle, imperfections(scenario.valve, idle).play);
    expect(cycle!.thresholdRpm).toBeGreaterThan(4);
    const trace = simulate(scenario);
    const knock = between(trace, 'speedRpm', 2, 5);
    expect(Math.max(...knock) - Math.min(...knock)).toBeLessThan(cycle!.thresholdRpm!);
    const end = between(trace, 'speedRpm', 40, 60);
    expect(Math.max(...end) - Math.min(...end)).toBeLessThan(1);
  });

  test('adds nothing to a loop with room enough, and none is told', async () => {
    const scenario = await knocked('solenoid.yaml', ['valve.hysteresis=3'], 6);
    const idle = linearIdleOf(scenario);
    expect(playCycle(idle, imperfections(scenario.valve, idle).play).cycle).toBeNull();
    expect(swing(simulate(scenario), 40, 60).rpm).toBeLessThan(2);
  });
});
