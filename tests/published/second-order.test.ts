/**
 * Step metrics against the standard second-order system, 1/(s² + 2ζs + 1) with ωₙ = 1.
 *
 * Source: exact closed forms (Ogata, Modern Control Engineering, transient-response chapter): overshoot exp(−πζ/√(1−ζ²)), peak time π/√(1−ζ²),
 * envelope of the error exp(−ζt)/√(1−ζ²). The rise and settling times in data/second-order.json are roots of the closed-form
 * response, found to 25 digits (mpmath): t10, t90 first crossings; ts5, ts2, ts1 the last time |y − 1| = 5, 2, 1 %.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { stepMetrics } from '../../src/score/step.js';
import { expectPrinted, shown } from './printed.js';

interface Row {
  readonly zeta: number;
  readonly os_pct: number;
  readonly tp: number;
  readonly tr1090: number;
  readonly ts5: number;
  readonly ts2: number;
  readonly ts1: number;
}
const rows: readonly Row[] = JSON.parse(readFileSync(new URL('./data/second-order.json', import.meta.url), 'utf8'));

const STEP_S = 0.01;
const times = Float64Array.from({ length: 8001 }, (_, i) => i * STEP_S);

const response = (zeta: number, t: number): number => {
  const damped = Math.sqrt(1 - zeta * zeta);
  return 1 - (Math.exp(-zeta * t) / damped) * Math.sin(damped * t + Math.acos(zeta));
};

test('the table spans ζ = 0.1 … 0.9 and agrees with the closed forms', () => {
  expect(rows.map((row) => row.zeta)).toEqual([0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9]);
  for (const { zeta, os_pct, tp } of rows) {
    expect(100 * Math.exp((-Math.PI * zeta) / Math.sqrt(1 - zeta * zeta))).toBeCloseTo(os_pct, 7);
    expect(Math.PI / Math.sqrt(1 - zeta * zeta)).toBeCloseTo(tp, 8);
  }
});

/** Largest errors of all steps and all ζ. */
const worst = { overshoot: 0, time: 0, settling: 0 };

describe.each([
  { name: 'from 0 to 1', initial: 0, final: 1 },
  { name: 'downwards, from 950 to 800', initial: 950, final: 800 },
  { name: 'upwards to 0, from −40', initial: -40, final: 0 },
])('a step $name', ({ initial, final }) => {
  const size = Math.abs(final - initial);
  const metrics = (zeta: number, bandPct: number) => {
    const y = times.map((t) => initial + (final - initial) * response(zeta, t));
    return stepMetrics(times, y, { initial, final, band: (bandPct / 100) * size, holdS: 1 });
  };

  test.each(rows)('has the overshoot, peak and rise of ζ = $zeta', ({ zeta, os_pct, tp, tr1090 }) => {
    const got = metrics(zeta, 2);
    // A parabola through three samples h apart: h²·|y'''|/6 in time and h⁴ in value; a straight line: h²·|y''|/8|y'|.
    expect(Math.abs((got.overshootPct as number) - os_pct)).toBeLessThan(100 * 2 * STEP_S ** 4);
    expect(Math.abs((got.peakTimeS as number) - tp)).toBeLessThan(STEP_S * STEP_S);
    expect(Math.abs((got.riseTimeS as number) - tr1090)).toBeLessThan(STEP_S * STEP_S);
    expect(got.undershootPct).toBeLessThan(1e-9);
    worst.overshoot = Math.max(worst.overshoot, Math.abs((got.overshootPct as number) - os_pct));
    worst.time = Math.max(worst.time, Math.abs((got.peakTimeS as number) - tp), Math.abs((got.riseTimeS as number) - tr1090));
  });

  test.each(rows)('settles as ζ = $zeta does, and inside its envelope', ({ zeta, ts5, ts2, ts1 }) => {
    for (const [band, exact] of [[5, ts5], [2, ts2], [1, ts1]] as const) {
      const settled = metrics(zeta, band).settlingTimeS as number;
      expect(Math.abs(settled - exact)).toBeLessThan(4 * STEP_S * STEP_S);
      worst.settling = Math.max(worst.settling, Math.abs(settled - exact));
      expect(settled).toBeLessThanOrEqual(-Math.log((band / 100) * Math.sqrt(1 - zeta * zeta)) / zeta + 1e-4);
    }
  });
});

test('the errors of those are the ones printed', () => {
  expectPrinted(
    'overshoot, peak, rise and settling times',
    `overshoot ${shown(worst.overshoot)} %, peak and rise time ${shown(worst.time)}, settling time ${shown(worst.settling)} of 1/ω_n`,
  );
});
