import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Complex, add, complex, magnitude } from '../../src/linear/complex.js';
import { marginsOf } from '../../src/linear/margins.js';
import { findMinimum } from '../../src/linear/minimum.js';
import { product } from '../../src/linear/polynomial.js';
import type { FrequencyResponse } from '../../src/linear/response.js';
import { closedLoopPoles, grows, polesOf, series, times, transfer } from '../../src/linear/transfer.js';
import '../properties.js';
import { near } from './near.js';

const delta = (h: number) => fc.double({ min: 0.05, max: h, noNaN: true });

describe('marginsOf', () => {
  it('gives null with the reason for what is not there', () => {
    const found = marginsOf(transfer([0.3], [1, 1]));
    expect(found).toMatchObject({ gainMargin: null, phaseMarginDeg: null, crossover: null, delayMarginS: null, gainReduction: null });
    for (const name of ['gainMargin', 'phaseMarginDeg', 'crossover', 'delayMarginS', 'gainReduction', 'rejectionBandwidth'] as const)
      expect(typeof found.reasons[name]).toBe('string');
    expect(found.stable).toBe(true);
    // S only tends to 1, at frequencies without end
    expect(found.ms).toBe(1);
    expect(found.msAt).toBe(Infinity);
  });

  it('gives no margin of a loop that is unstable, only its crossovers', () => {
    const found = marginsOf(transfer([10], [1, 3, 3, 1]));
    expect(found.stable).toBe(false);
    expect(found.unstablePoles).toBe(2);
    expect(found.gainMargin).toBeNull();
    expect(found.ms).toBeNull();
    expect(found.reasons.ms).toMatch(/unstable/);
    near(found.phaseCrossovers[0]?.gainMargin, 0.8);
    expect(found.gainCrossovers[0]?.phaseMarginDeg as number).toBeLessThan(0);
  });

  it('follows a loop of any time scale and finds a crossover below the stated range', () => {
    for (const unit of [1e-6, 1, 1e6]) {
      const loop: FrequencyResponse = { ...transfer([1], [unit, 0], { delayS: unit }), from: 10 / unit, to: 100 / unit };
      near(marginsOf({ ...loop, at: (omega) => times(0.01, transfer([1], [unit, 0])).at(omega) }).crossover, 0.01 / unit);
    }
  });

  it('finds a resonance that is a thousand times narrower than a decade', () => {
    // |L| stays below 1 but for a spike of ζ = 1e-4 at 7 rad/s
    const loop = series(transfer([0.02], [0.3, 1]), transfer([49], [1, 2 * 1e-4 * 7, 49]));
    const found = marginsOf(loop);
    expect(found.gainCrossovers.length).toBe(2);
    for (const { omega } of found.gainCrossovers) near(magnitude(loop.at(omega)), 1, 1e-9);
  });

  it('misses none of the phase crossovers that a long delay makes', () => {
    // atan(ω/1000) + 10 ω = (2k + 1) π
    const below = Math.floor((1000 + Math.atan(0.1)) / (2 * Math.PI) + 0.5);
    const found = marginsOf(transfer([0.9], [1e-3, 1], { delayS: 10 }));
    expect(found.phaseCrossovers.filter(({ omega }) => omega < 100)).toHaveLength(below);
  });

  it('has T tend to exactly 1 at rest where there is integral action and no peak', () => {
    expect(marginsOf(transfer([0.1], [1, 1, 0]))).toMatchObject({ mt: 1, mtAt: 0 });
  });

  it('counts a negative gain at rest as a phase crossover at frequency 0', () => {
    const found = marginsOf(transfer([-0.5], [1, 1]));
    near(found.gainMargin, 2, 1e-6);
    expect(found.gainMarginAt).toBe(0);
    expect(marginsOf(transfer([-2], [1, 1])).unstablePoles).toBe(1);
  });

  it('two integrators without lead, and a loop through −1, are not stable', () => {
    expect(marginsOf(transfer([1], [1, 0.5, 0, 0])).unstablePoles).toBe(2);
    expect(marginsOf(transfer([8], [1, 3, 3, 1])).stable).not.toBe(true);
  });

  it('refuses a pole on the axis away from 0, and a range that is none', () => {
    const pole: FrequencyResponse = { ...transfer([1], [1, 0, 1]), from: 0.1, to: 1 };
    expect(() => marginsOf(pole)).toThrow(/not finite at 1 rad\/s/);
    expect(() => marginsOf({ ...pole, from: 0 })).toThrow(/range 0/);
  });

  it('says that the count is unknown where the gain does not die out', () => {
    const found = marginsOf({ ...transfer([2], [1], { delayS: 1 }), from: 0.01, to: 1 });
    expect(found.stable).toBeNull();
    expect(found.reasons.stable).toMatch(/above 1/);
    // followed through many turns it is plain that it is unstable, however high the gain
    for (const gain of [2, 1e4]) {
      const late = marginsOf(transfer([gain], [1e-3, 1], { delayS: 1 }));
      expect(late.stable).toBe(false);
      expect(late.gainMargin).toBeNull();
    }
  });

  it('bandwidths of 1/(s (s + 1)) with unit gain, from their polynomials in ω²', () => {
    const found = marginsOf(transfer([1], [1, 1, 0]));
    // |T|² = 1/((1 − x)² + x) = 1/2; |S|² = x (1 + x)/((1 − x)² + x) = 1/2
    near(found.bandwidth, Math.sqrt((1 + Math.sqrt(5)) / 2));
    near(found.rejectionBandwidth, Math.sqrt((-3 + Math.sqrt(13)) / 2));
  });
});

describe('against the poles, for any small loop', () => {
  const root = fc.oneof(delta(20).map((a) => [1, a]), fc.tuple(delta(20), delta(1)).map(([w, z]) => [1, 2 * z * w, w * w]));
  const under = fc.array(root, { minLength: 1, maxLength: 3 });
  const over = fc.array(fc.oneof(delta(20), delta(20).map((a) => -a)), { maxLength: 2 });

  it('the verdict of Nyquist’s criterion is that of the roots of 1 + L, unstable engines and integrators included', () => {
    fc.assert(
      fc.property(under, over, fc.double({ min: 0.01, max: 100, noNaN: true }), fc.integer({ min: 0, max: 2 }), fc.boolean(),
        (poles, zeros, gain, integrators, unstable) => {
          const denominator = product(...poles, ...(unstable ? [[1, -0.7]] : []), ...new Array(integrators).fill([1, 0]));
          const numerator = product([gain], ...zeros.map((z) => [1, z]));
          fc.pre(numerator.length < denominator.length);
          const loop = transfer(numerator, denominator);
          const closed = closedLoopPoles(loop);
          // too near the axis for either to tell
          fc.pre(closed.every((pole) => Math.abs(pole.re) > 1e-3 * magnitude(pole) && magnitude(pole) > 1e-3));
          const found = marginsOf(loop, { openLoopUnstablePoles: unstable ? 1 : 0 });
          expect(found.unstablePoles).toBe(closed.filter((pole) => grows(pole, null)).length);
        }),
      { numRuns: 150 },
    );
  });

  it('the same for sampled ones', () => {
    const pole = fc.oneof(fc.double({ min: -0.95, max: 0.98, noNaN: true }).map((a) => [1, -a]), fc.tuple(fc.double({ min: 0.1, max: 0.97, noNaN: true }), fc.double({ min: 0.1, max: 3, noNaN: true })).map(([r, a]) => [1, -2 * r * Math.cos(a), r * r]));
    fc.assert(
      fc.property(fc.array(pole, { minLength: 1, maxLength: 3 }), fc.double({ min: -3, max: 3, noNaN: true }), fc.boolean(), fc.integer({ min: 0, max: 4 }), (poles, gain, integrates, d) => {
        fc.pre(Math.abs(gain) > 0.01);
        const loop = transfer([gain], product(...poles, integrates ? [1, -1] : [1]), { periodS: 0.1, delayS: 0.1 * d });
        const closed = closedLoopPoles(loop);
        fc.pre(closed.every((z) => Math.abs(magnitude(z) - 1) > 1e-3));
        expect(marginsOf(loop).unstablePoles).toBe(closed.filter((z) => grows(z, 0.1)).length);
      }),
      { numRuns: 150 },
    );
  });

  it('Ms bounds the other margins: GM ≥ Ms/(Ms − 1), PM ≥ 2 asin(1/(2 Ms)) (Skogestad and Postlethwaite, section 2.4)', () => {
    let seen = 0;
    fc.assert(
      fc.property(under, fc.double({ min: 0.01, max: 30, noNaN: true }), delta(1), (poles, gain, delayS) => {
        const found = marginsOf(transfer([gain], product(...poles, [1, 0]), { delayS }));
        if (found.stable !== true) return;
        seen++;
        const ms = found.ms as number;
        if (found.gainMargin !== null) expect(found.gainMargin).toBeGreaterThanOrEqual((ms / (ms - 1)) * (1 - 1e-9));
        if (found.phaseMarginDeg !== null) expect(found.phaseMarginDeg).toBeGreaterThanOrEqual((360 / Math.PI) * Math.asin(1 / (2 * ms)) - 1e-7);
      }),
      { numRuns: 100 },
    );
    expect(seen).toBeGreaterThan(20);
  });

  it('Ms is no less than any of 5000 values of |S|, and is one of its values', () => {
    fc.assert(
      fc.property(under, over, fc.double({ min: 0.01, max: 3, noNaN: true }), (poles, zeros, gain) => {
        const loop = transfer(product([gain], ...zeros.map((z) => [1, z])), product(...poles, [1, 0], [0.01, 1], [0.01, 1]));
        const found = marginsOf(loop);
        if (found.stable !== true) return;
        const s = (omega: number): number => 1 / magnitude(add(complex(1), loop.at(omega)) as Complex);
        for (let i = 0; i <= 5000; i++) expect(s(1e-3 * 1e7 ** (i / 5000))).toBeLessThanOrEqual((found.ms as number) * (1 + 1e-12));
        if (found.msAt !== Infinity) near(s(found.msAt as number), found.ms as number, 1e-12);
      }),
      { numRuns: 20 },
    );
  });
});

describe('findMinimum', () => {
  it('finds the place as closely as the values can tell it, and an end where the minimum is there', () => {
    near(findMinimum((x) => (x - 0.3) ** 2 + 1, 0, 1).x, 0.3, 1e-7);
    near(findMinimum(Math.cos, 2, 5).x, Math.PI, 1e-7);
    near(findMinimum((x) => Math.abs(x - 0.7), 0, 1).x, 0.7, 1e-8);
    expect(findMinimum((x) => x, 2, 3)).toEqual({ x: 2, y: 2 });
    expect(findMinimum((x) => -x, 2, 3)).toEqual({ x: 3, y: -3 });
  });

  it('needs few values of a smooth function', () => {
    let calls = 0;
    findMinimum((x) => (calls++, Math.exp(x) - 2 * x), 0, 1);
    expect(calls).toBeLessThan(25);
  });
});

describe('poles', () => {
  it('of a transfer function, with those of a sampled delay; a continuous delay has poles without end', () => {
    expect(polesOf(transfer([1], [1, 3, 2])).map(({ re }) => re).sort((a, b) => a - b)).toEqual([expect.closeTo(-2, 12), expect.closeTo(-1, 12)]);
    expect(polesOf(transfer([1], [1, -0.5], { periodS: 1, delayS: 3 }))).toHaveLength(4);
    expect(() => closedLoopPoles(transfer([1], [1, 1], { delayS: 1 }))).toThrow(/without end/);
  });
});
