import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findRoot } from '../../src/numerics/root.js';

describe('findRoot', () => {
  it('finds closed-form roots to the last bits', () => {
    expect(findRoot((x) => x * x - 2, 0, 2)).toBeCloseTo(Math.SQRT2, 15);
    expect(findRoot(Math.cos, 0, 3)).toBeCloseTo(Math.PI / 2, 15);
    expect(findRoot((x) => Math.exp(x) - 10, -5, 20)).toBeCloseTo(Math.LN10, 14);
    expect(findRoot((x) => x ** 9, -1, 2)).toBeCloseTo(0, 15);
  });

  it('takes the ends in either order, and returns an end that is a root', () => {
    expect(findRoot((x) => x - 1, 3, 0)).toBe(1);
    expect(findRoot((x) => x, 0, 5)).toBe(0);
    expect(findRoot((x) => x - 5, 0, 5)).toBe(5);
  });

  it('needs few evaluations on a smooth function, and no more than a few bisections on a bad one', () => {
    let calls = 0;
    const counted = (f: (x: number) => number) => (x: number) => {
      calls++;
      return f(x);
    };
    findRoot(counted((x) => Math.exp(x) - 3), 0, 2, 1e-12);
    expect(calls).toBeLessThan(12);
    calls = 0;
    expect(findRoot(counted((x) => (x < 0.3 ? -1 : 1)), 0, 1, 1e-9)).toBeCloseTo(0.3, 8);
    expect(calls).toBeLessThan(100);
  });

  it('stops within the tolerance that was asked for', () => {
    fc.assert(
      fc.property(fc.double({ min: -9, max: 9, noNaN: true }), fc.double({ min: 1e-10, max: 1e-2, noNaN: true }), (root, tolerance) => {
        const found = findRoot((x) => (x - root) * (1 + (x - root) ** 2), -10, 10, tolerance);
        expect(Math.abs(found - root)).toBeLessThanOrEqual(tolerance + 4 * Number.EPSILON * Math.abs(root));
      }),
    );
  });

  it('returns a point beside a change of sign for any monotone cubic', () => {
    const coefficient = fc.double({ min: 0.01, max: 100, noNaN: true });
    fc.assert(
      fc.property(coefficient, coefficient, fc.double({ min: -50, max: 50, noNaN: true }), (a, b, c) => {
        const f = (x: number) => a * x ** 3 + b * x - c;
        const x = findRoot(f, -1e4, 1e4);
        const room = 8 * Number.EPSILON * Math.abs(x) + 2e4 * 2 ** -100;
        expect(f(x - room) <= 0 && f(x + room) >= 0).toBe(true);
      }),
    );
  });

  it('finds a root at or beside 0 in few steps, which no relative tolerance ends', () => {
    for (const root of [0, 5e-324, -1e-200]) {
      let calls = 0;
      const sign = (x: number) => {
        calls++;
        return x > root ? 1 : -1;
      };
      const found = findRoot(sign, -1e4, 3e4);
      expect(Math.abs(found - root)).toBeLessThanOrEqual(4e4 * 2 ** -100);
      expect(calls).toBeLessThan(300);
    }
  });

  it('copes with an end where the function is infinite', () => {
    expect(findRoot((x) => 1 / x - 4, 0, 2)).toBeCloseTo(0.25, 14);
  });

  it('refuses ends of like sign, naming what was looked for and both values', () => {
    expect(() => findRoot((x) => x * x + 1, -1, 2, 0, 'manifold pressure')).toThrow(
      new RangeError('manifold pressure: no change of sign between -1 and 2, where the function is 2 and 5'),
    );
  });

  it('refuses a function that gives NaN, saying where', () => {
    expect(() => findRoot((x) => (x > 0.9 ? NaN : x - 0.5), 0, 1, 0, 'air')).toThrow(/air: the function is not a number at 1/);
    expect(() => findRoot((x) => (Math.abs(x) < 0.9 ? NaN : x), -1, 1)).toThrow(RangeError);
  });

  it('refuses ends that are not finite and a tolerance below zero', () => {
    expect(() => findRoot((x) => x, -Infinity, 1)).toThrow(/finite ends/);
    expect(() => findRoot((x) => x, -1, 1, -1)).toThrow(/tolerance/);
  });
});
