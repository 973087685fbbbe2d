/** Linear systems as x' = A x + B u, y = C x + D u, or their sampled counterpart. */
import { LuDecomposition, Matrix } from 'ml-matrix';
import { type Complex, complex, turn } from './complex.js';
import { eigenvaluesOf } from './polynomial.js';
import type { FrequencyResponse } from './response.js';
import type { Transfer } from './transfer.js';

/** One input, one output. */
export interface StateSpace {
  /** n × n. */
  readonly a: Matrix;
  /** n × 1. */
  readonly b: Matrix;
  /** 1 × n. */
  readonly c: Matrix;
  readonly d: number;
  /** Sampling period, s, of x[k+1] = A x[k] + B u[k]; null when continuous. */
  readonly periodS: number | null;
}

function check({ a, b, c }: StateSpace): number {
  const n = a.rows;
  if (a.columns !== n || b.rows !== n || b.columns !== 1 || c.rows !== 1 || c.columns !== n)
    throw new RangeError(`state space: A is ${a.rows} × ${a.columns}, B ${b.rows} × ${b.columns}, C ${c.rows} × ${c.columns}; they do not fit`);
  return n;
}

export const polesOfStateSpace = (system: StateSpace): Complex[] => eigenvaluesOf(system.a);

/** C (sI − A)⁻¹ B + D at a complex s, or z. */
export function valueOfStateSpace(system: StateSpace, s: Complex): Complex {
  const n = check(system);
  if (n === 0) return complex(system.d);
  // (sI − A)(p + jq) = B as one real system of twice the size.
  const whole = Matrix.zeros(2 * n, 2 * n);
  const right = Matrix.zeros(2 * n, 1);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < n; k++) {
      const real = (i === k ? s.re : 0) - system.a.get(i, k);
      whole.set(i, k, real);
      whole.set(n + i, n + k, real);
    }
    whole.set(i, n + i, -s.im);
    whole.set(n + i, i, s.im);
    right.set(i, 0, system.b.get(i, 0));
  }
  const lu = new LuDecomposition(whole);
  if (lu.isSingular()) return complex(Number.NaN, Number.NaN);
  const x = lu.solve(right);
  let [re, im] = [system.d, 0];
  for (let k = 0; k < n; k++) {
    re += system.c.get(0, k) * x.get(k, 0);
    im += system.c.get(0, k) * x.get(n + k, 0);
  }
  return complex(re, im);
}

/** The system as a frequency response over a stated range, rad/s. */
export function responseOf(system: StateSpace, from: number, to: number): FrequencyResponse {
  const { periodS } = system;
  check(system);
  return {
    periodS,
    from,
    to: periodS === null ? to : Math.PI / periodS,
    at: (omega) => valueOfStateSpace(system, periodS === null ? complex(0, omega) : turn(omega * periodS)),
  };
}

/**
 * A transfer function without delay in controllable form (e.g. Ogata, Modern Control Engineering, section 9-2).
 * @throws RangeError when it is improper or has a delay
 */
export function stateSpaceOf({ numerator, denominator, delayS, periodS }: Transfer): StateSpace {
  const n = denominator.length - 1;
  if (numerator.length > n + 1) throw new RangeError('state space: the numerator is of a higher power than the denominator');
  if (delayS > 0) throw new RangeError('state space: a delay is no part of it');
  const lead = denominator[0] as number;
  const under = denominator.map((coefficient) => coefficient / lead);
  const over = [...new Array<number>(n + 1 - numerator.length).fill(0), ...numerator].map((coefficient) => coefficient / lead);
  const d = over[0] as number;
  const a = Matrix.zeros(n, n);
  for (let k = 0; k < n; k++) {
    a.set(0, k, -(under[k + 1] as number));
    if (k > 0) a.set(k, k - 1, 1);
  }
  const b = Matrix.zeros(n, 1);
  if (n > 0) b.set(0, 0, 1);
  const c = Matrix.zeros(1, n);
  for (let k = 0; k < n; k++) c.set(0, k, (over[k + 1] as number) - d * (under[k + 1] as number));
  return { a, b, c, d, periodS };
}
