import { describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { fill } from '../../src/parameter/fill.js';
import { limitsTable, scoreTrace } from '../../src/score/index.js';
import { findSwings } from '../../src/score/swings.js';
import { shipped } from '../trade/shipped.js';
import { sampled } from './traces.js';

const DT = 0.01;
const BAND = 25;
const swings = (lengthS: number, curve: (t: number) => number) => {
  const error = sampled(Math.round(lengthS / DT), DT, curve);
  return findSwings(error, 0, error.length, DT, BAND);
};
const bell = (t: number): number => Math.exp(-((t / 0.3) ** 2));
const sine = (hz: number, t: number): number => Math.sin(2 * Math.PI * hz * t);

describe('swings beyond the band are hunting', () => {
  test.each([1.4, 2, 2.8])('when %d cycles of a sine are seen', (cycles) => {
    const got = swings(cycles / 0.4, (t) => 60 * sine(0.4, t));
    expect(got.peakToPeakRpm).toBeCloseTo(120, 0);
    expect(got.frequencyHz).toBeCloseTo(0.4, 2);
  });

  test('when they grow: the last is told', () => {
    const got = swings(7, (t) => 30 * Math.exp(0.3 * t) * sine(0.4, t));
    expect(got.peakToPeakRpm).toBeGreaterThan(250);
    expect(got.frequencyHz).toBeCloseTo(0.4, 1);
  });
});

describe('swings are not hunting', () => {
  test.each([
    ['when they shrink', (t: number) => 300 * Math.exp(-0.3 * t) * sine(0.4, t), 'dies away'],
    ['when fewer than three are seen', (t: number) => 60 * sine(0.15, t), 'fewer than 3'],
    ['within the band', (t: number) => 24 * sine(0.4, t), 'fewer than 3'],
    ['when they come unevenly', (t: number) => 60 * (bell(t - 1) - bell(t - 2) + bell(t - 5)), 'evenly'],
    ['when the curve between them is not round', (t: number) => 60 * sine(0.4, t) + 30 * sine(2, t), 'without a period'],
  ] as const)('%s', (_, curve, reason) => {
    const got = swings(7, curve);
    expect(got.peakToPeakRpm).toBeNull();
    expect(got.reason).toContain(reason);
  });
});

describe('an engine whose loop hunts slowly, in a window of 7 s', () => {
  const run = async (file: string, set: readonly string[]) => {
    const scenario = await shipped(file, set);
    return scoreTrace(simulate(scenario), fill(limitsTable, { huntingRpm: 20 }), scenario.scoring);
  };

  test('is said to hunt, and misses its limit, when the swings grow', async () => {
    const gains = ['controller.pid.kp=0.005', 'controller.pid.ki=0.07', 'controller.pid.kd=0', 'drill.events.0.torque=3 N m'];
    const got = await run('solenoid.yaml', gains);
    expect(got.events[0]!.huntingRpm).toBeGreaterThan(150);
    expect(Math.abs((got.events[0]!.huntingHz as number) - 0.4)).toBeLessThan(0.05);
    expect(got.missed.map(({ limit }) => limit)).toEqual(['huntingRpm']);
  });

  test('is not, when it is only rough by 8 %, over 40 seeds; nor when its response decays', async () => {
    let unsettled = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const got = await run('solenoid.yaml', ['engine.roughness=8 %', `run.seed=${seed}`]);
      for (const event of got.events) {
        if (event.settlingTimeS === null) unsettled++;
        expect(event.huntingRpm, `seed ${seed}`).toBeNull();
      }
    }
    expect(unsettled).toBeGreaterThan(10);
    expect((await run('solenoid.yaml', [])).events.map(({ huntingRpm }) => huntingRpm)).toEqual([null, null]);
  });
});
