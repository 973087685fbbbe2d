/** Directions along which the traces hardly change once the anchors are let go: what the anchors are for, computed. */
import { type Matrix, SingularValueDecomposition } from 'ml-matrix';
import { createModel } from './least-squares-model.js';
import { problemOf, type ProblemOptions } from './problem.js';

export interface Freedom {
  /** Relative change that the log alone leaves open along it, one standard deviation. */
  readonly spread: number;
  /** What moves together, largest first: a change of each in the logarithm, the largest put to 1. */
  readonly moves: readonly { readonly key: string; readonly change: number }[];
}

/** A part smaller than this of the largest does not take part. */
const TAKES_PART = 0.25;
/** A direction that the log alone leaves open by this much and more, ± 5 %, is open. */
const OPEN = 0.025;

/**
 * @param values fitted numbers, the reading's at their end  @param known how many of the knobs were fitted: those behind are
 *   the anchors let go
 */
export function freedomsOf(options: ProblemOptions, values: Float64Array, known: number): readonly Freedom[] {
  const { knobs } = options;
  const start = Float64Array.from([...values.subarray(0, known), ...knobs.slice(known).map(() => 0), ...values.subarray(known)]);
  const anchorKeys = new Set([...knobs.slice(known), ...options.anchors.more].map(({ key }) => key));
  const { problem } = problemOf({ ...options, start });
  const bare = { ...problem, parameters: problem.parameters.map(({ prior: _prior, ...p }, i) => ({ ...p, fixed: p.fixed === true || i >= knobs.length || knobs[i]!.kind === 'shift' })) };
  const model = createModel(bare, 'forward');
  const at = new Float64Array(model.rows);
  if (!model.residuals(start, at)) return [];
  const jacobian = model.jacobian(start, at);
  if (typeof jacobian === 'string') return [];
  // the gram matrix is small; its eigenvalues are the squares of the singular values, far enough apart for this
  const { diagonal, rightSingularVectors: V } = new SingularValueDecomposition(jacobian.transpose().mmul(jacobian) as Matrix, { autoTranspose: true });
  return diagonal
    .map((square, c): Freedom => {
      const column = model.free.map((i, r) => ({ key: knobs[i]!.key, change: V.get(r, c) }));
      const largest = column.reduce((a, b) => (Math.abs(b.change) > Math.abs(a.change) ? b : a));
      const moves = column.map(({ key, change }) => ({ key, change: change / largest.change })).filter(({ change }) => Math.abs(change) >= TAKES_PART);
      return { spread: square > 0 ? 1 / Math.sqrt(square) : Number.POSITIVE_INFINITY, moves: moves.sort((a, b) => Math.abs(b.change) - Math.abs(a.change)) };
    })
    .filter(({ spread, moves }) => spread >= OPEN && moves.some(({ key }) => anchorKeys.has(key)))
    .sort((a, b) => b.spread - a.spread);
}
