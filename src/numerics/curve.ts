/** Reading a curve of points: linear between them, held beyond the ends. */
import type { Curve } from '../parameter/table.js';

/**
 * Value of `curve` at `x`: linear between points, held beyond the ends; one point is a constant. Exact at the points;
 * allocates nothing. The curve must have passed `checkCurve`.
 */
export function interpolate(curve: Curve, x: number): number {
  const xs = curve.x;
  const ys = curve.y;
  let below = 0;
  let above = xs.length - 1;
  if (x <= (xs[below] as number)) return ys[below] as number;
  if (x >= (xs[above] as number)) return ys[above] as number;
  while (above - below > 1) {
    const middle = (below + above) >> 1;
    if (x < (xs[middle] as number)) above = middle;
    else below = middle;
  }
  const x0 = xs[below] as number;
  const y0 = ys[below] as number;
  return y0 + ((ys[above] as number) - y0) * ((x - x0) / ((xs[above] as number) - x0));
}

/**
 * Returns `curve` if `interpolate` can read it.
 * @param name what the message calls it
 * @throws RangeError if it is empty, its lengths differ, a number is not finite, or x does not strictly ascend
 */
export function checkCurve(curve: Curve, name = 'curve'): Curve {
  const { x, y } = curve;
  if (x.length !== y.length) throw new RangeError(`${name}: ${x.length} values of x against ${y.length} of y`);
  if (x.length === 0) throw new RangeError(`${name}: has no points; needs at least one`);
  for (let i = 0; i < x.length; i++) {
    const xi = x[i] as number;
    const yi = y[i] as number;
    if (!(Number.isFinite(xi) && Number.isFinite(yi))) {
      throw new RangeError(`${name}: point ${i + 1} is (${xi}, ${yi}); needs finite numbers`);
    }
    if (i > 0 && !((x[i - 1] as number) < xi)) {
      throw new RangeError(`${name}: x must ascend, but point ${i + 1} has ${xi} after ${x[i - 1]}`);
    }
  }
  return curve;
}
