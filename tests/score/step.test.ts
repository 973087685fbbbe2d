import fc from 'fast-check';
import { expect, test } from 'vitest';
import { stepMetrics } from '../../src/score/step.js';

const t = Float64Array.from({ length: 1001 }, (_, i) => i / 100);
const of = (curve: (x: number) => number) => t.map(curve);

test('a constant at its target has settled from the start, and there is no step to speak of', () => {
  const got = stepMetrics(t, of(() => 800), { initial: 800, final: 800, band: 25, holdS: 1 });
  expect(got.settlingTimeS).toBe(0);
  for (const name of ['overshootPct', 'peakTimeS', 'riseTimeS', 'undershootPct'] as const) {
    expect(got[name]).toBeNull();
    expect(got.reasons[name]).toBe('there is no step');
  }
});

test('a first-order rise has no overshoot, a rise time of τ ln 9 and settles at τ ln(step/band)', () => {
  const got = stepMetrics(t, of((x) => 800 + 100 * (1 - Math.exp(-x))), { initial: 800, final: 900, band: 25, holdS: 1 });
  expect(got.overshootPct).toBe(0);
  expect(got.peakTimeS).toBeNull();
  expect(got.reasons.peakTimeS).toBe('it never passes the final value');
  expect(got.riseTimeS).toBeCloseTo(Math.log(9), 4);
  expect(got.settlingTimeS).toBeCloseTo(Math.log(4), 4);
});

test('a step that stops half-way neither rises nor settles, and says so', () => {
  const got = stepMetrics(t, of((x) => 800 + 50 * Math.min(1, x)), { initial: 800, final: 900, band: 25, holdS: 1 });
  expect(got.riseTimeS).toBeNull();
  expect(got.reasons.riseTimeS).toContain('90 %');
  expect(got.settlingTimeS).toBeNull();
  expect(got.reasons.settlingTimeS).toBe('still outside the band at the end of the window');
});

test('a record that ends before the band has been held is not settled', () => {
  const y = of((x) => (x < 9.5 ? 700 : 800));
  expect(stepMetrics(t, y, { initial: 700, final: 800, band: 25, holdS: 1 }).settlingTimeS).toBeNull();
  expect(stepMetrics(t, y, { initial: 700, final: 800, band: 25, holdS: 1 }).reasons.settlingTimeS).toContain('held for 1 s');
  // From 700 at 9.49 to 800 at 9.50: the band's edge, 775, is three quarters on.
  expect(stepMetrics(t, y, { initial: 700, final: 800, band: 25, holdS: 0.5 }).settlingTimeS).toBeCloseTo(9.4975, 9);
});

test('a response that first goes the wrong way has an undershoot', () => {
  // 1 − e^(−x)(1 + 3x) starts downwards; it is least at x = 2/3, where it is 1 − 3e^(−2/3).
  const got = stepMetrics(t, of((x) => 1 - Math.exp(-x) * (1 + 3 * x)), { initial: 0, final: 1, band: 0.02, holdS: 1 });
  expect(got.undershootPct).toBeCloseTo(100 * (3 * Math.exp(-2 / 3) - 1), 4);
});

test('times count from the first sample used', () => {
  const late = t.map((x) => x + 100);
  const y = of((x) => 1 - Math.exp(-x));
  const options = { initial: 0, final: 1, band: 0.05, holdS: 1 };
  expect(stepMetrics(late, y, options).settlingTimeS).toBeCloseTo(stepMetrics(t, y, options).settlingTimeS as number, 9);
  expect(stepMetrics(t, y, { ...options, from: 100 }).settlingTimeS).toBeCloseTo(Math.log(20) - 1, 4);
});

test('no samples, lengths that differ and a NaN are refused', () => {
  const options = { initial: 0, final: 1, band: 0.05, holdS: 1 };
  expect(() => stepMetrics([], [], options)).toThrow('no samples');
  expect(() => stepMetrics([0, 1], [0], options)).toThrow('2 times but 1 values');
  expect(() => stepMetrics([0, 1], [0, Number.NaN], options)).toThrow('sample 1 is not finite');
});

test('mirrored, shifted and scaled steps have the same metrics', () => {
  fc.assert(
    fc.property(fc.double({ min: 0.05, max: 0.95, noNaN: true }), fc.integer({ min: -2000, max: 2000 }), fc.integer({ min: 1, max: 500 }), (zeta, initial, size) => {
      const damped = Math.sqrt(1 - zeta * zeta);
      const unit = of((x) => 1 - (Math.exp(-2 * zeta * x) / damped) * Math.sin(2 * damped * x + Math.acos(zeta)));
      const up = stepMetrics(t, unit, { initial: 0, final: 1, band: 0.1, holdS: 0.5 });
      const down = stepMetrics(t, unit.map((v) => initial - size * v), { initial, final: initial - size, band: 0.1 * size, holdS: 0.5 });
      for (const name of ['overshootPct', 'riseTimeS', 'settlingTimeS'] as const) {
        if (up[name] === null) expect(down[name]).toBeNull();
        else expect(down[name]).toBeCloseTo(up[name], 6);
      }
    }),
    { numRuns: 50 },
  );
});
