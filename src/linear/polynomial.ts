/** Polynomials with real coefficients, highest power first: [1, 3, 2] is s² + 3s + 2. */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { type Complex, complex } from './complex.js';

export type Polynomial = readonly number[];

/** Without leading zeros; [0] for nothing. */
export function trimmed(p: Polynomial): Polynomial {
  const first = p.findIndex((coefficient) => coefficient !== 0);
  return first < 0 ? [0] : p.slice(first);
}

/** Value at a complex number (Horner). */
export function evaluated(p: Polynomial, x: Complex): Complex {
  let [re, im] = [0, 0];
  for (const coefficient of p) [re, im] = [re * x.re - im * x.im + coefficient, re * x.im + im * x.re];
  return { re, im };
}

export function product(...factors: readonly Polynomial[]): Polynomial {
  return factors.reduce<Polynomial>((a, b) => {
    const c = new Array<number>(a.length + b.length - 1).fill(0);
    a.forEach((left, i) => b.forEach((right, k) => (c[i + k] = (c[i + k] as number) + left * right)));
    return c;
  }, [1]);
}

export function sum(a: Polynomial, b: Polynomial): Polynomial {
  const length = Math.max(a.length, b.length);
  const from = (p: Polynomial, i: number): number => p[i - (length - p.length)] ?? 0;
  return Array.from({ length }, (_, i) => from(a, i) + from(b, i));
}

/** p to a whole power of 0 or more. */
export const power = (p: Polynomial, n: number): Polynomial => product(...new Array<Polynomial>(n).fill(p));

/**
 * Roots as the eigenvalues of the companion matrix; roots at 0 are exact. A root of multiplicity k is good to about
 * ε^(1/k) only, as with every such method.
 * @throws RangeError when all coefficients are 0, or one is not finite
 */
export function rootsOf(p: Polynomial): Complex[] {
  if (!p.every(Number.isFinite)) throw new RangeError(`polynomial: coefficients must be finite; given ${p.join(', ')}`);
  let c = trimmed(p);
  if (c.length === 1 && c[0] === 0) throw new RangeError('polynomial: every number is a root of 0');
  const atZero: Complex[] = [];
  while (c.at(-1) === 0) {
    c = c.slice(0, -1);
    atZero.push(complex(0));
  }
  const n = c.length - 1;
  if (n === 0) return atZero;
  const companion = Matrix.zeros(n, n);
  for (let k = 0; k < n; k++) {
    companion.set(0, k, -(c[k + 1] as number) / (c[0] as number));
    if (k > 0) companion.set(k, k - 1, 1);
  }
  return [...atZero, ...eigenvaluesOf(companion)];
}

/** Eigenvalues of a square matrix. */
export function eigenvaluesOf(matrix: Matrix): Complex[] {
  if (matrix.rows === 0) return [];
  const { realEigenvalues, imaginaryEigenvalues } = new EigenvalueDecomposition(matrix);
  return realEigenvalues.map((re, i) => complex(re, imaginaryEigenvalues[i] as number));
}
