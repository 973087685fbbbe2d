/** A loop's gain and phase along its frequencies, as Bode plots show them. */
import { divide, magnitude, phase } from './complex.js';
import type { Point } from './trace-response.js';

export interface LoopCurve {
  /** Angular frequencies, rad/s. */
  readonly omegas: readonly number[];
  readonly db: readonly number[];
  /** Followed from the lowest frequency on, so that it does not jump at ±180°. */
  readonly deg: readonly number[];
}

/** An integrating loop of two integrators starts at −180°, not at +180°: a first phase above this is taken a turn lower, rad. */
const LARGEST_FIRST = 0.6 * Math.PI;

export function loopCurve(points: readonly Point[]): LoopCurve {
  let turned = 0;
  const deg = points.map(({ loop }, i) => {
    const before = points[i - 1];
    turned = before === undefined ? phase(loop) : turned + phase(divide(loop, before.loop));
    if (before === undefined && turned > LARGEST_FIRST) turned -= 2 * Math.PI;
    return (turned * 180) / Math.PI;
  });
  return { omegas: points.map(({ omega }) => omega), db: points.map(({ loop }) => 20 * Math.log10(magnitude(loop))), deg };
}

/** Frequencies, rad/s, between which a gain lies within ± `db` of 1; all that there are where none does. */
export function nearUnity(curves: readonly LoopCurve[], db: number): readonly [from: number, to: number] {
  const near = curves.flatMap((curve) => curve.omegas.filter((_, i) => Math.abs(curve.db[i]!) <= db));
  const [lo, hi] = extent(near);
  return hi > lo ? [lo, hi] : extent(curves.flatMap(({ omegas }) => omegas));
}

const extent = (values: readonly number[]): readonly [number, number] =>
  values.reduce(([lo, hi]: readonly [number, number], value) => [Math.min(lo, value), Math.max(hi, value)] as const, [Number.POSITIVE_INFINITY, 0]);
