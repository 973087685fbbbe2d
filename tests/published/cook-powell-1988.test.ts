/**
 * The published linear idle model of a six at 600 rpm through this project's linear room.
 *
 * J. A. Cook, B. K. Powell, Modeling of an internal combustion engine for control analysis, IEEE Control Systems Magazine
 * 8(4), 1988, pp. 20-26; parameters as two public transcriptions of its table agree on them.
 *
 *     dp/dt = −p/τ_p + K_p·(K_θ·θ − K_N·N)          dN/dt = −N/τ_R + K_R·(G_p·p + G_δ·δ − T_d)
 *
 * psi, rpm, degrees, ft lbf. The delay of 0.033 s is dropped where the values say so. Poles, gains and step responses were
 * computed from the published parameters outside this project (matrix exponential), and are not published themselves.
 */
import { describe, expect, test } from 'vitest';
import { add, type Complex, complex, divide, multiply, scale, turn } from '../../src/linear/complex.js';
import { type EngineAt, engineAt, enginePoles, exponential, unstableEnginePoles } from '../../src/linear/idle-engine.js';
import type { LinearEngine } from '../../src/linear/jacobian.js';
import { modeOf } from '../../src/linear/zeros.js';

const K_THETA = 20;
const TAU_P = 0.21;
const K_P = 0.776;
const K_N = 0.08;
const G_P = 13.37;
const G_DELTA = 10;
const K_R = 67.2;
const TAU_R = 3.98;

const model = (delay = 0): LinearEngine => ({
  pressure: { byPressure: -1 / TAU_P, bySpeed: -K_P * K_N, byOpening: K_P * K_THETA },
  speed: { byPressure: 0, bySpeed: -1 / TAU_R, byCharge: K_R * G_P, bySpark: K_R * G_DELTA, byLoad: -K_R },
  charge: { byPressure: 1, bySpeed: 0 },
  chargeDelay: delay, sparkDelay: 0, window: 0, film: null, valve: { gain: 1, lag: 0, positioner: null },
});

/** Step response at t: the value at rest and the residues of the pair of poles. */
function stepAt(of: keyof EngineAt, t: number): number {
  const engine = model();
  const [pole] = enginePoles(engine) as [Complex];
  // mean of (s − p)·G(s) round a circle: what is regular inside drops out
  let residue = complex(0);
  for (let k = 0; k < 32; k++) {
    const off = scale(turn((2 * Math.PI * (k + 0.5)) / 32), 2);
    residue = add(residue, scale(multiply(off, engineAt(engine, add(pole, off))[of]), 1 / 32));
  }
  return engineAt(engine, complex(0))[of].re + 2 * multiply(divide(residue, pole), exponential(scale(pole, t))).re;
}

describe('without the delay', () => {
  test('natural frequency 7.548053 rad/s and damping 0.33208306, poles −2.50658052 ± j7.11970208', () => {
    const poles = enginePoles(model());
    expect(poles).toHaveLength(1);
    const { frequency, damping } = modeOf(poles[0]!);
    expect(frequency).toBeCloseTo(7.548053, 6);
    expect(damping).toBeCloseTo(0.33208306, 7);
    expect(poles[0]!.re).toBeCloseTo(-2.50658052, 7);
    expect(poles[0]!.im).toBeCloseTo(7.11970208, 7);
    expect(unstableEnginePoles(model())).toBe(0);
  });

  test('gains at rest: load −5.6166854, spark 56.166854, throttle 244.7499 rpm', () => {
    const rest = engineAt(model(), complex(0));
    expect(rest.fromLoad.re).toBeCloseTo(-5.6166854, 6);
    expect(rest.fromSpark.re).toBeCloseTo(56.166854, 5);
    expect(rest.fromAir.re).toBeCloseTo(244.7499, 4);
  });

  test.each([
    [0.05, -3.266295, 15.87423, 32.662953],
    [0.1, -6.101033, 56.723432, 61.010331],
    [0.2, -9.589675, 171.423694, 95.896749],
    [0.3, -10.005259, 272.232654, 100.052587],
    [0.5, -6.216944, 318.611062, 62.169439],
    [1, -5.761435, 226.16066, 57.614352],
    [2, -5.669854, 244.345997, 56.698539],
    [5, -5.616672, 244.750612, 56.166724],
  ])('%f s after a step of load, throttle, spark: %f, %f, %f rpm', (t, load, throttle, spark) => {
    expect(Math.abs(stepAt('fromLoad', t) - load)).toBeLessThan(1.01e-6);
    expect(Math.abs(stepAt('fromAir', t) - throttle)).toBeLessThan(1.01e-6);
    expect(Math.abs(stepAt('fromSpark', t) - spark)).toBeLessThan(1.01e-6);
  });

  test('deepest dip −10.164969 rpm at 0.26371 s, highest throttle peak 325.72970 rpm at 0.44125 s', () => {
    expect(stepAt('fromLoad', 0.26371)).toBeCloseTo(-10.164969, 5);
    expect(stepAt('fromAir', 0.44125)).toBeCloseTo(325.7297, 4);
    for (const [of, t] of [['fromLoad', 0.26371], ['fromAir', 0.44125]] as const) {
      const sign = of === 'fromLoad' ? -1 : 1;
      for (const beside of [t - 0.001, t + 0.001]) expect(sign * stepAt(of, beside)).toBeLessThan(sign * stepAt(of, t));
    }
  });
});

describe('with the delay of 0.033 s', () => {
  test('the engine is less damped, and gains at rest are the same', () => {
    expect(modeOf(enginePoles(model(0.033))[0]!).damping).toBeLessThan(modeOf(enginePoles(model())[0]!).damping);
    expect(engineAt(model(0.033), complex(0)).fromLoad.re).toBeCloseTo(-5.6166854, 6);
  });

  test('the turn of the characteristic function counts growing poles: none, and two where the delay is long', () => {
    // the delay at which the pair of poles reaches the axis is where the linear model without it still has phase to spare
    expect([0.033, 0.4].map((delay) => unstableEnginePoles(model(delay)))).toEqual([0, 2]);
    expect(enginePoles(model(0.4))[0]!.re).toBeGreaterThan(0);
  });
});
