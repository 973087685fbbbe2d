/** A loop followed along its frequencies, close enough together that nothing happens between two of them. */
import { add, type Complex, complex, divide, magnitude, phase } from './complex.js';
import type { FrequencyResponse } from './response.js';

export interface Point {
  /** Angular frequency, rad/s. */
  readonly omega: number;
  readonly loop: Complex;
}

/** What the followed points say of the loop where they begin: how many integrators it has, and what it tends to. */
export interface Course {
  readonly points: readonly Point[];
  /** n where L grows as 1/ωⁿ towards zero frequency; 0 when it tends to a constant. */
  readonly integrators: number;
  /** The last point is π/h of a sampled loop, where L is real. */
  readonly endsAtNyquist: boolean;
}

const PER_DECADE = 60;
/** Turn, rad, and change of the logarithm of magnitude, of L and of 1 + L, between neighbours. */
const LARGEST_CHANGE = 0.2;
/** Where |L| is below this, only 1 + L is followed: a crossing there would be a gain margin of 50, and a first one, which a
 * delay has not made by turning many times before, is slow enough for the spacing without that. */
const SMALL = 0.02;
const CLOSEST = 1e-9;
/** Beyond this a delay has turned the loop so often that what comes further up decides nothing; it is left out. */
const MOST_POINTS = 40_000;
const MOST_DECADES_DOWN = 9;
const MOST_DECADES_UP = 3;

const ONE = complex(1);

/**
 * Value of the loop.
 * @throws RangeError where it is no finite number: a pole on the axis
 */
export function valueAt(loop: FrequencyResponse, omega: number): Complex {
  const value = loop.at(omega);
  if (Number.isFinite(value.re) && Number.isFinite(value.im)) return value;
  throw new RangeError(`frequency response: not finite at ${omega} rad/s; a pole on the axis elsewhere than at 0 has no margins`);
}

/** Whether L or 1 + L turns or grows too much between two points to be followed. */
function changesMuch(a: Complex, b: Complex): boolean {
  const shifted = divide(add(ONE, b), add(ONE, a));
  if (!(Math.abs(phase(shifted)) < LARGEST_CHANGE && Math.abs(Math.log(magnitude(shifted))) < LARGEST_CHANGE)) return true;
  if (Math.max(magnitude(a), magnitude(b)) < SMALL) return false;
  const ratio = divide(b, a);
  return !(Math.abs(phase(ratio)) < LARGEST_CHANGE && Math.abs(Math.log(magnitude(ratio))) < 2 * LARGEST_CHANGE);
}

/** Slope of log |L| against log ω, at the low end. */
function slopeAt(loop: FrequencyResponse, omega: number): number {
  return Math.log(magnitude(valueAt(loop, omega * 1.01)) / magnitude(valueAt(loop, omega))) / Math.log(1.01);
}

/** Lowest frequency: the response's own, or lower while a loop that integrates has not risen well above 1. */
function lowEnd(loop: FrequencyResponse): { readonly from: number; readonly integrators: number } {
  let { from } = loop;
  const integrators = Math.max(0, Math.round(-slopeAt(loop, from)));
  for (let i = 0; integrators > 0 && i < MOST_DECADES_DOWN && magnitude(valueAt(loop, from)) < 100; i++) from /= 10;
  return { from, integrators };
}

/** Highest frequency: π/h of a sampled loop, else the response's own, or higher while the loop falls but is not yet small. */
function highEnd(loop: FrequencyResponse): number {
  if (loop.periodS !== null) return Math.PI / loop.periodS;
  let { to } = loop;
  for (let i = 0; i < MOST_DECADES_UP; i++) {
    const here = magnitude(valueAt(loop, to));
    if (here < 0.1 || magnitude(valueAt(loop, 10 * to)) > 0.9 * here) break;
    to *= 10;
  }
  return to;
}

function checkRange(loop: FrequencyResponse): void {
  const { from, to, periodS } = loop;
  const end = periodS === null ? to : Math.PI / periodS;
  if (from > 0 && end > from && Number.isFinite(end)) return;
  throw new RangeError(`frequency response: its range ${from} … ${end} rad/s is none; it must go from above 0 to higher`);
}

/** Pieces in which a delay turns the loop by a radian or so: a whole turn between two points would look like none. */
function piecesBetween(loop: FrequencyResponse, a: Point, to: number): number {
  if (magnitude(a.loop) < SMALL) return 1;
  const rate = Math.abs(phase(divide(valueAt(loop, a.omega * (1 + 1e-7)), a.loop))) / (1e-7 * a.omega);
  return Math.min(MOST_POINTS, Math.max(1, Math.ceil(rate * (to - a.omega))));
}

/** Adds points up to one, with as many between as changes there need; lowest frequency first. */
function refine(points: Point[], to: Point, point: (omega: number) => Point): void {
  const waiting = [to];
  while (waiting.length > 0 && points.length < MOST_POINTS) {
    const [last, next] = [points.at(-1) as Point, waiting.at(-1) as Point];
    if (next.omega - last.omega > CLOSEST * last.omega && changesMuch(last.loop, next.loop))
      waiting.push(point(Math.sqrt(last.omega) * Math.sqrt(next.omega)));
    else points.push(waiting.pop() as Point);
  }
}

/**
 * Follows a loop from its lowest frequency to its highest.
 *
 * @throws RangeError where the loop is not finite, or its range is empty
 */
export function follow(loop: FrequencyResponse): Course {
  checkRange(loop);
  const { from, integrators } = lowEnd(loop);
  const to = highEnd(loop);
  const point = (omega: number): Point => ({ omega, loop: valueAt(loop, omega) });
  const count = Math.max(8, Math.ceil(PER_DECADE * Math.log10(to / from)));
  const omegas = Array.from({ length: count }, (_, i) => from * (to / from) ** (i / count));
  // Towards π/h the logarithmic spacing is too coarse for what a sampled loop does there.
  const close = loop.periodS === null ? [] : Array.from({ length: 20 }, (_, k) => to * (1 - 2 ** -(k + 4)));
  const coarse = [...omegas.filter((omega) => omega < (close[0] ?? to)), ...close, to];
  const points: Point[] = [point(from)];
  for (let i = 1; i < coarse.length; i++) {
    const [a, b] = [coarse[i - 1] as number, coarse[i] as number];
    const pieces = piecesBetween(loop, points.at(-1) as Point, b);
    for (let k = 1; k <= pieces; k++) {
      refine(points, point(k === pieces ? b : a + (k * (b - a)) / pieces), point);
      if (points.length >= MOST_POINTS) return { points, integrators, endsAtNyquist: false };
    }
  }
  return { points, integrators, endsAtNyquist: loop.periodS !== null };
}
