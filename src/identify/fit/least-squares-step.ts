/**
 * One step of Levenberg–Marquardt within bounds.
 *
 * The jacobian is taken once through a QR decomposition, [J r] = Q [R z; 0 ρ], which leaves a problem of the parameters'
 * size; the damping is found from the singular values of R D⁻¹. J. J. Moré, The Levenberg–Marquardt algorithm:
 * implementation and theory, Lecture Notes in Mathematics 630, 1978; J. Nocedal and S. J. Wright, Numerical Optimization,
 * 2006, 4.3 (Newton's iteration on 1/Δ − 1/|Dp|) and 10.3.
 */
import { Matrix, QrDecomposition, SingularValueDecomposition } from 'ml-matrix';

/** min |R p + z|, the least-squares problem of a step. */
export interface Triangle {
  readonly R: Matrix;
  readonly z: Float64Array;
  /** Length of each column of the jacobian. */
  readonly norms: Float64Array;
}

/** The jacobian and residuals in their triangle. */
export function triangleOf(jacobian: Matrix, residuals: Float64Array): Triangle {
  const n = jacobian.columns;
  // rows of zeros change nothing, and the decomposition wants as many rows as columns
  const whole = Matrix.zeros(Math.max(jacobian.rows, n + 1), n + 1);
  for (let k = 0; k < jacobian.rows; k++) {
    for (let c = 0; c < n; c++) whole.set(k, c, jacobian.get(k, c));
    whole.set(k, n, residuals[k]!);
  }
  const upper = new QrDecomposition(whole).upperTriangularMatrix;
  const R = Matrix.zeros(n, n);
  for (let i = 0; i < n; i++) for (let j = i; j < n; j++) R.set(i, j, upper.get(i, j));
  const norms = Float64Array.from({ length: n }, (_, c) => Math.hypot(...R.getColumn(c)));
  return { R, z: Float64Array.from({ length: n }, (_, i) => upper.get(i, n)), norms };
}

export interface TrustedStep {
  /** One a column. */
  readonly p: Float64Array;
  readonly damping: number;
  /** |D p|. */
  readonly length: number;
  /** Half the fall of the sum of squares that the linear model forecasts. */
  readonly forecast: number;
}

/** What of the singular values counts as zero when a step is solved. */
const VANISHES = 1e-14;

/** min |A q + b| with |q| ≤ radius. */
function withinRadius(A: Matrix, b: readonly number[], radius: number): { q: number[]; damping: number } {
  const svd = new SingularValueDecomposition(A, { autoTranspose: true });
  const s = svd.diagonal;
  const U = svd.leftSingularVectors;
  const V = svd.rightSingularVectors;
  const c = s.map((_, i) => -b.reduce((sum, bk, k) => sum + U.get(k, i) * bk, 0));
  const floor = VANISHES * (s[0] ?? 0);
  const parts = (damping: number): number[] => s.map((si, i) => (si > floor ? (si * c[i]!) / (si * si + damping) : 0));
  const length = (of: readonly number[]): number => Math.hypot(...of);
  let damping = 0;
  let y = parts(0);
  for (let k = 0; k < 60 && length(y) > 1.1 * radius; k++) {
    const size = length(y);
    // d|y|/dλ = −Σ y²/(s² + λ) / |y|
    const slope = y.reduce((sum, yi, i) => sum + (yi === 0 ? 0 : (yi * yi) / (s[i]! * s[i]! + damping)), 0) / size;
    damping = Math.max(0, damping + ((size - radius) / radius) * (size / slope));
    y = parts(damping);
  }
  return { q: Array.from({ length: A.columns }, (_, j) => y.reduce((sum, yi, i) => sum + V.get(j, i) * yi, 0)), damping };
}

/**
 * The step p that lowers |R p + z| most with |D p| ≤ radius and low ≤ p ≤ high (0 is within).
 *
 * A column at a bound that pulls outward rests there. Where the step for the others passes a bound, that column stops at it
 * and the rest is solved again.
 */
export function trustedStep({ R, z }: Triangle, scale: Float64Array, radius: number, low: Float64Array, high: Float64Array): TrustedStep {
  const n = R.columns;
  const pull = (c: number): number => z.reduce((sum, zi, i) => sum + R.get(i, c) * zi, 0);
  const p = new Float64Array(n);
  let moving = Array.from({ length: n }, (_, c) => c).filter((c) => !((low[c] === 0 && pull(c) > 0) || (high[c] === 0 && pull(c) < 0)));
  let damping = 0;
  while (moving.length > 0) {
    const A = Matrix.zeros(n, moving.length);
    moving.forEach((c, j) => {
      for (let i = 0; i < n; i++) A.set(i, j, R.get(i, c) / scale[c]!);
    });
    const rest = Array.from(z, (zi, i) => p.reduce((sum, pc, c) => (moving.includes(c) ? sum : sum + R.get(i, c) * pc), zi));
    const solved = withinRadius(A, rest, radius);
    damping = solved.damping;
    const still: number[] = [];
    moving.forEach((c, j) => {
      const step = solved.q[j]! / scale[c]!;
      p[c] = Math.min(Math.max(step, low[c]!), high[c]!);
      if (p[c] === step) still.push(c);
    });
    if (still.length === moving.length) break;
    moving = still;
  }
  let forecast = 0;
  for (let i = 0; i < n; i++) {
    const change = p.reduce((sum, pc, c) => sum + R.get(i, c) * pc, 0);
    forecast -= change * (z[i]! + change / 2);
  }
  return { p, damping, length: Math.hypot(...p.map((pc, c) => pc * scale[c]!)), forecast };
}
