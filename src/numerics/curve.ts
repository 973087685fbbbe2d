/** Reading a curve of points: linear between them, held beyond the ends; as it is written, or packed for hot loops. */
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

/** Numbers that a packed curve has for each point: x, y, and the slope of the line that begins there. */
const PER_POINT = 3;

/** A curve for hot loops, to be read by `readPacked`. The curve must have passed `checkCurve`. */
export function packCurve({ x, y }: Curve): Float64Array {
  const packed = new Float64Array(PER_POINT * x.length);
  for (let i = 0; i < x.length; i++) {
    const x0 = x[i] as number;
    const y0 = y[i] as number;
    const slope = i + 1 < x.length ? ((y[i + 1] as number) - y0) / ((x[i + 1] as number) - x0) : 0;
    packed.set([x0, y0, slope], PER_POINT * i);
  }
  return packed;
}

/** What `interpolate` gives, but for rounding between points, and without a division. Curves are short: it looks in turn. */
export function readPacked(packed: Float64Array, x: number): number {
  const last = packed.length - PER_POINT;
  if (x <= (packed[0] as number)) return packed[1] as number;
  if (x >= (packed[last] as number)) return packed[last + 1] as number;
  let at = 0;
  while (x >= (packed[at + PER_POINT] as number)) at += PER_POINT;
  return (packed[at + 1] as number) + (packed[at + 2] as number) * (x - (packed[at] as number));
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
