/**
 * A worked example: a linear congruential generator s ← (1664525 s + 1013904223) mod 2³² from 12345, e = s/2³² − ½, 200 of
 * them. Its figures were made with NumPy and SciPy's χ².
 */
import { describe, expect, it } from 'vitest';
import { whiteness, type Whiteness } from '../../src/identify/whiteness.js';
import { createRandom } from '../../src/numerics/random.js';

function generator(n: number): Float64Array {
  let s = 12345;
  return Float64Array.from({ length: n }, () => {
    s = (Math.imul(1664525, s) + 1013904223) >>> 0;
    return s / 2 ** 32 - 0.5;
  });
}

const near = (got: Whiteness | null, r: readonly number[]): void => r.forEach((wanted, k) => expect(got?.autocorrelation[k]).toBeCloseTo(wanted, 7));

describe('whiteness', () => {
  it('of the generator is as worked: one lag of twenty outside, and white', () => {
    const e = generator(200);
    expect(e[0]).toBeCloseTo(-0.47959731, 8);
    const got = whiteness(e);
    near(got, [-0.07333501, -0.12474827, 0.15546558, -0.00657152, 0.10914093]);
    expect(got?.q).toBeCloseTo(19.97233334103598, 9);
    expect(got?.p).toBeCloseTo(0.4596615954523813, 10);
    expect(got?.band).toBeCloseTo(0.13859038, 8);
    expect(got?.outside).toEqual([3]);
    expect(got?.white).toBe(true);
  });

  it('of the same through x_k = 0.5 x_{k−1} + e_k is gone', () => {
    const e = generator(200);
    const x = new Float64Array(200);
    e.forEach((v, k) => (x[k] = 0.5 * (x[k - 1] ?? 0) + v));
    const got = whiteness(x);
    near(got, [0.42632808, 0.18974378, 0.24946496, 0.17687665, 0.20683289]);
    expect(got?.q).toBeCloseTo(95.05744291202527, 9);
    expect((got?.p as number) / 9.55e-12).toBeCloseTo(1, 2);
    expect(got?.white).toBe(false);
  });

  it('is denied to one white signal in twenty, by the meaning of 95 %', () => {
    const random = createRandom(3);
    const denied = Array.from({ length: 600 }, () => whiteness(Float64Array.from({ length: 300 }, () => random.normal()))).filter((w) => w?.white === false).length;
    expect(denied).toBeGreaterThan(12);
    expect(denied).toBeLessThan(54);
  });

  it('does not exist for residuals that are all the same, and not for fewer than lags', () => {
    expect(whiteness(new Float64Array(50).fill(3))).toBeNull();
    expect(() => whiteness(new Float64Array(20))).toThrow('20 lags of 20 residuals');
  });
});
