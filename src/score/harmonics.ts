/** Least-squares fit of a periodic wave on a slow drift: y ≈ a + b·τ + c·τ² + Σ (p_k cos 2πkft + q_k sin 2πkft). */

export interface Wave {
  /** Coefficients of cos and sin, fundamental first. */
  readonly cos: readonly number[];
  readonly sin: readonly number[];
  /** Sum of squares that the fit leaves over. */
  readonly residual: number;
}

const DRIFT = 3;

/** Solves a symmetric positive definite system in place (Cholesky), row-major; a vanishing pivot gives a zero. */
function solve(matrix: Float64Array, rhs: Float64Array): void {
  const n = rhs.length;
  const m = (i: number, j: number): number => matrix[i * n + j] as number;
  const b = (i: number): number => rhs[i] as number;
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = m(i, j);
      for (let k = 0; k < j; k++) sum -= m(i, k) * m(j, k);
      if (i === j) matrix[j * n + j] = Math.sqrt(Math.max(sum, 0));
      else matrix[i * n + j] = m(j, j) > 0 ? sum / m(j, j) : 0;
    }
  }
  for (let i = 0; i < n; i++) {
    let sum = b(i);
    for (let k = 0; k < i; k++) sum -= m(i, k) * b(k);
    rhs[i] = m(i, i) > 0 ? sum / m(i, i) : 0;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b(i);
    for (let k = i + 1; k < n; k++) sum -= m(k, i) * b(k);
    rhs[i] = m(i, i) > 0 ? sum / m(i, i) : 0;
  }
}

/**
 * Fits a wave of `frequency` (cycles per sample) with `harmonics` harmonics (0 fits the drift alone).
 *
 * @param left when given, receives what the fit leaves over, sample by sample
 */
export function fitWave(y: Float64Array, frequency: number, harmonics: number, left?: Float64Array): Wave {
  const size = DRIFT + 2 * harmonics;
  const matrix = new Float64Array(size * size);
  const rhs = new Float64Array(size);
  const basis = new Float64Array(size);
  const middle = (y.length - 1) / 2;
  const fill = (i: number): void => {
    const tau = middle > 0 ? (i - middle) / middle : 0;
    basis[0] = 1;
    basis[1] = tau;
    basis[2] = tau * tau;
    const c = Math.cos(2 * Math.PI * frequency * i);
    const s = Math.sin(2 * Math.PI * frequency * i);
    for (let k = 0, ck = c, sk = s; k < harmonics; k++) {
      basis[DRIFT + 2 * k] = ck;
      basis[DRIFT + 2 * k + 1] = sk;
      const next = ck * c - sk * s;
      sk = sk * c + ck * s;
      ck = next;
    }
  };
  for (let i = 0; i < y.length; i++) {
    fill(i);
    for (let r = 0; r < size; r++) {
      const br = basis[r] as number;
      rhs[r] = (rhs[r] as number) + br * (y[i] as number);
      for (let c = 0; c <= r; c++) matrix[r * size + c] = (matrix[r * size + c] as number) + br * (basis[c] as number);
    }
  }
  solve(matrix, rhs);
  let residual = 0;
  for (let i = 0; i < y.length; i++) {
    fill(i);
    let rest = y[i] as number;
    for (let r = 0; r < size; r++) rest -= (rhs[r] as number) * (basis[r] as number);
    residual += rest * rest;
    if (left !== undefined) left[i] = rest;
  }
  const pick = (offset: number): number[] => Array.from({ length: harmonics }, (_, k) => rhs[DRIFT + 2 * k + offset] as number);
  return { cos: pick(0), sin: pick(1), residual };
}

/**
 * Peak to peak of a wave fitted to `samples` samples, from 512 places of its cycle (within 2e-5 of a sine's).
 *
 * A harmonic no larger than noise would leave is left out, or their sum would lengthen the peaks: white noise of variance
 * σ² gives p² + q² = 4σ²/n on average, exponentially distributed, so three times that is passed by one in twenty.
 */
export function peakToPeak(wave: Wave, samples: number): number {
  const floor = (3 * 4 * wave.residual) / (samples * samples);
  const kept = wave.cos
    .map((p, k) => ({ order: k + 1, p, q: wave.sin[k] as number }))
    .filter(({ order, p, q }) => order === 1 || p * p + q * q > floor);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < 512; i++) {
    const phase = (2 * Math.PI * i) / 512;
    let value = 0;
    for (const { order, p, q } of kept) value += p * Math.cos(order * phase) + q * Math.sin(order * phase);
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  return high - low;
}
