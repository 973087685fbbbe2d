/** The speed sensor against closed forms: mean speed between firings, never more than the time since the last one allows. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createSpeedSensor } from '../../src/loop/speed-sensor.js';
import { ANGLE, type Plant } from '../../src/plant/types.js';

const RPM = Math.PI / 30;

/** A crank that turns as it is told: angle against time, s. */
function crank(angleAt: (t: number) => number, step: number, cylinders: number, resolution: number) {
  const state = new Float64Array(4);
  const firingInterval = (4 * Math.PI) / cylinders;
  const plant = { state, step, firingInterval } as unknown as Plant;
  const sensor = createSpeedSensor(plant, resolution);
  state[ANGLE] = angleAt(0);
  let k = 0;
  return {
    sensor,
    firingInterval,
    /** Turns the crank to a time and reads. */
    readAt(time: number): number {
      for (; k < Math.round(time / step); ) {
        k += 1;
        state[ANGLE] = angleAt(k * step);
        sensor.update(k);
      }
      return sensor.readRpm(k);
    },
  };
}

describe('a constant speed', () => {
  test('reads as it is, from the first firing on, for any engine and step', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 16 }), fc.double({ min: 200, max: 8000, noNaN: true }), fc.constantFrom(1e-4, 1e-3, 5e-3), (cylinders, rpm, step) => {
        const { sensor, readAt, firingInterval } = crank((t) => rpm * RPM * t, step, cylinders, 0);
        sensor.reset(rpm * RPM);
        const period = firingInterval / (rpm * RPM);
        for (let i = 1; i <= 40; i++) {
          const read = readAt(i * Math.max(step, 0.35 * period));
          if (!(Math.abs(read / rpm - 1) < 1e-9)) throw new Error(`${read} rpm at reading ${i}`);
        }
      }),
      { numRuns: 150 },
    );
  });

  test('rounds to its resolution', () => {
    for (const [resolution, want] of [[1, 813], [10, 810], [25, 825], [0, 813.4]] as const) {
      const { sensor, readAt } = crank((t) => 813.4 * RPM * t, 1e-3, 4, resolution);
      sensor.reset(813.4 * RPM);
      expect(readAt(1)).toBeCloseTo(want, 8);
    }
  });
});

describe('a speed that falls in a straight line', () => {
  // φ = ω₀t − at²/2
  const [omega0, fall, step] = [100, 60, 1e-3];
  const angleAt = (t: number): number => omega0 * t - 0.5 * fall * t * t;
  const timeOf = (angle: number): number => (omega0 - Math.sqrt(omega0 ** 2 - 2 * fall * angle)) / fall;

  test('reads the mean over the last firing interval: interval over the time between the closed form’s firings', () => {
    const { sensor, readAt, firingInterval } = crank(angleAt, step, 4, 0);
    sensor.reset(omega0);
    for (let k = 50; k <= 1200; k++) {
      const t = k * step;
      const firings = Math.floor((angleAt(t) + 1e-12) / firingInterval);
      if (firings < 2) continue;
      const [last, before] = [timeOf(firings * firingInterval), timeOf((firings - 1) * firingInterval)];
      // so near a firing that rounding decides which side it is on, either reading is right
      if (t - last < 1e-9) continue;
      const want = Math.min(firingInterval / (last - before), firingInterval / (t - last)) / RPM;
      // a firing is placed along a straight line within its step: off by a·h²/8ω at most, of some 31 to 80 ms
      const read = readAt(t);
      if (!(Math.abs(read / want - 1) < 2e-5)) throw new Error(`${read} rpm for ${want} at ${t} s`);
    }
  });

  test('lags the true speed by half an interval, and a whole one just before the next firing', () => {
    const { sensor, readAt } = crank(angleAt, step, 4, 0);
    sensor.reset(omega0);
    for (let k = 100; k <= 1000; k++) {
      const now = (omega0 - fall * k * step) / RPM;
      const lag = readAt(k * step) - now;
      const interval = Math.PI / (omega0 - fall * k * step);
      expect(lag).toBeGreaterThan(0.4 * (fall / RPM) * interval);
      expect(lag).toBeLessThan(1.6 * (fall / RPM) * interval);
    }
  });
});

describe('a crank that stops', () => {
  test('reads no more than the time since its last firing allows: interval over time, down towards nothing', () => {
    // turns at 90 rad/s for half a second, then stands
    const { sensor, readAt, firingInterval } = crank((t) => 90 * Math.min(t, 0.5), 1e-3, 4, 0);
    sensor.reset(90);
    expect(readAt(0.5)).toBeCloseTo(90 / RPM, 6);
    const last = (Math.floor((90 * 0.5) / firingInterval) * firingInterval) / 90;
    let before = Infinity;
    for (const t of [0.51, 0.55, 0.6, 1, 2, 10]) {
      const read = readAt(t);
      expect(read).toBeCloseTo(Math.min(90, firingInterval / (t - last)) / RPM, 6);
      expect(read).toBeLessThanOrEqual(before);
      before = read;
    }
    expect(before).toBeLessThan(4);
  });

  test('one that never turned reads nothing', () => {
    const { sensor, readAt } = crank(() => 0, 1e-3, 4, 1);
    sensor.reset(0);
    expect([readAt(0), readAt(1), readAt(5)]).toEqual([0, 0, 0]);
  });
});
