/** The throttle motor: its linear part against closed forms, its rate, its smallest step. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import type { PlantInputs } from '../../src/plant/types.js';
import { areaOf, createValve, type ValveSettings, valveTable } from '../../src/plant/valves/index.js';
import { exponential, plateShare } from '../../src/plant/valves/throttle-motor.js';

const motor = (given: object): ValveSettings => fill({ valve: valveTable }, { valve: { kind: 'throttle-motor', ...given } } as never).valve;

/** Opening after each step of a command held. */
function answers(given: object, from: number, to: number, step: number, count: number): number[] {
  const valve = createValve(motor(given), step);
  valve.rest(from, 14);
  return Array.from({ length: count }, () => {
    valve.move({ air: to, supply: 14 } as PlantInputs);
    return valve.track[2]!;
  });
}

describe('exponential of a matrix', () => {
  test('is e^t·(cos, sin) of a turn and e^t of a diagonal, to 1e-13', () => {
    fc.assert(
      fc.property(fc.double({ min: -3, max: 3, noNaN: true }), fc.double({ min: -20, max: 20, noNaN: true }), fc.double({ min: 0, max: 2, noNaN: true }), (a, w, t) => {
        const turned = exponential(a, w, -w, a, t);
        const grown = Math.exp(a * t);
        const wanted = [grown * Math.cos(w * t), grown * Math.sin(w * t), -grown * Math.sin(w * t), grown * Math.cos(w * t)];
        turned.forEach((x, i) => expect(Math.abs(x - wanted[i]!)).toBeLessThan(1e-12 * Math.max(1, grown)));
        const [p, q, r, s] = exponential(a, 0, 0, w / 10, t);
        expect(Math.abs(p / grown - 1)).toBeLessThan(1e-13);
        expect(Math.abs(s / Math.exp((w / 10) * t) - 1)).toBeLessThan(1e-13);
        expect([q, r]).toEqual([0, 0]);
      }),
      { numRuns: 200 },
    );
  });

  test('of a nilpotent is 1 + A·t, and of no time 1', () => {
    expect(exponential(0, 7, 0, 0, 3)).toEqual([1, 21, 0, 1]);
    expect(exponential(1, 2, 3, 4, 0)).toEqual([1, 0, 0, 1]);
  });
});

describe('throttle motor', () => {
  test('answers a step as the closed form of a second-order system does, to 1e-11, at any step', () => {
    for (const step of [1e-4, 1e-3, 5e-3]) {
      const [w, z] = [25, 0.6];
      const seen = answers({ frequency: w, damping: z, rate: 20000, smallest: 0 }, 0.3, 0.35, step, Math.round(0.4 / step));
      const wd = w * Math.sqrt(1 - z * z);
      // the set point is there within the first half step: 0.05 of the range at 200 ranges a second takes 0.25 ms
      if (step < 1e-3) continue;
      seen.forEach((x, i) => {
        const t = (i + 1) * step;
        const wanted = 0.35 - 0.05 * Math.exp(-z * w * t) * (Math.cos(wd * t) + (z / Math.sqrt(1 - z * z)) * Math.sin(wd * t));
        expect(Math.abs(x - wanted)).toBeLessThan(1e-11);
      });
    }
  });

  test('the default makes a small step to between 63 and 95 % in 60 to 100 ms (common practice, no source)', () => {
    const seen = answers({}, 0.3, 0.32, 1e-3, 100);
    const share = (ms: number): number => (seen[ms - 1]! - 0.3) / 0.02;
    expect(share(60)).toBeGreaterThan(0.4);
    expect(share(80)).toBeGreaterThan(0.63);
    expect(share(100)).toBeLessThan(0.95);
  });

  test('is never faster than its rate when it is damped without overshoot', () => {
    fc.assert(
      fc.property(fc.double({ min: 5, max: 500, noNaN: true }), fc.double({ min: 1, max: 3, noNaN: true }), fc.double({ min: 5, max: 1000, noNaN: true }), (frequency, damping, rate) => {
        const seen = [0.1, ...answers({ frequency, damping, rate, smallest: 0 }, 0.1, 0.9, 1e-3, 400)];
        for (let i = 1; i < seen.length; i++) {
          expect(seen[i]! - seen[i - 1]!).toBeLessThanOrEqual((rate / 100) * 1e-3 * (1 + 1e-9));
          expect(seen[i]!).toBeGreaterThanOrEqual(seen[i - 1]! - 1e-15);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('does not answer less than half of its smallest step', () => {
    expect(answers({ smallest: 2 }, 0.3, 0.309, 1e-3, 200).at(-1)).toBe(0.3);
    expect(answers({ smallest: 2 }, 0.3, 0.311, 1e-3, 2000).at(-1)).toBeCloseTo(0.32, 12);
  });

  test('opens as a thin plate does, from nothing to all of its size, and never falls', () => {
    const closed = (7 * Math.PI) / 180;
    const turn = (8 * Math.PI) / 180;
    const share = plateShare(closed, turn);
    for (let i = 0; i <= 100; i++) {
      const wanted = (1 - Math.cos(closed + (turn * i) / 100) / Math.cos(closed)) / (1 - Math.cos(closed + turn) / Math.cos(closed));
      expect(Math.abs(share(i / 100) - wanted)).toBeLessThan(1e-9);
      if (i > 0) expect(share(i / 100)).toBeGreaterThan(share((i - 1) / 100));
    }
    const flow = (): number => 0.5;
    expect(areaOf(motor({ size: { by: 'area', area: 1e-4, discharge: 0.8 } }), flow)(1)).toBeCloseTo(8e-5, 15);
    // half-way it is less than half open, unlike the straight curve
    expect(share(0.5)).toBeLessThan(0.45);
    expect(areaOf(motor({ shape: 'flow', size: { by: 'area', area: 1e-4, discharge: 0.8 } }), flow)(0.5)).toBeCloseTo(4e-5, 15);
  });
});
