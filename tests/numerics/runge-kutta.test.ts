import { describe, expect, it } from 'vitest';
import { createRungeKutta, type Derivative } from '../../src/numerics/runge-kutta.js';

/** Errors at time 2 of `n` and of 2n steps, as a measured order. */
function order(solve: (steps: number) => number): number {
  return Math.log2(solve(20) / solve(40));
}

function exponential(steps: number): number {
  const x = Float64Array.of(1);
  const step = createRungeKutta(1);
  for (let i = 0; i < steps; i++) step((s, _stage, dx) => (dx[0] = -1.3 * (s[0] as number)), x, 2 / steps);
  return Math.abs((x[0] as number) - Math.exp(-2.6));
}

function oscillator(steps: number): number {
  const x = Float64Array.of(1, 0);
  const step = createRungeKutta(2);
  const derivative: Derivative = (s, _stage, dx) => {
    dx[0] = s[1] as number;
    dx[1] = -9 * (s[0] as number);
  };
  for (let i = 0; i < steps; i++) step(derivative, x, 2 / steps);
  return Math.hypot((x[0] as number) - Math.cos(6), ((x[1] as number) + 3 * Math.sin(6)) / 3);
}

/** x' = −2 t x² with x(0) = 1, so x = 1/(1 + t²); the time comes in through the stage. */
function driven(steps: number): number {
  const x = Float64Array.of(1);
  const step = createRungeKutta(1);
  const h = 2 / steps;
  for (let i = 0; i < steps; i++) {
    step((s, stage, dx) => (dx[0] = -2 * (i + stage / 2) * h * (s[0] as number) ** 2), x, h);
  }
  return Math.abs((x[0] as number) - 1 / 5);
}

describe('the Runge–Kutta step', () => {
  it('has order 4 on the exponential: half the step, a sixteenth of the error', () => {
    expect(order(exponential)).toBeCloseTo(4, 0);
    expect(exponential(20) / exponential(40)).toBeGreaterThan(14.5);
    expect(exponential(20) / exponential(40)).toBeLessThan(17.5);
  });

  it('has order 4 on the harmonic oscillator', () => {
    expect(Math.abs(order(oscillator) - 4)).toBeLessThan(0.15);
  });

  it('has order 4 where the right-hand side varies with time', () => {
    expect(Math.abs(order(driven) - 4)).toBeLessThan(0.15);
  });

  it('integrates a cubic of time exactly, as Simpson’s rule does', () => {
    const x = Float64Array.of(0);
    const at = [0, 0.5, 1] as const;
    createRungeKutta(1)((_s, stage, dx) => (dx[0] = 4 * at[stage] ** 3 - 3 * at[stage] ** 2), x, 1);
    expect(x[0]).toBeCloseTo(0, 15);
  });

  it('agrees with one step of x′ = x worked by hand: 1 + h + h²/2 + h³/6 + h⁴/24', () => {
    const x = Float64Array.of(1);
    createRungeKutta(1)((s, _stage, dx) => (dx[0] = s[0] as number), x, 0.5);
    expect(x[0]).toBeCloseTo(1 + 0.5 + 0.125 + 0.125 / 6 + 0.0625 / 24, 15);
  });

  it('asks for the derivative at the start, twice in the middle and at the end, never in the state itself but first', () => {
    const x = Float64Array.of(1);
    const seen: number[] = [];
    const own: boolean[] = [];
    createRungeKutta(1)(
      (s, stage, dx) => {
        seen.push(stage);
        own.push(s === x);
        dx[0] = 1;
      },
      x,
      0.1,
    );
    expect(seen).toEqual([0, 1, 1, 2]);
    expect(own).toEqual([true, false, false, false]);
  });

  it('refuses a state without numbers', () => {
    expect(() => createRungeKutta(0)).toThrow(RangeError);
    expect(() => createRungeKutta(1.5)).toThrow(RangeError);
  });
});
