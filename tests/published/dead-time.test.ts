/**
 * An integrator with dead time under proportional feedback, x′(t) = −K x(t − τ). Closed form: the characteristic equation
 * s + K e^(−sτ) = 0 has a pair on the imaginary axis, s = ±jK, where K·τ = π/2, and is stable below (textbook result; for
 * instance K. J. Åström and R. M. Murray, Feedback Systems, 2008, on time delays).
 *
 * Simulated with the delay line at a constant crank speed, so that the angle is a dead time.
 */
import { describe, expect, it } from 'vitest';
import { createDelayLine } from '../../src/numerics/delay-line.js';
import { createRungeKutta } from '../../src/numerics/runge-kutta.js';

const OMEGA = 80;
const ANGLE = 2 * Math.PI;
const TAU = ANGLE / OMEGA;
const STEP = 1e-3;

/** Largest |x| in the second half of a long run over the largest in the first half: above 1 it grows. */
function growth(K: number): number {
  const line = createDelayLine(ANGLE, 128);
  const step = createRungeKutta(1);
  const x = Float64Array.of(1);
  line.fill(0, 1);
  const steps = Math.round((400 * TAU) / STEP);
  const peaks = [0, 0];
  for (let k = 0; k < steps; k++) {
    const t = k * STEP;
    step((_s, stage, dx) => (dx[0] = -K * line.read(OMEGA * (t + 0.5 * stage * STEP))), x, STEP);
    line.push(OMEGA * (t + STEP), x[0] as number);
    const late = k < steps / 2 ? 0 : 1;
    if (k > 20 * (TAU / STEP)) peaks[late] = Math.max(peaks[late] as number, Math.abs(x[0] as number));
  }
  return (peaks[1] as number) / (peaks[0] as number);
}

describe('an integrator with dead time', () => {
  it('dies out one per cent below K·τ = π/2 and grows one per cent above', () => {
    expect(growth((0.99 * Math.PI) / 2 / TAU)).toBeLessThan(1);
    expect(growth((1.01 * Math.PI) / 2 / TAU)).toBeGreaterThan(1);
  });

  it('turns unstable at K·τ = π/2 ± 1 %, by bisection on the simulated growth', () => {
    let stable = 1;
    let unstable = 2;
    for (let i = 0; i < 12; i++) {
      const middle = (stable + unstable) / 2;
      if (growth(middle / TAU) < 1) stable = middle;
      else unstable = middle;
    }
    expect(Math.abs(unstable / (Math.PI / 2) - 1)).toBeLessThan(0.01);
  });

  it('oscillates at the gain itself on the border: the root is s = jK', () => {
    const K = Math.PI / 2 / TAU;
    const line = createDelayLine(ANGLE, 128);
    const step = createRungeKutta(1);
    const x = Float64Array.of(1);
    line.fill(0, 1);
    const crossings: number[] = [];
    for (let k = 0; k < 20_000; k++) {
      const before = x[0] as number;
      const t = k * STEP;
      step((_s, stage, dx) => (dx[0] = -K * line.read(OMEGA * (t + 0.5 * stage * STEP))), x, STEP);
      line.push(OMEGA * (t + STEP), x[0] as number);
      const now = x[0] as number;
      if (before > 0 && now <= 0 && t > 2) crossings.push(t + (STEP * before) / (before - now));
    }
    const period = ((crossings.at(-1) as number) - (crossings[0] as number)) / (crossings.length - 1);
    expect(Math.abs(period / ((2 * Math.PI) / K) - 1)).toBeLessThan(0.002);
  });
});
