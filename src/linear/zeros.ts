/** Zeros of an analytic function of s in the upper half plane, where delays leave no polynomial to solve. */
import { add, type Complex, complex, divide, magnitude, multiply, scale, subtract } from './complex.js';

/** A part of the s plane, rad/s: real part from left, below 0, to right, above it; imaginary part from 0 to top. */
export interface Patch {
  readonly left: number;
  readonly right: number;
  readonly top: number;
}

/** Cells of the grid that is looked over first: to either side of the axis, and up. */
const GRID = [12, 36] as const;
/** The grid is closer towards the slow ones: cells grow with this power of their number. */
const GROWTH = 1.7;
const MOST_STEPS = 30;
const SAME = 1e-4;
/** How closely a zero is found, relative: the functions of an idle are known to about 1e-7. */
const CLOSE = 1e-6;
/** A zero counts where the function has fallen to this part of what it was at the start. */
const FALLEN = 1e-3;

/** Muller's method, which finds complex zeros from any start: D. E. Muller, MTAC 10 (1956) 208. @returns null if it gets nowhere */
function muller(f: (s: Complex) => Complex, start: Complex, width: number): Complex | null {
  let [x0, x1, x2] = [add(start, complex(-width, 0)), add(start, complex(0, width)), start];
  let [f0, f1, f2] = [f(x0), f(x1), f(x2)];
  const begun = magnitude(f2);
  for (let i = 0; i < MOST_STEPS; i++) {
    const d12 = divide(subtract(f2, f1), subtract(x2, x1));
    const d01 = divide(subtract(f1, f0), subtract(x1, x0));
    const second = divide(subtract(d12, d01), subtract(x2, x0));
    const slope = add(d12, multiply(second, subtract(x2, x1)));
    const root = squareRoot(subtract(multiply(slope, slope), scale(multiply(f2, second), 4)));
    const [plus, minus] = [add(slope, root), subtract(slope, root)];
    const step = scale(divide(f2, magnitude(plus) > magnitude(minus) ? plus : minus), -2);
    const length = magnitude(step);
    if (!Number.isFinite(length)) return null;
    // no further than a few cells at once: beyond them lies another zero, or nothing
    const next = add(x2, length > 4 * width ? scale(step, (4 * width) / length) : step);
    [x0, x1, x2] = [x1, x2, next];
    [f0, f1, f2] = [f1, f2, f(next)];
    if (length < CLOSE * (1 + magnitude(x2)) || (f2.re === 0 && f2.im === 0)) return magnitude(f2) <= FALLEN * begun ? x2 : null;
  }
  return null;
}

function squareRoot(z: Complex): Complex {
  const size = magnitude(z);
  const re = Math.sqrt(Math.max(0, 0.5 * (size + z.re)));
  const im = Math.sqrt(Math.max(0, 0.5 * (size - z.re)));
  return complex(re, z.im < 0 ? -im : im);
}

/**
 * Zeros in a patch, each once, those of the lower half mirrored up. The magnitude of an analytic function is least only at
 * its zeros, so each place of a grid that is below its neighbours starts a search.
 */
export function zerosIn(f: (s: Complex) => Complex, { left, right, top }: Patch): readonly Complex[] {
  const [across, up] = GRID;
  const place = (i: number, k: number): Complex => {
    const side = i / across - 1;
    return complex((side < 0 ? left : right) * Math.abs(side) ** GROWTH, top * (k / up) ** GROWTH);
  };
  // at a pole the function is no number, and so no zero
  const sizeAt = (s: Complex): number => {
    const found = magnitude(f(s));
    return Number.isNaN(found) ? Number.POSITIVE_INFINITY : found;
  };
  const sizes = Array.from({ length: 2 * across + 1 }, (_, i) => Array.from({ length: up + 1 }, (__, k) => sizeAt(place(i, k))));
  const size = (i: number, k: number): number => sizes[i]?.[Math.abs(k)] ?? Number.POSITIVE_INFINITY; // mirrored at the real axis
  const least = (i: number, k: number): boolean => [-1, 0, 1].every((a) => [-1, 0, 1].every((b) => size(i, k) <= size(i + a, k + b)));
  const found: Complex[] = [];
  for (let i = 0; i <= 2 * across; i++) {
    for (let k = 0; k <= up; k++) {
      if (!least(i, k)) continue;
      const zero = muller(f, place(i, k), 0.05 + 0.1 * magnitude(place(i, k)));
      if (zero === null) continue;
      const upper = complex(zero.re, Math.abs(zero.im) < 1e-8 * (1 + magnitude(zero)) ? 0 : Math.abs(zero.im));
      if (upper.re < left || upper.re > right || upper.im > top) continue;
      if (!found.some((other) => magnitude(subtract(other, upper)) < SAME * (1 + magnitude(upper)))) found.push(upper);
    }
  }
  return found;
}

/** The rightmost first. */
export const rightmost = (zeros: readonly Complex[]): readonly Complex[] => [...zeros].sort((a, b) => b.re - a.re);

/** Natural frequency, rad/s, and damping ratio of a pole and its mirror image. */
export const modeOf = (pole: Complex): { readonly frequency: number; readonly damping: number } => {
  const frequency = magnitude(pole);
  return { frequency, damping: frequency === 0 ? 1 : -pole.re / frequency };
};
