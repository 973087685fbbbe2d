/** The normal law of a CMA-ES run and how a generation changes it; equations of Hansen 2016 (see cma-es.ts). */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { exp, log, pow } from '../../numerics/elementary.js';

/** Mean, spread σ and covariance C of the law; matrices by rows. Plain data. */
export interface Law {
  readonly n: number;
  mean: number[];
  /** σ, in shares of the box; `first` is what the run began with. */
  spread: number;
  readonly first: number;
  covariance: number[];
  /** C = B·D²·Bᵀ as last worked out: columns of B, and D. */
  axes: number[];
  lengths: number[];
  /** Evolution paths of σ and of C. */
  pathSpread: number[];
  pathShape: number[];
  /** Generations so far, and the one that `axes` are of. */
  generation: number;
  axesOf: number;
}

const identity = (n: number): number[] => Array.from({ length: n * n }, (_, i) => (i % (n + 1) === 0 ? 1 : 0));
const zeros = (n: number): number[] => new Array<number>(n).fill(0);

/** Round, with this spread about a start. */
export const createLaw = (start: readonly number[], spread: number): Law => ({
  n: start.length,
  mean: [...start],
  spread,
  first: spread,
  covariance: identity(start.length),
  axes: identity(start.length),
  lengths: new Array<number>(start.length).fill(1),
  pathSpread: zeros(start.length),
  pathShape: zeros(start.length),
  generation: 0,
  axesOf: 0,
});

/** Weights of the better half (eqs. 49–53) and the constants that follow from them (eqs. 55–58), for n numbers and λ points. */
export function constants(n: number, population: number) {
  const parents = population >> 1;
  const raw = Array.from({ length: parents }, (_, i) => log((population + 1) / 2) - log(i + 1));
  const sum = raw.reduce((a, b) => a + b, 0);
  const weights = raw.map((w) => w / sum);
  const mass = 1 / weights.reduce((a, w) => a + w * w, 0); // μ_eff
  const cSpread = (mass + 2) / (n + mass + 5);
  const damping = 1 + 2 * Math.max(0, Math.sqrt((mass - 1) / (n + 1)) - 1) + cSpread;
  const cPath = (4 + mass / n) / (n + 4 + (2 * mass) / n);
  const cOne = 2 / ((n + 1.3) ** 2 + mass);
  const cMass = Math.min(1 - cOne, (2 * (0.25 + mass + 1 / mass - 2)) / ((n + 2) ** 2 + mass));
  /** Mean length of a normal vector. */
  const length = Math.sqrt(n) * (1 - 1 / (4 * n) + 1 / (21 * n * n));
  return { weights, mass, cSpread, damping, cPath, cOne, cMass, length };
}

/** What a generation drew, point after point: normal vectors, and the steps B·D·z from the mean that they make, in spreads. */
export interface Drawn {
  readonly z: Float64Array;
  readonly step: Float64Array;
}

/** Moves and reshapes the law by a generation (eqs. 41–47). @param order its points, best first */
export function adapt(law: Law, drawn: Drawn, order: readonly number[]): void {
  const { n } = law;
  const c = constants(n, order.length);
  const z = new Float64Array(n);
  const step = new Float64Array(n);
  const spreading = new Float64Array(n * n); // Σ w·step·stepᵀ, lower half
  for (const [place, weight] of c.weights.entries()) {
    const at = (order[place] as number) * n;
    for (let i = 0; i < n; i++) {
      const s = weight * (drawn.step[at + i] as number);
      z[i] = (z[i] as number) + weight * (drawn.z[at + i] as number);
      step[i] = (step[i] as number) + s;
      for (let j = 0; j <= i; j++) spreading[i * n + j] = (spreading[i * n + j] as number) + s * (drawn.step[at + j] as number);
    }
  }

  law.mean = law.mean.map((m, i) => m + law.spread * (step[i] as number));
  const turn = Math.sqrt(c.cSpread * (2 - c.cSpread) * c.mass);
  law.pathSpread = law.pathSpread.map((p, i) => {
    let turned = 0; // C^(−1/2)·step = B·z
    for (let k = 0; k < n; k++) turned += (law.axes[i * n + k] as number) * (z[k] as number);
    return (1 - c.cSpread) * p + turn * turned;
  });
  const length = Math.sqrt(law.pathSpread.reduce((sum, p) => sum + p * p, 0));
  law.generation++;
  const steady = length / Math.sqrt(1 - pow(1 - c.cSpread, 2 * law.generation)) < (1.4 + 2 / (n + 1)) * c.length;
  const pull = steady ? Math.sqrt(c.cPath * (2 - c.cPath) * c.mass) : 0;
  law.pathShape = law.pathShape.map((p, i) => (1 - c.cPath) * p + pull * (step[i] as number));

  const keep = 1 - c.cOne - c.cMass + (steady ? 0 : c.cOne * c.cPath * (2 - c.cPath));
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      const one = c.cOne * (law.pathShape[i] as number) * (law.pathShape[j] as number);
      const sum = keep * (law.covariance[i * n + j] as number) + one + c.cMass * (spreading[i * n + j] as number);
      law.covariance[i * n + j] = sum;
      law.covariance[j * n + i] = sum;
    }
  }
  law.spread *= exp(Math.min(1, (c.cSpread / c.damping) * (length / c.length - 1)));
  if (law.generation - law.axesOf >= 1 / (10 * n * (c.cOne + c.cMass))) decompose(law);
}

/** Works out axes and lengths anew. Lengths that rounding made negative are nil. */
function decompose(law: Law): void {
  const { n } = law;
  const square = Array.from({ length: n }, (_, i) => law.covariance.slice(i * n, (i + 1) * n));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(new Matrix(square), { assumeSymmetric: true });
  law.lengths = realEigenvalues.map((value) => Math.sqrt(Math.max(0, value)));
  law.axes = eigenvectorMatrix.to1DArray();
  law.axesOf = law.generation;
}
