/** One tick of the idle controller: loads, target, air, spark. Reader's units. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createController } from '../../src/controller/controller.js';
import { controllerTable } from '../../src/controller/parameters.js';
import { pidTable } from '../../src/controller/pid.js';
import type { Controller, Measured } from '../../src/controller/types.js';
import { fill, type Partly } from '../../src/parameter/fill.js';
import type { Values } from '../../src/parameter/table.js';
import { idling } from './measured.js';

type Given = Partly<Values<typeof controllerTable>>;
const make = (given: Given = {}): Controller => createController(fill(controllerTable, given));
const flat = (value: number) => ({ x: [80], y: [value] });

describe('target', () => {
  test('follows coolant along its curve, held beyond its ends', () => {
    const target = (coolantC: number): number => make().step(idling({ coolantC })).targetRpm;
    expect([-40, -20, 0, 20, 40, 80, 120].map(target)).toEqual([1300, 1300, 1200, 1100, 990, 800, 800]);
  });

  test('adds the speed-up of each load asked for, and the calibrator’s offset until it is set anew', () => {
    const controller = make({ loads: [{ name: 'fan', speedUpRpm: 50 }, { name: 'compressor', speedUpRpm: 100 }] });
    const target = (...loadRequests: boolean[]): number => controller.step(idling({ loadRequests })).targetRpm;
    expect([target(false, false), target(true, false), target(true, true), target(false, true)]).toEqual([800, 850, 950, 900]);
    controller.setTargetOffset(-40);
    expect(target(true, false)).toBe(810);
    controller.setTargetOffset(0);
    expect(target(false, false)).toBe(800);
  });
});

describe('loads with a lead', () => {
  const given = { loads: [{ name: 'compressor', air: 6, leadS: 0.5 }, { name: 'lights', air: 2 }] };
  const open = (loadRequests: boolean[]): Measured => idling({ loadRequests, inNeutral: false }); // the loop open: base and load air alone

  test('air comes at the request, the load after its lead; one without a lead at once', () => {
    const controller = make(given);
    expect(controller.step(open([false, false]))).toMatchObject({ air: 27, loadsOn: [false, false] });
    const seen = Array.from({ length: 30 }, () => {
      const { air, loadsOn } = controller.step(open([true, true]));
      return { air, compressor: loadsOn[0], lights: loadsOn[1] };
    });
    expect(seen.every(({ air, lights }) => air === 35 && lights === true)).toBe(true);
    expect(seen.findIndex(({ compressor }) => compressor)).toBe(25); // 0.5 s at 20 ms
  });

  test('both end with the request, and a new one waits its lead again', () => {
    const controller = make(given);
    for (let k = 0; k < 40; k++) controller.step(open([true, false]));
    expect(controller.step(open([false, false]))).toMatchObject({ air: 27, loadsOn: [false, false] });
    const again = Array.from({ length: 30 }, () => controller.step(open([true, false])).loadsOn[0]);
    expect(again.indexOf(true)).toBe(25);
  });

  test('a request taken back within the lead never switches the load', () => {
    const controller = make(given);
    for (let round = 0; round < 5; round++) {
      for (let k = 0; k < 20; k++) expect(controller.step(open([true, false])).loadsOn[0]).toBe(false);
      controller.step(open([false, false]));
    }
  });
});

describe('air', () => {
  test('a held command is that command, whatever is measured, and the loop says that it is held', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), fc.array(fc.integer({ min: 0, max: 3000 }), { minLength: 1, maxLength: 20 }), (hold, speeds) => {
        const controller = make({ hold });
        return speeds.every((speedRpm) => {
          const command = controller.step(idling({ speedRpm }));
          return command.air === hold && !command.loopClosed && command.loopOpenBecause === 'the command is held';
        });
      }),
    );
  });

  test('never leaves its clamp', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 50, noNaN: true }), fc.double({ min: 50, max: 100, noNaN: true }),
        fc.array(fc.record({ speedRpm: fc.integer({ min: 0, max: 3000 }), inNeutral: fc.boolean() }), { minLength: 1, maxLength: 60 }),
        (lowest, highest, ticks) => {
          const controller = make({ clamp: { lowest, highest }, pid: { kp: 0.3, ki: 1, kd: 0.1 } });
          return ticks.every((tick) => {
            const { air, airFraction } = controller.step(idling(tick));
            return air >= lowest && air <= highest && airFraction === air / 100;
          });
        },
      ),
    );
  });

  test('open, it adds the integral that it last held; closing again carries on from there without a kick of the derivative', () => {
    const controller = make({ base: flat(30), pid: { kp: 0, ki: 0.5, kd: 0.2 } });
    for (let k = 0; k < 50; k++) controller.step(idling({ speedRpm: 780 }));
    const held = 30 + 0.5 * 0.02 * 20 * 50;
    const open = controller.step(idling({ speedRpm: 900, throttlePct: 20 }));
    expect(open).toMatchObject({ loopClosed: false });
    expect(open.air).toBeCloseTo(held, 9);
    expect(controller.step(idling({ speedRpm: 800 })).air).toBeCloseTo(held, 9);
  });

  test('seeded, its first closed command at zero error is what it was seeded with', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 100, noNaN: true }), fc.double({ min: -30, max: 110, noNaN: true }), (air, coolantC) => {
        const controller = make();
        const at = idling({ coolantC });
        const speedRpm = controller.step(at).targetRpm;
        controller.reset();
        controller.seed(air, { ...at, speedRpm });
        expect(controller.step({ ...at, speedRpm }).air).toBeCloseTo(air, 9);
      }),
    );
  });

  test('inside the dead band the integral stands still, outside it moves', () => {
    const controller = make({ base: flat(30), pid: { kp: 0, ki: 1, kd: 0, deadBandRpm: 20 } });
    const after = (speedRpm: number): number => {
      for (let k = 0; k < 10; k++) controller.step(idling({ speedRpm }));
      return controller.step(idling({ speedRpm: 800 })).air;
    };
    expect([after(820), after(785)]).toEqual([30, 30]);
    expect(after(779)).toBeCloseTo(30 + 1 * 0.02 * 21 * 10, 9);
  });

  test('a saturated proportional controller held for long stays where it is and lets go at once', () => {
    const controller = make({ base: flat(30), pid: { kp: 0.1, ki: 0, kd: 0 } });
    for (let k = 0; k < 30_000; k++) controller.step(idling({ speedRpm: 50 }));
    expect(controller.step(idling({ speedRpm: 50 })).air).toBe(100);
    expect(controller.step(idling({ speedRpm: 800 })).air).toBe(30);
  });

  test.each(['conditional', 'conditional-ahead', 'back-calculation'] as const)('%s: a minute at the stop is left within a second of the error turning', (antiWindup) => {
    const controller = make({ base: flat(30), pid: { ...fill(pidTable), kp: 0.02, ki: 0.05, kd: 0, antiWindup } });
    for (let k = 0; k < 3000; k++) controller.step(idling({ speedRpm: 500 }));
    expect(controller.step(idling({ speedRpm: 500 })).air).toBeGreaterThan(99.5);
    let ticks = 0;
    while (controller.step(idling({ speedRpm: 860 })).air >= 100) ticks += 1;
    expect(ticks * 0.02).toBeLessThan(1);
  });

  test('without protection the same minute takes minutes to unwind', () => {
    const controller = make({ base: flat(30), pid: { kp: 0.02, ki: 0.05, kd: 0, antiWindup: 'none' } });
    for (let k = 0; k < 3000; k++) controller.step(idling({ speedRpm: 500 }));
    for (let k = 0; k < 3000; k++) controller.step(idling({ speedRpm: 860 }));
    expect(controller.step(idling({ speedRpm: 860 })).air).toBe(100);
  });
});

describe('spark', () => {
  test('base, slope and trim add up; the trim keeps to its authority and rests while the loop is open', () => {
    const controller = make({ spark: { baseDeg: flat(12), slopeDeg: { x: [600, 1000], y: [4, -4] }, rateDegPerRpm: 0.1, authorityDeg: 8 } });
    const spark = (given: Partial<Measured>): number => controller.step(idling(given)).sparkDeg;
    expect(spark({ speedRpm: 800 })).toBeCloseTo(12, 12);
    expect(spark({ speedRpm: 760 })).toBeCloseTo(12 + 0.8 + 4, 12);
    expect(spark({ speedRpm: 840 })).toBeCloseTo(12 - 0.8 - 4, 12);
    expect(spark({ speedRpm: 500 })).toBeCloseTo(12 + 4 + 8, 12);
    expect(spark({ speedRpm: 760, throttlePct: 20 })).toBeCloseTo(12 + 0.8, 12);
  });
});

test('the same ticks give the same commands, again after a reset', () => {
  const tick = fc.record({ speedRpm: fc.integer({ min: 0, max: 2500 }), throttlePct: fc.constantFrom(0, 20), coolantC: fc.integer({ min: -30, max: 110 }) });
  fc.assert(
    fc.property(fc.array(tick, { minLength: 1, maxLength: 50 }), (ticks) => {
      const controller = make({ entry: { forcedAfterS: 0.2 }, spark: { rateDegPerRpm: 0.1 } });
      const commands = (): string => JSON.stringify(ticks.map((t) => ({ ...controller.step(idling(t)) })));
      const first = commands();
      controller.reset();
      return commands() === first;
    }),
  );
});

describe('settings that cannot be are refused by name', () => {
  test.each<[string, Given, RegExp]>([
    ['a clamp upside down', { clamp: { lowest: 60, highest: 40 } }, /clamp\.lowest/],
    ['a period of nothing', { periodS: 0 }, /periodS: 0 is outside 0\.001/],
    ['a negative gain', { pid: { kp: -1 } }, /pid\.kp: -1 is outside 0 … 20/],
    ['a gain that is no number', { pid: { ki: Number.NaN } }, /pid\.ki: NaN/],
    ['an unknown protection', { pid: { antiWindup: 'some' as never } }, /antiWindup: some is none of conditional, /],
    ['an unknown key', { pid: { ky: 1 } as never }, /pid\.ky: unknown; known here: kp, ki, kd/],
    ['a curve that goes back', { targetRpm: { x: [20, 10], y: [900, 800] } }, /^controller\.target: x must ascend/],
    ['a curve without points', { base: { x: [], y: [] } }, /^controller\.base: has no points/],
    ['a curve with a hole', { spark: { slopeDeg: { x: [700, 900], y: [1, Number.NaN] } } }, /^controller\.spark\.slope: point 2/],
  ])('%s', (_name, given, message) => {
    expect(() => make(given)).toThrow(RangeError);
    expect(() => make(given)).toThrow(message);
  });
});
