/** Where a loop crosses gain 1 and phase −180°. */
import { findRoot } from '../numerics/root.js';
import { type Complex, magnitude, phase, scale } from './complex.js';
import type { FrequencyResponse } from './response.js';
import { type Course, type Point, valueAt } from './trace-response.js';

/** Where |L| = 1. */
export interface GainCrossover {
  /** rad/s. */
  readonly omega: number;
  /** Further lag that makes the loop hunt here, −180 … 180°; negative: lead that would, or, in a loop that is unstable, is lacking. */
  readonly phaseMarginDeg: number;
  /** Further delay that makes the loop hunt here, s. */
  readonly delayMarginS: number;
}

/** Where L is real and negative. */
export interface PhaseCrossover {
  /** rad/s; 0 where a loop without integral action has a negative gain at zero frequency. */
  readonly omega: number;
  /** Factor of all gains at which the loop hunts here: above 1 when raised, below 1 when lowered. */
  readonly gainMargin: number;
}

const turnOf = (loop: Complex): number => phase(scale(loop, -1));
const logOf = ({ omega }: Point): number => Math.log(omega);

/** Frequencies at which `of` changes its sign between two points, in rising order; `near` says which intervals count. */
export function roots(
  loop: FrequencyResponse,
  { points }: Course,
  of: (value: Complex) => number,
  near: (value: Complex) => boolean = () => true,
): number[] {
  const found: number[] = [];
  for (let i = 1; i < points.length; i++) {
    const [a, b] = [points[i - 1] as Point, points[i] as Point];
    if (!near(a.loop) || !near(b.loop)) continue;
    const [fa, fb] = [of(a.loop), of(b.loop)];
    if (fb === 0) found.push(b.omega);
    else if (fa !== 0 && fa > 0 !== fb > 0) {
      const root = findRoot((x) => of(valueAt(loop, Math.exp(x))), logOf(a), logOf(b), 0, 'crossover');
      found.push(Math.exp(root));
    }
  }
  return found;
}

export function gainCrossoversOf(loop: FrequencyResponse, course: Course): GainCrossover[] {
  return roots(loop, course, (value) => Math.log(magnitude(value))).map((omega) => {
    const margin = turnOf(valueAt(loop, omega));
    return {
      omega,
      phaseMarginDeg: (margin * 180) / Math.PI,
      delayMarginS: (margin < 0 ? margin + 2 * Math.PI : margin) / omega,
    };
  });
}

export function phaseCrossoversOf(loop: FrequencyResponse, course: Course): PhaseCrossover[] {
  const left = (value: Complex): boolean => value.re < 0;
  const { points, endsAtNyquist, integrators } = course;
  // The last point of a sampled loop is real but for rounding, which must neither make a crossing nor hide one.
  const [first, last] = [points[0] as Point, points.at(-1) as Point];
  const inside = endsAtNyquist ? { ...course, points: points.slice(0, -1) } : course;
  const found = roots(loop, inside, turnOf, left).map((omega) => ({ omega, gainMargin: 1 / magnitude(valueAt(loop, omega)) }));
  if (endsAtNyquist && left(last.loop)) found.push({ omega: last.omega, gainMargin: -1 / last.loop.re });
  if (integrators === 0 && left(first.loop) && Math.abs(turnOf(first.loop)) < 0.02)
    found.unshift({ omega: 0, gainMargin: -1 / first.loop.re });
  return found;
}
