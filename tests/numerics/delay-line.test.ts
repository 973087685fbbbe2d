import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createDelayLine } from '../../src/numerics/delay-line.js';

describe('createDelayLine', () => {
  it('holds a fill as if it had been constant for ever', () => {
    const line = createDelayLine(2, 8);
    line.fill(100, 7);
    for (const at of [-1e9, 99, 100, 102, 1e9]) expect(line.read(at)).toBe(7);
  });

  it('reads the value one angle back, linear between readings', () => {
    const line = createDelayLine(2, 8);
    line.fill(0, 0);
    line.push(1, 10);
    line.push(3, 20);
    expect(line.read(2.5)).toBe(5);
    expect(line.read(3)).toBe(10);
    expect(line.read(4)).toBe(15);
    expect(line.read(5)).toBe(20);
    expect(line.read(6)).toBe(20);
  });

  it('reads the newest when the angle is 0', () => {
    const line = createDelayLine(0, 4);
    line.fill(0, 1);
    for (let k = 1; k < 50; k++) {
      line.push(k * 0.1, k);
      expect(line.read(k * 0.1)).toBe(k);
      expect(line.read(k * 0.1 + 0.05)).toBe(k);
    }
  });

  it('gives the newest when asked newer, and the oldest kept when asked older', () => {
    const line = createDelayLine(0, 4);
    line.fill(0, 0);
    for (let k = 1; k <= 9; k++) line.push(k, 10 * k);
    expect(line.read(20)).toBe(90);
    expect(line.read(6)).toBe(60);
    expect(line.read(2)).toBe(60);
  });

  it('lets a change at the angle of the fill come out a whole delay later, as a step', () => {
    const line = createDelayLine(2, 8);
    line.fill(0, 1);
    line.push(0, 5);
    line.push(1, 5);
    expect(line.read(1.999)).toBe(1);
    expect(line.read(2)).toBe(5);
    expect(line.read(1.999)).toBe(1);
  });

  it('wears out no memory while the crank stands still', () => {
    const line = createDelayLine(2, 4);
    line.fill(0, 0);
    line.push(1, 1);
    for (let k = 0; k < 100; k++) line.push(2, 2 + k);
    expect(line.read(2.5)).toBe(0.5);
    expect(line.read(3.5)).toBe(1.5);
    expect(line.read(4)).toBe(101);
  });

  it('takes a first push for a fill', () => {
    const line = createDelayLine(1, 4);
    line.push(3, 8);
    expect(line.read(0)).toBe(8);
  });

  it('forgets everything at a fill', () => {
    const line = createDelayLine(1, 4);
    line.fill(0, 1);
    for (let k = 1; k < 30; k++) line.push(k, k);
    line.read(25);
    line.fill(5, 2);
    expect(line.read(29)).toBe(2);
    line.push(6, 4);
    expect(line.read(6.5)).toBe(3);
  });

  it('finds what a search through all readings finds, for reads that go forward and a little back', () => {
    const run = fc.array(fc.tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: -50, max: 50 }), fc.integer({ min: -2, max: 4 })), {
      minLength: 1,
      maxLength: 120,
    });
    fc.assert(
      fc.property(run, fc.integer({ min: 0, max: 12 }), (steps, angle) => {
        const line = createDelayLine(angle, 256);
        const kept: [number, number][] = [[0, 3]];
        line.fill(0, 3);
        let at = 0;
        for (const [turn, value, probe] of steps) {
          at += turn;
          line.push(at, value);
          kept.push([at, value]);
          const target = at + probe / 2 - angle;
          expect(line.read(at + probe / 2)).toBeCloseTo(searched(kept, target), 12);
        }
      }),
    );
  });

  it('keeps a long stream right with a ring of its own length: capacity is counted in readings', () => {
    const line = createDelayLine(Math.PI, 64);
    line.fill(0, 0);
    const turn = Math.PI / 62.5;
    for (let k = 1; k < 5000; k++) {
      line.push(k * turn, k);
      expect(line.read(k * turn)).toBeCloseTo(Math.max(0, k - 62.5), 6);
    }
  });

  it('refuses an angle that goes back or is NaN, naming both', () => {
    const line = createDelayLine(1, 4);
    line.fill(2, 0);
    expect(() => line.push(1.5, 0)).toThrow(/went back from 2 to 1.5 rad/);
    expect(() => line.push(NaN, 0)).toThrow(RangeError);
    expect(() => line.fill(NaN, 0)).toThrow(RangeError);
  });

  it('refuses to be read while empty, and bad sizes', () => {
    expect(() => createDelayLine(1, 4).read(0)).toThrow(/before any reading/);
    expect(() => createDelayLine(-1, 4)).toThrow(/angle of 0 or more/);
    expect(() => createDelayLine(NaN, 4)).toThrow(RangeError);
    expect(() => createDelayLine(1, 1)).toThrow(/capacity/);
    expect(() => createDelayLine(1, 2.5)).toThrow(RangeError);
  });

  it('delays by ∫ω dt under a speed that changes evenly, not by the angle over the present speed', () => {
    // ω = ω₀ + a t, so θ = ω₀ t + a t²/2; the sample one angle α back was taken at t′ with θ(t′) = θ(t) − α.
    const omega0 = 90;
    const a = -25;
    const alpha = 2 * Math.PI;
    const theta = (t: number) => omega0 * t + 0.5 * a * t * t;
    const when = (angle: number) => (-omega0 + Math.sqrt(omega0 * omega0 + 2 * a * angle)) / a;
    const line = createDelayLine(alpha, 1024);
    line.fill(0, 0);
    const h = 1e-3;
    for (let k = 1; k <= 2500; k++) {
      const t = k * h;
      line.push(theta(t), t);
      if (theta(t) < alpha + 1) continue;
      const sampledAt = when(theta(t) - alpha);
      expect(Math.abs(line.read(theta(t)) - sampledAt)).toBeLessThan(1e-6);
      if (k === 2500) expect(Math.abs(t - alpha / (omega0 + a * t) - sampledAt)).toBeGreaterThan(0.019);
    }
  });
});

/** Value at `target` of all readings: the last at a jump, linear between, held beyond. */
function searched(kept: readonly [number, number][], target: number): number {
  const k = kept.findLastIndex(([at]) => at <= target);
  if (k < 0) return (kept[0] as [number, number])[1];
  const [a0, v0] = kept[k] as [number, number];
  const after = kept[k + 1];
  if (after === undefined || target <= a0) return v0;
  // Between two angles the line runs from the last reading at the first to the first reading at the second.
  return v0 + ((after[1] - v0) * (target - a0)) / (after[0] - a0);
}
