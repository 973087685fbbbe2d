/** Zero of a function of one variable. */

const MAX_STEPS = 1000;

/**
 * Zero of `f` between `lo` and `hi`, where its signs must differ: R. P. Brent's method (Algorithms for Minimization
 * without Derivatives, 1973, ch. 4), which is never much slower than bisection and mostly far faster.
 *
 * @param tolerance the result lies within 4·2⁻⁵²·|x| + 2⁻¹⁰⁰·|hi − lo| + `tolerance` of a change of sign
 * @param name what the messages call the thing looked for
 * @throws RangeError when the signs at the ends agree (with both values), an end is not finite, or `f` gives NaN
 */
export function findRoot(f: (x: number) => number, lo: number, hi: number, tolerance = 0, name = 'root'): number {
  if (!(Number.isFinite(lo) && Number.isFinite(hi))) throw new RangeError(`${name}: needs finite ends; given ${lo} and ${hi}`);
  if (!(tolerance >= 0)) throw new RangeError(`${name}: needs a tolerance of 0 or more; given ${tolerance}`);
  const at = (x: number): number => {
    const y = f(x);
    if (Number.isNaN(y)) throw new RangeError(`${name}: the function is not a number at ${x}`);
    return y;
  };

  // b is the best point, a the one before, c the end opposite b: the sign changes between b and c.
  let a = lo;
  let b = hi;
  let fa = at(a);
  let fb = at(b);
  if (fa === 0) return a;
  if (fb === 0) return b;
  if (fa > 0 === fb > 0) {
    throw new RangeError(`${name}: no change of sign between ${lo} and ${hi}, where the function is ${fa} and ${fb}`);
  }
  let c = a;
  let fc = fa;
  let step = b - a;
  let before = step;
  // Without a floor a root at 0 would be chased through all the exponents down to the smallest.
  const floor = 0.5 * tolerance + Math.abs(hi - lo) * 2 ** -101;

  for (let i = 0; i < MAX_STEPS; i++) {
    if (Math.abs(fc) < Math.abs(fb)) {
      a = b;
      b = c;
      c = a;
      fa = fb;
      fb = fc;
      fc = fa;
    }
    const least = 2 * Number.EPSILON * Math.abs(b) + floor;
    const half = 0.5 * (c - b);
    if (fb === 0 || Math.abs(half) <= least) return b;

    const fit = Math.abs(before) >= least && Math.abs(fa) > Math.abs(fb) && Math.abs(fa) < Infinity;
    const proposed = fit ? interpolated(a, b, c, fa, fb, fc) : half;
    // Interpolate only where that stays within three quarters of the bracket and at least halves the step before last.
    const bold = !(proposed * half > 0 && Math.abs(proposed) < Math.min(1.5 * Math.abs(half), 0.5 * Math.abs(before)));
    before = bold ? half : step;
    step = bold ? half : proposed;

    a = b;
    fa = fb;
    b += Math.abs(step) > least ? step : half > 0 ? least : -least;
    fb = at(b);
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
      step = b - a;
      before = step;
    }
  }
  throw new RangeError(`${name}: not found between ${lo} and ${hi} in ${MAX_STEPS} steps`);
}

/** Step from b by the secant through two points, or by the inverse parabola through three. */
function interpolated(a: number, b: number, c: number, fa: number, fb: number, fc: number): number {
  const s = fb / fa;
  if (a === c) return ((b - c) * s) / (1 - s);
  const q = fa / fc;
  const r = fb / fc;
  const p = s * ((c - b) * q * (q - r) - (b - a) * (r - 1));
  return -p / ((q - 1) * (r - 1) * (s - 1));
}
