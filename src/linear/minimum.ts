/** Minimum of a function of one variable. */

const GOLDEN = (3 - Math.sqrt(5)) / 2;
const MOST_STEPS = 200;

/**
 * Local minimum of `f` between `lo` and `hi`, by golden section sped up by parabolas: R. P. Brent, Algorithms for
 * Minimization without Derivatives, 1973, ch. 5. The ends count too, so that a minimum at an end is found exactly there.
 *
 * @param tolerance how closely the place is found; below about 1e-8 of it `f` itself cannot tell, being flat there
 * @returns the place and the value there
 */
export function findMinimum(
  f: (x: number) => number,
  lo: number,
  hi: number,
  tolerance = 1e-9,
): { readonly x: number; readonly y: number } {
  let [a, b] = [lo, hi];
  // x is the best point, w the second best, v the second best before it.
  let x = a + GOLDEN * (b - a);
  let [w, v] = [x, x];
  let fx = f(x);
  let [fw, fv] = [fx, fx];
  let [step, before] = [0, 0];
  for (let i = 0; i < MOST_STEPS; i++) {
    const middle = 0.5 * (a + b);
    const least = tolerance + 1e-12 * Math.abs(x);
    if (Math.abs(x - middle) <= 2 * least - 0.5 * (b - a)) break;
    let parabolic = false;
    if (Math.abs(before) > least) {
      const r = (x - w) * (fx - fv);
      const q = (x - v) * (fx - fw);
      const p = (x - v) * q - (x - w) * r;
      const d = 2 * (q - r);
      const proposed = d === 0 ? Number.NaN : -p / d;
      parabolic = Math.abs(proposed) < 0.5 * Math.abs(before) && x + proposed > a && x + proposed < b;
      if (parabolic) {
        [before, step] = [step, proposed];
        if (x + step - a < 2 * least || b - x - step < 2 * least) step = x < middle ? least : -least;
      }
    }
    if (!parabolic) {
      before = x < middle ? b - x : a - x;
      step = GOLDEN * before;
    }
    const u = x + (Math.abs(step) >= least ? step : step > 0 ? least : -least);
    const fu = f(u);
    if (fu <= fx) {
      if (u < x) b = x;
      else a = x;
      [v, fv, w, fw, x, fx] = [w, fw, x, fx, u, fu];
    } else {
      if (u < x) a = u;
      else b = u;
      if (fu <= fw || w === x) [v, fv, w, fw] = [w, fw, u, fu];
      else if (fu <= fv || v === x || v === w) [v, fv] = [u, fu];
    }
  }
  const [atLo, atHi] = [f(lo), f(hi)];
  if (atLo <= fx && atLo <= atHi) return { x: lo, y: atLo };
  return atHi <= fx ? { x: hi, y: atHi } : { x, y: fx };
}
