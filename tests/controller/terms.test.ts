/** The single terms of the controller, each alone. */
import { describe, expect, test } from 'vitest';
import { createController } from '../../src/controller/controller.js';
import { createLoadsState, stepLoads } from '../../src/controller/loads.js';
import { type ControllerSettings, controllerTable } from '../../src/controller/parameters.js';
import type { Measured } from '../../src/controller/types.js';
import { fill, type Partly } from '../../src/parameter/fill.js';
import { stepLearn } from '../../src/controller/learn.js';
import { idling } from './measured.js';

const settings = (given: Partly<ControllerSettings> = {}): ControllerSettings =>
  fill(controllerTable, {
    base: { x: [0, 100], y: [30, 30] },
    targetRpm: { x: [80], y: [800] },
    pid: { kp: 0, ki: 0, kd: 0 },
    ...given,
  } as never);

/** Ticks with the same reading; the air commands, one a tick. */
const airs = (controller: ReturnType<typeof createController>, measured: Measured, ticks: number): number[] =>
  Array.from({ length: ticks }, () => controller.step(measured).air);

describe('air around the start', () => {
  const start = { cranking: { x: [80], y: [55] }, after: { x: [0, 100], y: [20, 10] }, durationS: { x: [80], y: [4] } };

  test('off and cranking, the command is that of cranking alone', () => {
    const controller = createController(settings({ start, loads: [{ name: 'fan', air: 7 }] } as never));
    expect(airs(controller, idling({ engine: 'off', loadRequests: [true] }), 3)).toEqual([55, 55, 55]);
    expect(airs(controller, idling({ engine: 'cranking' }), 2)).toEqual([55, 55]);
  });

  test('air after start is full at the catch, half at half its duration, nothing at its end (common practice, no source)', () => {
    const controller = createController(settings({ start } as never));
    airs(controller, idling({ engine: 'cranking', coolantC: 100 }), 5);
    const after = airs(controller, idling({ coolantC: 100 }), 250).map((air) => air - 30);
    expect(after[0]).toBeCloseTo(10, 12);
    expect(after[100]).toBeCloseTo(5, 12);
    expect(after[200]).toBe(0);
    expect(after[249]).toBe(0);
  });

  test('it is that of the coolant at the catch, and there is none for an engine that ran all along', () => {
    const controller = createController(settings({ start } as never));
    expect(airs(controller, idling(), 3)).toEqual([30, 30, 30]);
    airs(controller, idling({ engine: 'cranking', coolantC: 0 }), 1);
    expect(controller.step(idling({ coolantC: 0 })).air).toBeCloseTo(50, 12);
    expect(controller.step(idling({ coolantC: 100 })).air).toBeCloseTo(30 + 20 * (1 - 0.02 / 4), 12);
  });
});

describe('air while the loop is open', () => {
  const openAir = { moving: 6, dashpot: 8, dashpotTimeS: 0.5, fadeS: 1 };

  test('a moving car has its air, and it fades over the stated time once the loop closes', () => {
    const controller = createController(settings({ openAir: { ...openAir, dashpot: 0 }, entry: { windowRpm: 100 } } as never));
    expect(controller.step(idling({ vehicleSpeedKmh: 30, speedRpm: 2000 })).air).toBe(36);
    const fading = airs(controller, idling({ vehicleSpeedKmh: 30 }), 60).map((air) => air - 30);
    expect(fading[24]).toBeCloseTo(3, 9);
    expect(fading[50]).toBeCloseTo(0, 9);
  });

  test('the dashpot is charged by the open throttle and decays with its time constant', () => {
    const controller = createController(settings({ openAir } as never));
    const rev = idling({ speedRpm: 3000 });
    expect(controller.step({ ...rev, throttlePct: 20 }).air).toBe(38);
    const after = airs(controller, rev, 25).map((air) => air - 30);
    expect(after[24]! / 8).toBeCloseTo(Math.exp(-1), 1);
    for (let i = 1; i < after.length; i++) expect(after[i]! / after[i - 1]!).toBeCloseTo(0.5 / 0.52, 12);
  });
});

describe('learning', () => {
  const learning = settings({ learn: { on: true, timeS: 1, limit: 3 } } as never);

  test('what the integral holds moves into the base with its time constant, and the command stays', () => {
    const state = { offset: 0 };
    let integral = 2;
    for (let k = 0; k < 50; k++) {
      integral = stepLearn(learning.learn, state, 0.02, 0, integral);
      expect(state.offset + integral).toBeCloseTo(2, 12);
    }
    expect(integral / 2).toBeCloseTo((1 - 0.02) ** 50, 9);
  });

  test('it is bounded either way, waits for a settled engine, and is off by default', () => {
    for (const sign of [1, -1]) {
      const state = { offset: 0 };
      let integral = 9 * sign;
      for (let k = 0; k < 1000; k++) integral = stepLearn(learning.learn, state, 0.02, 0, integral);
      expect([state.offset, integral]).toEqual([3 * sign, expect.closeTo(6 * sign, 9)]);
    }
    const state = { offset: 0 };
    expect(stepLearn(learning.learn, state, 0.02, 31, 2)).toBe(2);
    expect(stepLearn(settings().learn, state, 0.02, 0, 2)).toBe(2);
    expect(state.offset).toBe(0);
  });

  test('the controller goes on from what it learned', () => {
    const controller = createController(learning);
    controller.seed(32, idling());
    for (const air of airs(controller, idling(), 500)) expect(air).toBeCloseTo(32, 12);
    // the integral that is put in now comes on top of what was learned
    controller.seed(30, idling());
    expect(controller.step(idling()).air).toBeCloseTo(30, 12);
  });
});

describe('spark', () => {
  const trim = { rateDegPerRpm: 0.1, authorityDeg: 10, baseDeg: { x: [80], y: [12] } };

  test('a washout gives a steady error back to the air', () => {
    const controller = createController(settings({ spark: { ...trim, washoutS: 1 } } as never));
    const low = idling({ speedRpm: 750 });
    expect(controller.step(low).sparkDeg).toBeCloseTo(12 + 5 * (1 - 0.02 / 1.02), 9);
    for (let i = 0; i < 500; i++) controller.step(low);
    expect(controller.step(low).sparkDeg).toBeCloseTo(12, 3);
  });

  test('a slew limit bounds each change of the trim', () => {
    const controller = createController(settings({ spark: { ...trim, slewDegPerS: 50 } } as never));
    const sparks = Array.from({ length: 8 }, () => controller.step(idling({ speedRpm: 750 })).sparkDeg);
    sparks.forEach((deg, i) => expect(deg).toBeCloseTo(12 + Math.min(5, i + 1), 9));
  });

  test('the catalyst retard stands after a start, fades, and is not there without one', () => {
    const spark = { baseDeg: { x: [80], y: [12] }, catalyst: { retardDeg: { x: [80], y: [8] }, holdS: 1, fadeS: 2 } };
    const controller = createController(settings({ spark } as never));
    expect(controller.step(idling()).sparkDeg).toBe(12);
    controller.step(idling({ engine: 'cranking' }));
    const sparks = Array.from({ length: 200 }, () => controller.step(idling()).sparkDeg);
    expect(sparks[0]).toBe(4);
    expect(sparks[50]).toBe(4);
    expect(sparks[100]).toBeCloseTo(8, 9);
    expect(sparks[151]).toBe(12);
  });
});

test('intake-air correction is added while the engine runs', () => {
  const controller = createController(settings({ intakeAir: { x: [0, 50], y: [2, -3] } } as never));
  expect(controller.step(idling({ intakeAirC: 0 })).air).toBe(32);
  expect(controller.step(idling({ intakeAirC: 50 })).air).toBe(27);
});

test('a load that cycles is on and off by turns, its air ahead of it each time, for as long as it is asked for', () => {
  const cycling = settings({ loads: [{ name: 'compressor', air: 5, leadS: 0.1, cycleOnS: 1, cycleOffS: 0.5 }] } as never);
  const state = createLoadsState(1);
  const ticks = Array.from({ length: 150 }, () => {
    stepLoads(cycling, state, idling({ loadRequests: [true] }));
    return { air: state.air, on: state.on[0] };
  });
  const changes = ticks.flatMap((tick, k) => (k > 0 && tick.on !== ticks[k - 1]!.on ? [k] : []));
  expect(changes).toEqual([5, 50, 80, 125]);
  expect(ticks[0]).toEqual({ air: 5, on: false });
  expect(ticks[75]).toEqual({ air: 5, on: false });
  expect(ticks[60]).toEqual({ air: 0, on: false });
});
