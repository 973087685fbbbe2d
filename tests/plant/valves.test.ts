/** What holds for every valve that the table allows, whatever it is told. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill, type Partly } from '../../src/parameter/fill.js';
import type { PlantInputs } from '../../src/plant/types.js';
import { createValve, type ValveSettings, valveTable } from '../../src/plant/valves/index.js';
import type { Valve } from '../../src/plant/valves/valve.js';
import { anyValve } from './any.js';

const settings = (given: Partly<ValveSettings>): ValveSettings => fill({ valve: valveTable }, { valve: given }).valve;
const move = (valve: Valve, air: number, supply = 14): number => {
  valve.move({ air, supply } as PlantInputs);
  return valve.track[2]!;
};

/** Time in which a valve is where it will be, to the last bit, s. */
function settling(given: ValveSettings): number {
  if (given.kind === 'stepper') return given.steps / given.rate;
  if (given.kind === 'solenoid') return 40 * given.lag;
  const { damping: z, frequency } = given;
  return 100 / given.rate + 60 / (frequency * (z < 1 ? z : z - Math.sqrt(z * z - 1)));
}

const steps = fc.constantFrom(1e-4, 1e-3, 5e-3);
/** Commands, each held for a while; some beyond the range, as a controller of anyone's own may give them. */
const commands = fc.array(fc.record({ air: fc.double({ min: -0.2, max: 1.2, noNaN: true }), supply: fc.double({ min: 6, max: 18, noNaN: true }), held: fc.integer({ min: 1, max: 60 }) }), {
  minLength: 1,
  maxLength: 12,
});

describe('any valve', () => {
  test('never leaves its stops, and each step starts where the last one ended', () => {
    fc.assert(
      fc.property(anyValve, steps, commands, (given, step, told) => {
        const valve = createValve(given, step);
        valve.rest(told[0]!.air, told[0]!.supply);
        for (const { air, supply, held } of told) {
          for (let k = 0; k < held; k++) {
            const before = valve.track[2]!;
            move(valve, air, supply);
            const [start, middle, end] = valve.track as unknown as [number, number, number];
            const inside = [start, middle, end].every((opening) => opening >= 0 && opening <= 1);
            const joined = start === before || (given.kind === 'solenoid' && given.lag === 0);
            // a motor has a mass: it may turn within a step
            const oneWay = given.kind === 'throttle-motor' || (middle - start) * (end - middle) >= 0;
            if (!(inside && joined && oneWay)) throw new Error(`from ${before}: ${start}, ${middle}, ${end}`);
          }
        }
      }),
      { numRuns: 200 },
    );
  });

  test('a command that stands brings it to one place and leaves it there', () => {
    fc.assert(
      fc.property(anyValve, fc.double({ min: 0, max: 1, noNaN: true }), (given, air) => {
        const valve = createValve(given, 5e-3);
        valve.rest(0.5, 14);
        const time = settling(given);
        for (let k = 0; k < time / 5e-3 + 2; k++) move(valve, air);
        const there = valve.track[2]!;
        for (let k = 0; k < 20; k++) expect(Math.abs(move(valve, air) - there)).toBeLessThanOrEqual(1e-15);
      }),
      { numRuns: 100 },
    );
  });

  test('the command that is said to hold an opening does', () => {
    fc.assert(
      fc.property(anyValve, fc.double({ min: 0.01, max: 0.99, noNaN: true }), fc.double({ min: 12, max: 15, noNaN: true }), (given, opening, supply) => {
        const valve = createValve(given, 1e-3);
        const command = valve.commandFor(opening, supply);
        fc.pre(command >= 0 && command <= 1);
        valve.rest(command, supply);
        const whole = given.kind === 'stepper' ? 0.5 / given.steps : given.kind === 'throttle-motor' ? given.smallest / 200 : 0;
        expect(Math.abs(valve.track[2]! - opening)).toBeLessThanOrEqual(whole + 1e-9);
      }),
      { numRuns: 200 },
    );
  });

  test('an opening that it cannot reach asks for a command beyond its range, the farther the farther', () => {
    fc.assert(
      fc.property(anyValve, fc.double({ min: 1e-6, max: 1, noNaN: true }), fc.double({ min: 12, max: 15, noNaN: true }), (given, off, supply) => {
        const valve = createValve(given, 1e-3);
        const beyond = valve.commandFor(1 + off, supply);
        const below = valve.commandFor(-off, supply);
        return beyond > 1 && below < 0 && valve.commandFor(1 + 2 * off, supply) > beyond && valve.commandFor(-2 * off, supply) < below;
      }),
      { numRuns: 200 },
    );
  });
});

describe('stepper', () => {
  /** Steps that the motor makes, one entry a plant step, read off the opening. */
  const made = (given: ValveSettings, step: number, told: readonly { readonly air: number; readonly held: number }[]): number[] => {
    if (given.kind !== 'stepper') throw new Error('a stepper is wanted');
    const valve = createValve(given, step);
    valve.rest(0, 14);
    const seen: number[] = [];
    for (const { air, held } of told) {
      for (let k = 0; k < held; k++) {
        const before = valve.track[2]!;
        const moved = (move(valve, air) - before) * given.steps;
        if (!(Math.abs(moved - Math.round(moved)) < 1e-9)) throw new Error(`${moved} is no whole number of steps`);
        seen.push(Math.round(moved));
      }
    }
    return seen;
  };
  const plain = fc
    .record({ steps: fc.integer({ min: 10, max: 2000 }), rate: fc.double({ min: 5, max: 2000, noNaN: true }) })
    .map((given) => settings({ kind: 'stepper', ...given }));

  test('makes whole steps, and over no stretch of time more than its rate allows and one', () => {
    fc.assert(
      fc.property(plain, steps, commands, (given, step, told) => {
        const rate = given.kind === 'stepper' ? given.rate : 0;
        const seen = made(given, step, told).map(Math.abs);
        let most = 0;
        for (let from = 0; from < seen.length; from++) {
          let count = 0;
          for (let to = from; to < Math.min(seen.length, from + 80); to++) {
            count += seen[to]!;
            most = Math.max(most, count - (to - from + 1) * rate * step);
          }
        }
        expect(most).toBeLessThanOrEqual(1 + 1e-9);
      }),
      { numRuns: 150 },
    );
  });

  test('saves up no time while it has nowhere to go', () => {
    // 2000 steps/s and 5 ms: eleven steps at most in the first, and so in each one after a rest
    expect(made(settings({ kind: 'stepper', steps: 2000, rate: 2000 }), 5e-3, [{ air: 3 / 2000, held: 1 }, { air: 1, held: 3 }])).toEqual([3, 11, 10, 10]);
  });

  test.each([[160, 200], [77.7, 200], [250, 240], [1999, 2000]])('at %f steps/s runs %f steps in the time that they take', (rate, count) => {
    const seen = made(settings({ kind: 'stepper', steps: count, rate }), 1e-3, [{ air: 1, held: Math.ceil((1e3 * count) / rate) + 5 }]);
    expect(seen.reduce((sum, n) => sum + n)).toBe(count);
    const busy = seen.findLastIndex((n) => n > 0) + 1;
    // the first step may be due at once
    expect(Math.abs(busy - (1e3 * (count - 1)) / rate)).toBeLessThanOrEqual(1.001);
  });

  test('does not move for less than half a step, and its backlash swallows the first steps of a reversal', () => {
    const valve = createValve(settings({ kind: 'stepper', steps: 100, rate: 2000, backlash: 4 }), 1e-3);
    valve.rest(0.5, 14);
    expect(move(valve, 0.504)).toBe(0.5);
    for (let k = 0; k < 50; k++) move(valve, 0.6);
    expect(valve.track[2]).toBeCloseTo(0.56, 12);
    for (let k = 0; k < 50; k++) move(valve, 0.57);
    expect(valve.track[2]).toBeCloseTo(0.56, 12);
    for (let k = 0; k < 50; k++) move(valve, 0.53);
    expect(valve.track[2]).toBeCloseTo(0.53, 12);
  });

  test('lost steps shift it, and the stops hold all the same', () => {
    const valve = createValve(settings({ kind: 'stepper', steps: 100, rate: 2000, lost: 10 }), 1e-3);
    valve.rest(0.5, 14);
    expect(valve.track[2]).toBeCloseTo(0.4, 12);
    for (let k = 0; k < 100; k++) move(valve, 0.05);
    expect(valve.track[2]).toBe(0);
    expect(valve.commandFor(0.4, 14)).toBeCloseTo(0.5, 12);
  });
});

describe('solenoid', () => {
  test('moves by no more than its lag allows: the share 1 − exp(−h/τ) of the way, and of the full travel', () => {
    fc.assert(
      fc.property(anyValve, steps, commands, (given, step, told) => {
        fc.pre(given.kind === 'solenoid' && given.lag > 0);
        if (given.kind !== 'solenoid') return;
        const share = 1 - Math.exp(-step / given.lag);
        const valve = createValve(given, step);
        valve.rest(told[0]!.air, told[0]!.supply);
        let most = 0;
        for (const { air, supply, held } of told) {
          for (let k = 0; k < held; k++) {
            const before = valve.track[2]!;
            most = Math.max(most, Math.abs(move(valve, air, supply) - before));
          }
        }
        expect(most).toBeLessThanOrEqual(share * (1 + 1e-12) + 1e-15);
      }),
      { numRuns: 150 },
    );
  });

  test('answers a step as the closed form 1 − exp(−t/τ) does, to 1e-12', () => {
    const valve = createValve(settings({ kind: 'solenoid', lag: 0.045, opening: { x: [0, 100], y: [0, 100] } }), 1e-3);
    valve.rest(0.2, 14);
    for (let k = 1; k <= 300; k++) expect(Math.abs(move(valve, 0.7) - (0.7 - 0.5 * Math.exp(-k / 45)))).toBeLessThan(1e-12);
  });

  test('stays shut in its dead end, feels its supply, and parts rising from falling by its hysteresis', () => {
    const at = (given: object, air: number, supply: number, from: number): number => {
      const valve = createValve(settings({ kind: 'solenoid', lag: 0, ...given }), 1e-3);
      valve.rest(from, 14);
      return move(valve, air, supply);
    };
    expect(at({}, 0.079, 14, 0.5)).toBe(0);
    expect(at({}, 0.5, 14, 0)).toBeCloseTo(0.5, 12);
    // 12 V of 14: a share 0.6·(1 − 12/14) less of the duty
    expect(at({}, 0.5, 12, 0.5)).toBeCloseTo((0.5 * (1 - (0.6 * 2) / 14) - 0.08) / 0.84, 12);
    const play = { hysteresis: 6 };
    expect(at(play, 0.5, 14, 0.1) - at(play, 0.5, 14, 0.9)).toBeCloseTo(-0.06, 12);
  });
});

test('a flow or opening curve that falls, or never rises, is refused by name', () => {
  expect(() => createValve(settings({ kind: 'solenoid', opening: { x: [0, 50, 100], y: [0, 80, 70] } }), 1e-3)).toThrow(/^valve\.opening: falls/);
  expect(() => createValve(settings({ kind: 'solenoid', opening: { x: [0, 100], y: [5, 5] } }), 1e-3)).toThrow(/^valve\.opening: never rises/);
});
