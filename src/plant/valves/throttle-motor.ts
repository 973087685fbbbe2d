/**
 * Throttle motor: the plate itself is moved by a positioner, a small range of its travel serves the idle.
 *
 *     d²x/dt² = ω_n²·(r − x) − 2ζω_n·dx/dt           r: the command in whole smallest steps, its rate limited
 *
 * Exact over each half step, since r is constant there: (x − r, dx/dt) is multiplied by exp(A·h/2), worked out once by
 * scaling and squaring of its Taylor series (C. Moler and C. Van Loan, Nineteen dubious ways to compute the exponential of a
 * matrix, SIAM Review 45 (2003), method 3). For a small step x reaches 63 % at about 2.1/ω_n, 95 % at 3.5 to 5/ω_n.
 * The plate opens as a thin plate does (see throttle.ts), or as `flow` says. Its area stands beside that of the throttle
 * plate, which the pedal moves: with the foot off, when an idle is held, the two are one and the same.
 */
import { cos } from '../../numerics/elementary.js';
import { createTable } from '../../numerics/table.js';
import { choice, own, si } from '../../parameter/table.js';
import type { ValveLaw } from '../laws/law.js';
import { defineValve, flowRows } from './valve.js';

export const throttleMotorValve = defineValve({
  parameters: {
    frequency: own({ unit: '1', default: 32, min: 2, max: 500, meaning: 'natural frequency of the positioner, rad/s', source: '60 to 100 ms to 63 to 95 % of a small step: common practice, no source' }),
    damping: own({ unit: '1', default: 0.9, min: 0.2, max: 3, meaning: 'damping ratio of the positioner', source: 'assumed' }),
    rate: own({ unit: '%/s', default: 400, min: 5, max: 20000, meaning: 'fastest that its set point moves, of the idle range', source: 'assumed' }),
    smallest: own({ unit: '%', default: 0.5, min: 0, max: 20, meaning: 'smallest step that it makes, of the idle range; 0 for none', source: 'assumed' }),
    shape: choice({ options: ['plate', 'flow'], default: 'plate', meaning: 'area against travel: that of a plate, or the curve `flow`' }),
    closedAngle: si({ unit: 'deg', default: 7, min: 0, max: 30, meaning: 'angle of the plate at its stop', source: 'assumed' }),
    travel: si({ unit: 'deg', default: 8, min: 0.5, max: 60, meaning: 'turn of the plate for the full idle range, at which `size` holds', source: 'assumed' }),
    ...flowRows,
  },
  share: ({ shape, closedAngle, travel }) => (shape === 'plate' ? plateShare(closedAngle, travel) : null),
  create(settings, step) {
    const { frequency, damping, smallest } = settings;
    const [a, b, c, d] = exponential(0, 1, -frequency * frequency, -2 * damping * frequency, step / 2);
    const perHalf = (settings.rate / 100) * (step / 2);
    const grain = smallest / 100;
    const track = new Float64Array(3);
    const motion = { at: 0.5, velocity: 0.5, point: 0.5 };
    const inSteps = (command: number): number => {
      const within = command < 0 ? 0 : command > 1 ? 1 : command;
      if (grain === 0) return within;
      const whole = Math.round(within / grain) * grain;
      return whole > 1 ? 1 : whole;
    };
    const half = (wanted: number): number => {
      const off = wanted - motion.point;
      motion.point = off > perHalf ? motion.point + perHalf : off < -perHalf ? motion.point - perHalf : wanted;
      const x = motion.at - motion.point;
      const v = motion.velocity;
      motion.at = motion.point + (a * x + b * v);
      motion.velocity = c * x + d * v;
      // the stops
      if (motion.at < 0 || motion.at > 1) {
        motion.at = motion.at < 0 ? 0 : 1;
        motion.velocity = 0;
      }
      return motion.at;
    };
    return {
      range: { unit: '%', full: 100 },
      track,
      commandFor: (at) => at,
      rest(command) {
        motion.point = inSteps(command);
        motion.at = motion.point;
        motion.velocity = 0;
        track.fill(motion.at);
      },
      move(inputs) {
        const wanted = inSteps(inputs.air);
        track[0] = track[2]!;
        track[1] = half(wanted);
        track[2] = half(wanted);
      },
    };
  },
});

/** A cubic table of this many cells is within 1e-10 of the cosine. */
const SHARE_CELLS = 64;

/** Share of the area at full idle travel against travel 0 … 1, of a thin plate that shuts at an angle. Angles in rad. */
export function plateShare(closedAngle: number, travel: number): ValveLaw {
  const perCos = 1 / cos(closedAngle);
  const full = 1 / (1 - perCos * cos(closedAngle + travel));
  return createTable(
    (t) => (1 - perCos * cos(closedAngle + travel * t)) * full,
    (t) => perCos * travel * cos(closedAngle + travel * t - Math.PI / 2) * full,
    0,
    1,
    SHARE_CELLS,
  );
}

/** Terms of the Taylor series: with a norm of at most ½ the rest is below 1e-18. */
const TERMS = 14;

/** exp of the matrix [[a, b], [c, d]] times t, row by row, by scaling and squaring. */
export function exponential(a: number, b: number, c: number, d: number, t: number): readonly [number, number, number, number] {
  const norm = Math.max(Math.abs(a) + Math.abs(b), Math.abs(c) + Math.abs(d)) * Math.abs(t);
  let squarings = 0;
  let part = t;
  for (let n = norm; n > 0.5; n *= 0.5) {
    squarings += 1;
    part *= 0.5;
  }
  const m = [a * part, b * part, c * part, d * part] as const;
  let sum: [number, number, number, number] = [1, 0, 0, 1];
  for (let n = TERMS; n >= 1; n--) {
    const s = product(m, sum);
    sum = [1 + s[0] / n, s[1] / n, s[2] / n, 1 + s[3] / n];
  }
  for (let i = 0; i < squarings; i++) sum = product(sum, sum);
  return sum;
}

type Matrix = readonly [number, number, number, number];
const product = (p: Matrix, q: Matrix): [number, number, number, number] => [
  p[0] * q[0] + p[1] * q[2], p[0] * q[1] + p[1] * q[3], p[2] * q[0] + p[3] * q[2], p[2] * q[1] + p[3] * q[3],
];
