import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkCurve, interpolate } from '../../src/numerics/curve.js';

const curve = { x: [-20, 0, 30, 90], y: [60, 45, 38, 25] };

describe('interpolate', () => {
  it('gives the points exactly', () => {
    expect(curve.x.map((x) => interpolate(curve, x))).toEqual(curve.y);
  });

  it('is linear between points', () => {
    expect(interpolate(curve, -10)).toBe(52.5);
    expect(interpolate(curve, 60)).toBe(31.5);
    expect(interpolate(curve, 10)).toBeCloseTo(45 - 7 / 3, 12);
  });

  it('holds the end values beyond the ends', () => {
    expect(interpolate(curve, -40)).toBe(60);
    expect(interpolate(curve, 120)).toBe(25);
    expect(interpolate(curve, Infinity)).toBe(25);
  });

  it('takes one point for a constant', () => {
    const one = { x: [20], y: [7] };
    for (const x of [-1e9, 20, 1e9]) expect(interpolate(one, x)).toBe(7);
  });

  it('gives NaN for NaN between two points or more', () => {
    expect(interpolate(curve, NaN)).toBeNaN();
  });

  it('finds the right segment of any curve: the result is that of a search from the start', () => {
    const distinct = fc.uniqueArray(fc.integer({ min: -1000, max: 1000 }), { minLength: 2, maxLength: 40 });
    const points = distinct.map((x) => x.sort((a, b) => a - b));
    fc.assert(
      fc.property(points, fc.double({ min: -1100, max: 1100, noNaN: true }), (x, at) => {
        const y = x.map((v) => (v * 7919) % 101);
        const first = x[0] as number;
        const last = x[x.length - 1] as number;
        const inside = Math.min(Math.max(at, first), last);
        const k = Math.min(x.findLastIndex((v) => v <= inside), x.length - 2);
        const [x0, x1, y0, y1] = [x[k], x[k + 1], y[k], y[k + 1]] as [number, number, number, number];
        expect(interpolate({ x, y }, at)).toBeCloseTo(y0 + ((y1 - y0) * (inside - x0)) / (x1 - x0), 9);
      }),
    );
  });
});

describe('checkCurve', () => {
  it('returns a curve that can be read', () => {
    expect(checkCurve(curve)).toBe(curve);
    expect(checkCurve({ x: [1], y: [1] }).x).toEqual([1]);
  });

  it('refuses an empty curve, by name', () => {
    expect(() => checkCurve({ x: [], y: [] }, 'base air')).toThrow(new RangeError('base air: has no points; needs at least one'));
  });

  it('refuses lengths that differ', () => {
    expect(() => checkCurve({ x: [1, 2], y: [1] })).toThrow(/2 values of x against 1 of y/);
  });

  it('refuses x that does not strictly ascend, and says where', () => {
    expect(() => checkCurve({ x: [1, 2, 2], y: [1, 2, 3] })).toThrow(/point 3 has 2 after 2/);
    expect(() => checkCurve({ x: [1, 0], y: [1, 2] })).toThrow(RangeError);
  });

  it('refuses numbers that are not finite', () => {
    expect(() => checkCurve({ x: [1, NaN], y: [1, 2] })).toThrow(/point 2 is \(NaN, 2\)/);
    expect(() => checkCurve({ x: [1, 2], y: [Infinity, 2] })).toThrow(RangeError);
  });
});
