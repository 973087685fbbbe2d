/** Sampled counterparts of continuous systems behind a zero-order hold. */
import { Matrix, solve } from 'ml-matrix';
import { type Polynomial, product, sum } from './polynomial.js';
import { type StateSpace, stateSpaceOf } from './state-space.js';
import { type Transfer, transfer } from './transfer.js';

/**
 * e^A by scaling, the diagonal Padé approximant of order 8, and squaring. Source: C. Moler and C. Van Loan, SIAM Review 20
 * (1978) 801, method 3: with ‖A‖ scaled below 1/2 the error is below 2^−52 relative to the norm.
 */
export function matrixExponential(a: Matrix): Matrix {
  const n = a.rows;
  if (n === 0) return Matrix.zeros(0, 0);
  const norm = Math.max(...a.to2DArray().map((row) => row.reduce((total, value) => total + Math.abs(value), 0)));
  if (!Number.isFinite(norm)) throw new RangeError('matrix exponential: a number is not finite');
  const halvings = norm > 0.5 ? Math.ceil(Math.log2(norm)) + 1 : 0;
  const scaled = Matrix.mul(a, 2 ** -halvings);
  const order = 8;
  let term = Matrix.eye(n, n);
  let [over, under] = [Matrix.eye(n, n), Matrix.eye(n, n)];
  let c = 1;
  for (let k = 1; k <= order; k++) {
    c *= (order - k + 1) / (k * (2 * order - k + 1));
    term = term.mmul(scaled);
    over = Matrix.add(over, Matrix.mul(term, c));
    under = Matrix.add(under, Matrix.mul(term, k % 2 === 0 ? c : -c));
  }
  let result = solve(under, over);
  for (let i = 0; i < halvings; i++) result = result.mmul(result);
  return result;
}

/** Φ = e^{Ah} and Γ = ∫₀ʰ e^{As} ds B, from one exponential (C. F. Van Loan, IEEE Trans. Automatic Control 23 (1978) 395). */
function propagate({ a, b }: StateSpace, h: number): { readonly phi: Matrix; readonly gamma: Matrix } {
  const n = a.rows;
  const block = Matrix.zeros(n + 1, n + 1);
  block.setSubMatrix(Matrix.mul(a, h), 0, 0);
  block.setSubMatrix(Matrix.mul(b, h), 0, n);
  const e = matrixExponential(block);
  return { phi: e.subMatrix(0, n - 1, 0, n - 1), gamma: e.subMatrix(0, n - 1, n, n) };
}

/**
 * What a controller sees that samples the output and holds its command, both every h: exact at the samples. The delay, of
 * any length, becomes states that keep past commands. Source: K. J. Åström and B. Wittenmark, Computer-Controlled Systems,
 * sections 3.2 and 3.3: with τ = (d − 1)h + τ′, 0 < τ′ ≤ h,
 *
 *     x[k+1] = Φ(h) x[k] + Γ₀ u[k−d+1] + Γ₁ u[k−d],   Γ₀ = Γ(h − τ′),  Γ₁ = Φ(h − τ′) Γ(τ′)
 *
 * @throws RangeError when the system is sampled already, or passes its input straight through with a delay of part of a
 *   period
 */
export function holdEquivalent(system: StateSpace, periodS: number, delayS = 0): StateSpace {
  if (system.periodS !== null) throw new RangeError('hold: the system is sampled already');
  if (!(periodS > 0 && delayS >= 0 && Number.isFinite(periodS + delayS)))
    throw new RangeError(`hold: needs a period above 0 and a delay of 0 or more; given ${periodS} s and ${delayS} s`);
  const n = system.a.rows;
  // A delay that is whole but for rounding is whole.
  const ratio = Math.abs(delayS / periodS - Math.round(delayS / periodS)) < 1e-12 ? Math.round(delayS / periodS) : delayS / periodS;
  const d = Math.ceil(ratio);
  const part = (ratio - (d - 1)) * periodS;
  if (d > 0 && system.d !== 0 && ratio !== d) throw new RangeError('hold: a straight-through gain with a delay of part of a period');
  if (n === 0) return delayed({ ...system, periodS }, d);
  if (d === 0) {
    const { phi, gamma } = propagate(system, periodS);
    return { ...system, a: phi, b: gamma, periodS };
  }
  const whole = propagate(system, periodS);
  const late = propagate(system, periodS - part);
  const gamma1 = late.phi.mmul(propagate(system, part).gamma);
  // States: x, then u[k−d] … u[k−1].
  const a = Matrix.zeros(n + d, n + d);
  a.setSubMatrix(whole.phi, 0, 0);
  a.setSubMatrix(gamma1, 0, n);
  const b = Matrix.zeros(n + d, 1);
  if (d === 1) b.setSubMatrix(late.gamma, 0, 0);
  else a.setSubMatrix(late.gamma, 0, n + 1);
  for (let k = 0; k < d - 1; k++) a.set(n + k, n + k + 1, 1);
  b.set(n + d - 1, 0, 1);
  const c = Matrix.zeros(1, n + d);
  c.setSubMatrix(system.c, 0, 0);
  if (system.d !== 0) c.set(0, n, system.d);
  return { a, b, c, d: 0, periodS };
}

/** A gain alone, d periods late. */
function delayed(system: StateSpace, d: number): StateSpace {
  if (d === 0) return system;
  const a = Matrix.zeros(d, d);
  for (let k = 0; k < d - 1; k++) a.set(k, k + 1, 1);
  const b = Matrix.zeros(d, 1);
  b.set(d - 1, 0, 1);
  const c = Matrix.zeros(1, d);
  c.set(0, 0, system.d);
  return { ...system, a, b, c, d: 0 };
}

/**
 * The same of a transfer function, as one in z, by Leverrier and Faddeev: numerator and denominator of C (zI − Φ)⁻¹ Γ + D.
 * Meant for the low orders of a loop; beyond about ten states its coefficients lose digits, and `holdEquivalent` should be
 * used.
 */
export function holdTransfer(of: Transfer, periodS: number): Transfer {
  const whole = Math.round(of.delayS / periodS);
  const isWhole = Math.abs(of.delayS / periodS - whole) < 1e-9;
  const undelayed = stateSpaceOf(transfer(of.numerator, of.denominator));
  const sampled = holdEquivalent(undelayed, periodS, isWhole ? 0 : of.delayS);
  const { a, b, c, d } = sampled;
  const n = a.rows;
  const denominator = [1];
  const over: number[] = [];
  let m = Matrix.eye(n, n);
  for (let k = 1; k <= n; k++) {
    over.push(c.mmul(m).mmul(b).get(0, 0));
    const next = a.mmul(m);
    const coefficient = -next.trace() / k;
    denominator.push(coefficient);
    m = Matrix.add(next, Matrix.mul(Matrix.eye(n, n), coefficient));
  }
  const numerator: Polynomial = sum(over.length === 0 ? [0] : over, product([d], denominator));
  return transfer(numerator, denominator, { periodS, delayS: isWhole ? whole * periodS : 0 });
}
