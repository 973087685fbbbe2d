/**
 * How well a fit knows its parameters: covariance, and what it cannot tell.
 *
 * With A = JᵀJ + P (P: the priors' rows), the covariance is A⁻¹ (M + P) A⁻¹, where M, the scatter of the gradient, is
 *
 *     JᵀJ          the weights are right (noise 'known')
 *     s² JᵀJ       the variance s² of the residuals is estimated: without priors the textbook s² (JᵀJ)⁻¹
 *     Σ g_b g_bᵀ · (B − 1)/B         from B independent blocks whose own residuals may hang together; g_b = J_bᵀ r_b, put
 *                                    right for the pull of its own block (CR3, the jackknife over blocks)
 *
 * A. C. Davison, Statistical Models, 2003, 4.6 (the sandwich); K.-Y. Liang and S. L. Zeger, Biometrika 73, 1986 (blocks);
 * R. M. Bell and D. F. McCaffrey, Survey Methodology 28, 2002, and A. C. Cameron and D. L. Miller, Journal of Human Resources
 * 50, 2015, VI.B (few blocks: CR3, and Student's t of B − 1 degrees).
 * s² has the residuals less the parameters that they, not the priors, determine: tr(A⁻¹ JᵀJ).
 */
import { Matrix, SingularValueDecomposition } from 'ml-matrix';
import type { LeastSquaresOptions, LeastSquaresProblem } from './least-squares-problem.js';
import { triangleOf } from './least-squares-step.js';

export interface ParameterSpread {
  readonly name: string;
  readonly value: number;
  /** Standard deviation; null for `reason`. */
  readonly sd: number | null;
  readonly reason: string | null;
}

/** A combination of parameters along which the residuals do not change. */
export interface FreeDirection {
  /** Singular value over the largest, columns scaled to one length. */
  readonly ratio: number;
  /** Parameters that take part, largest first, with the change that leaves the residuals as they are, in their units. */
  readonly moves: readonly { readonly name: string; readonly change: number; readonly share: number }[];
  /** For a reader: `inertia and torque scale only together`. */
  readonly text: string;
}

export interface Spread {
  readonly parameters: readonly ParameterSpread[];
  /** Names of the parameters that were fitted and rest on no bound, in the order of the covariance. */
  readonly freeNames: readonly string[];
  /** Square, one row and column a name; over what the residuals determine, when there are `freeDirections`. */
  readonly covariance: Matrix;
  readonly freeDirections: readonly FreeDirection[];
  /** Of the jacobian with priors, columns scaled to one length, largest first. */
  readonly singularValues: readonly number[];
  /** Variance of a weighted residual; null when as many parameters as residuals are fitted. */
  readonly variance: number | null;
  /** Blocks that the covariance is made from; null where it is not. */
  readonly blocks: number | null;
  /** Residuals less the parameters that they determine. */
  readonly degreesOfFreedom: number;
}

/** A share of a direction below this does not take part in it. */
const TAKES_PART = 0.05;

function directionOf(V: Matrix, k: number, names: readonly string[], norms: readonly number[], ratio: number): FreeDirection {
  const moves = names
    .map((name, c) => ({ name, share: Math.abs(V.get(c, k)), change: V.get(c, k) / (norms[c]! || 1) }))
    .filter(({ share }) => share > TAKES_PART)
    .sort((a, b) => b.share - a.share);
  const list = moves.map(({ name }) => name);
  const text = list.length === 1 ? `${list[0]} has no effect` : `${list.slice(0, -1).join(', ')} and ${list.at(-1)} only together`;
  return { ratio, moves, text };
}

/** What of a direction one block may determine alone, at the most: beyond it the fit without the block is none. */
const MOST_OF_ONE_BLOCK = 0.98;

/**
 * Scatter of the gradient that the residuals' own noise makes, in the coordinates of W (A⁻¹ = W Wᵀ), and how many blocks there are.
 *
 * Each block's gradient is carried back to what it is for a fit without the block: (I − H_b)⁻¹ Wᵀ g_b, H_b = Wᵀ J_bᵀ J_b W. A
 * block that pulls the fit towards itself leaves residuals that are too small, and intervals without this too narrow.
 */
function scatter(J: Matrix, W: Matrix, residuals: Float64Array, count: number, blocks: Int32Array): { readonly M: Matrix; readonly blocks: number } {
  const members = new Map<number, number[]>();
  for (let k = 0; k < count; k++) {
    const rows = members.get(blocks[k]!);
    if (rows === undefined) members.set(blocks[k]!, [k]);
    else rows.push(k);
  }
  const M = Matrix.zeros(J.columns, J.columns);
  const B = members.size;
  for (const rows of members.values()) {
    const K = Matrix.zeros(rows.length, J.columns);
    rows.forEach((k, i) => {
      for (let c = 0; c < J.columns; c++) K.set(i, c, J.get(k, c));
    });
    const L = K.mmul(W);
    const g = L.transpose().mmul(Matrix.columnVector(rows.map((k) => residuals[k]!)));
    const { diagonal, rightSingularVectors: V } = new SingularValueDecomposition(L.transpose().mmul(L), { autoTranspose: true });
    const turned = V.transpose().mmul(g);
    diagonal.forEach((h, c) => turned.mulRow(c, 1 / (1 - Math.min(MOST_OF_ONE_BLOCK, h))));
    const own = V.mmul(turned);
    M.add(own.mmul(own.transpose()).mul((B - 1) / B));
  }
  return { M, blocks: B };
}

/** Cross product of some rows of a matrix. */
function crossed(J: Matrix, from: number, to: number): Matrix {
  const n = J.columns;
  const product = Matrix.zeros(n, n);
  for (let k = from; k < to; k++) {
    for (let i = 0; i < n; i++) for (let j = 0; j <= i; j++) product.set(i, j, product.get(i, j) + J.get(k, i) * J.get(k, j));
  }
  for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) product.set(i, j, product.get(j, i));
  return product;
}

const AT_BOUND = 'rests on its bound';
const HELD = 'was held';

/** @param residuals weighted, priors after them  @param jacobian rows × free, at `values` */
export function spreadOf(problem: LeastSquaresProblem, options: LeastSquaresOptions, values: Float64Array, residuals: Float64Array, jacobian: Matrix, free: readonly number[]): Spread {
  const { parameters, count, blocks } = problem;
  const onBound = (i: number): boolean => values[i] === parameters[i]!.min || values[i] === parameters[i]!.max;
  const kept = free.flatMap((i, c) => (onBound(i) ? [] : [c]));
  const names = kept.map((c) => parameters[free[c]!]!.name);
  const n = kept.length;
  const empty: Spread = {
    parameters: parameters.map(({ name, fixed }, i) => ({ name, value: values[i]!, sd: null, reason: fixed === true ? HELD : AT_BOUND })),
    freeNames: [], covariance: Matrix.zeros(0, 0), freeDirections: [], singularValues: [], blocks: null, degreesOfFreedom: count,
    variance: residuals.subarray(0, count).reduce((sum, r) => sum + r * r, 0) / count,
  };
  if (n === 0) return empty;
  const J = jacobian.subMatrixColumn(kept) as Matrix;
  const { R, norms: lengths } = triangleOf(J, residuals);
  const norms = Array.from(lengths);
  const scaled = R.clone();
  norms.forEach((norm, c) => scaled.mulColumn(c, norm === 0 ? 0 : 1 / norm));
  const svd = new SingularValueDecomposition(scaled, { autoTranspose: true });
  const s = svd.diagonal;
  const V = svd.rightSingularVectors;
  const least = (options.rank ?? 1e-7) * (s[0] ?? 0);
  const lost = s.flatMap((si, k) => (si > least ? [] : [k]));
  // W: columns v_k / s_k, back in the parameters' units, so that A⁻¹ = W Wᵀ over what is determined
  const W = Matrix.zeros(n, n);
  for (let k = 0; k < n; k++) if (s[k]! > least) for (let c = 0; c < n; c++) W.set(c, k, V.get(c, k) / s[k]! / norms[c]!);
  const within = (M: Matrix): Matrix => W.transpose().mmul(M).mmul(W);
  const H = crossed(J, 0, count);
  const P = crossed(J, count, J.rows);
  const degreesOfFreedom = count - within(H).trace();
  const sum = residuals.subarray(0, count).reduce((total, r) => total + r * r, 0);
  const variance = degreesOfFreedom > 1e-9 * count ? sum / degreesOfFreedom : null;
  const known = options.noise === 'known';
  const byBlocks = blocks === undefined ? null : scatter(J, W, residuals, count, blocks);
  const M = byBlocks === null ? within(Matrix.mul(H, known ? 1 : (variance ?? 0))) : byBlocks.M;
  const covariance = W.mmul(Matrix.add(M, within(P))).mmul(W.transpose());
  const freeDirections = lost.map((k) => directionOf(V, k, names, norms, s[0]! > 0 ? s[k]! / s[0]! : 0));
  const spread = parameters.map(({ name, fixed }, i): ParameterSpread => {
    const at = names.indexOf(name);
    const none = (reason: string): ParameterSpread => ({ name, value: values[i]!, sd: null, reason });
    if (fixed === true) return none(HELD);
    if (at < 0) return none(AT_BOUND);
    const direction = freeDirections.find(({ moves }) => moves.some((move) => move.name === name));
    if (direction !== undefined) return none(`cannot be told: ${direction.text}`);
    if (variance === null && !known && blocks === undefined) return none('as many parameters as residuals');
    return { name, value: values[i]!, sd: Math.sqrt(covariance.get(at, at)), reason: null };
  });
  return { parameters: spread, freeNames: names, covariance, freeDirections, singularValues: s, variance, blocks: byBlocks?.blocks ?? null, degreesOfFreedom };
}
