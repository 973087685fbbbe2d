/**
 * PID recurrences against worked sequences.
 *
 * Source of the structure: K. J. Åström and B. Wittenmark, Computer-Controlled Systems; K. J. Åström and T. Hägglund,
 * Advanced PID Control, 2006. The sequences are worked cases of that recurrence, computed outside this project (those in
 * data/pid-sequences.json in exact rational arithmetic); they check the recurrence and are not published numbers.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createPidState, type PidSettings, pidTable, primePid, stepPid } from '../../src/controller/pid.js';
import { fill } from '../../src/parameter/fill.js';
import { expectPrinted, shown } from './printed.js';

type Way = PidSettings['antiWindup'];
interface Row {
  readonly k: number; readonly r: number; readonly y: number; readonly P: number; readonly I: number; readonly D: number; readonly v: number; readonly u: number;
}
const file = JSON.parse(readFileSync(new URL('./data/pid-sequences.json', import.meta.url), 'utf8')) as {
  readonly parameters: Readonly<Record<'Kp' | 'Ki' | 'Kd' | 'Tf' | 'h' | 'Tt' | 'umin' | 'umax', number>>;
  readonly sequences: Readonly<Record<Way, readonly Row[]>>;
};
const clip = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));
/** The exact number rounded once, against some dozen rounded operations on numbers up to 4. */
const NEAR = 2e-14;

/** Largest error of all sequences. */
let worst = 0;
function near(got: number, want: number, what: string): void {
  worst = Math.max(worst, Math.abs(got - want));
  expect(Math.abs(got - want), what).toBeLessThan(NEAR);
}

describe.each(Object.entries(file.sequences) as [Way, readonly Row[]][])('%s', (antiWindup, rows) => {
  const { Kp, Ki, Kd, Tf, h, Tt, umin, umax } = file.parameters;
  const settings = fill(pidTable, { kp: Kp, ki: Ki, kd: Kd, derivativeFilterS: Tf, trackingTimeS: Tt, antiWindup });

  test('every term of all fifteen samples', () => {
    expect(rows).toHaveLength(15);
    const state = createPidState();
    primePid(state, rows[0]!.y);
    for (const row of rows) {
      const before = state.integral;
      const v = stepPid(settings, state, h, row.r, row.y, umin, umax);
      const p = Kp * (row.r - row.y);
      const name = `sample ${row.k}`;
      near(state.derivative, row.D, `${name}: D`);
      near(v, row.v, `${name}: v`);
      near(clip(v, umin, umax), row.u, `${name}: u`);
      near(v - p - state.derivative, row.I, `${name}: I within v`);
      // moved after the output, but ahead of it in that variant
      near(antiWindup === 'conditional-ahead' ? state.integral : before, row.I, `${name}: I kept`);
    }
  });
});

test('the largest error of those is the one printed', () => expectPrinted('PID recurrences', shown(worst)));

test('the four ways part where they should: the sequences are not one another’s', () => {
  const last = (way: Way): number => file.sequences[way].at(-1)!.v;
  const ways = ['conditional', 'back-calculation', 'conditional-ahead', 'none'] as const;
  expect(new Set(ways.map(last)).size).toBe(4);
});

/**
 * Wind-up: integrator y ← y + h·u held to ±0.2, K = 1, T_i = 2 s, h = 0.1 s, target 1, from rest (computed).
 * @returns y[0], y[1] …
 */
function windUp(antiWindup: Way): number[] {
  const settings = fill(pidTable, { kp: 1, ki: 0.5, kd: 0, derivativeFilterS: 0, trackingTimeS: 2, antiWindup });
  const state = createPidState();
  primePid(state, 0);
  const y = [0];
  for (let k = 0; k < 200; k++) y.push(y[k]! + 0.1 * clip(stepPid(settings, state, 0.1, 1, y[k]!, -0.2, 0.2), -0.2, 0.2));
  return y;
}
const peak = (y: readonly number[]): readonly [number, number] => [y.indexOf(Math.max(...y)), Math.max(...y)];
const insideFrom = (y: readonly number[]): number => y.findLastIndex((value) => Math.abs(value - 1) > 0.02) + 1;

test('wind-up without protection: 1.66897202 at sample 86, inside 2 % from sample 165', () => {
  const y = windUp('none');
  expect(y[50]).toBeCloseTo(1, 8);
  expect(peak(y)[0]).toBe(86);
  expect(peak(y)[1]).toBeCloseTo(1.66897202, 8);
  expect(y[100]).toBeCloseTo(1.46229536, 8);
  expect(y[150]).toBeCloseTo(0.96120706, 8);
  expect(y[200]).toBeCloseTo(1.00201826, 8);
  expect(insideFrom(y)).toBe(165);
});

test('wind-up with tracking, T_t = T_i: 1.12390419 at sample 65, inside 2 % from sample 98', () => {
  const y = windUp('back-calculation');
  expect(y[50]).toBeCloseTo(1, 8);
  expect(peak(y)[0]).toBe(65);
  expect(peak(y)[1]).toBeCloseTo(1.12390419, 8);
  expect(y[100]).toBeCloseTo(1.01492685, 8);
  expect(y[150]).toBeCloseTo(0.99785461, 8);
  expect(insideFrom(y)).toBe(98);
});

test('the filtered derivative of a unit step, K = 1, T_d = 1, N = 10, h = 0.1: −5, −2.5, −1.25 … (computed)', () => {
  // T_f = T_d/N and K_d = K·T_d
  const settings = fill(pidTable, { kp: 0, ki: 0, kd: 1, derivativeFilterS: 0.1 });
  const state = createPidState();
  primePid(state, 0);
  for (const want of [-5, -2.5, -1.25, -0.625, -0.3125]) expect(stepPid(settings, state, 0.1, 0, 1, -100, 100)).toBeCloseTo(want, 12);
});

test('the filtered derivative of ten readings, K = 2, T_d = 0.25, N = 8, h = 0.1 (computed)', () => {
  const settings = fill(pidTable, { kp: 0, ki: 0, kd: 0.5, derivativeFilterS: 0.25 / 8 });
  const state = createPidState();
  primePid(state, 0);
  const rows = [
    [0, 0], [0, 0], [0.1, -0.380952381], [0.25, -0.6621315193], [0.45, -0.9195551236], [0.65, -0.980846458], [0.8, -0.8049634424],
    [0.9, -0.5726103434], [0.95, -0.3268119865], [1, -0.2682885682],
  ] as const;
  for (const [y, d] of rows) expect(stepPid(settings, state, 0.1, 0, y, -100, 100)).toBeCloseTo(d, 10);
});
