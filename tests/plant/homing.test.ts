/** The stepper at key-on: it stands where it was left, homes or does not, and what that makes of lost steps. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import type { PlantInputs } from '../../src/plant/types.js';
import { createValve, type ValveSettings, valveTable } from '../../src/plant/valves/index.js';

const stepper = (given: object): ValveSettings => fill({ valve: valveTable }, { valve: { kind: 'stepper', ...given } } as never).valve;

/** True opening in steps after each of a number of milliseconds, from key-on under one command in steps. */
function fromKeyOn(given: { readonly steps: number }, command: number, ms: number): number[] {
  const valve = createValve(stepper(given), 1e-3);
  valve.rest(command / given.steps, 12, true);
  return [valve.track[2]!, ...Array.from({ length: ms }, () => {
    valve.move({ air: command / given.steps, supply: 12 } as PlantInputs);
    return valve.track[2]!;
  })].map((opening) => opening * given.steps);
}

const any = fc.record({
  steps: fc.integer({ min: 50, max: 250 }),
  rate: fc.integer({ min: 100, max: 500 }),
  lost: fc.integer({ min: -20, max: 20 }),
  share: fc.double({ min: 0.2, max: 0.8, noNaN: true }),
  overtravel: fc.integer({ min: 0, max: 50 }),
});

test('homing shuts it by its full range and the overtravel at its rate, then follows commands; lost steps are found again', () => {
  fc.assert(
    fc.property(any, ({ steps, rate, lost, share, overtravel }) => {
      const parked = Math.round(steps * share);
      const command = Math.round(steps * 0.5);
      const home = ((steps + overtravel) / rate) * 1e3;
      const seen = fromKeyOn({ steps, rate, lost, overtravel, parked, homing: true } as never, command, Math.ceil(home + (command / rate) * 1e3) + 10);
      expect(seen[0]).toBeCloseTo(parked, 9);
      expect(seen[Math.floor(home) - 1]).toBe(0);
      expect(seen.at(-1)).toBeCloseTo(command, 9);
      // shut no sooner than the steps from where it was parked take, open no sooner than all of homing takes
      const shutAt = seen.indexOf(0);
      expect(shutAt).toBeGreaterThanOrEqual(Math.floor(((parked - 1) / rate) * 1e3));
      expect(seen.findIndex((at, ms) => ms > shutAt && at > 0)).toBeGreaterThanOrEqual(Math.floor(home) - 11);
    }),
    { numRuns: 100 },
  );
});

test('without homing steps that were lost stay lost', () => {
  const seen = fromKeyOn({ steps: 200, lost: 15, parked: 60, homing: false } as never, 100, 2000);
  expect(seen[0]).toBeCloseTo(60, 9);
  expect(seen.at(-1)).toBeCloseTo(85, 9);
});

test('a run that starts with the engine running neither homes nor stands where it was parked', () => {
  const valve = createValve(stepper({ lost: 15, parked: 0, homing: true }), 1e-3);
  valve.rest(0.5, 14);
  expect(valve.track[2]).toBeCloseTo(0.425, 12);
});

test('a place beyond the range is refused', () => {
  expect(() => createValve(stepper({ steps: 100, parked: 120 }), 1e-3)).toThrow(/^valve\.parked/);
});
