/**
 * Functions with published minima.
 *
 * J. J. Moré, B. S. Garbow and K. E. Hillstrom, Testing unconstrained optimization software, ACM Transactions on
 * Mathematical Software 7 (1981) 17–41: problems by their numbers there, minima as printed there, with further digits
 * recomputed at 40 digits by Newton's method. Problem 17's data and certified residual are NIST StRD's MGH17 as well.
 * Rastrigin: L. A. Rastrigin, Systems of Extremal Control, 1974; the usual generalisation to n variables.
 */
export type Cost = (x: readonly number[]) => number;

/** Chained; minimum 0 at ones. Problem 1 in two variables. */
export const rosenbrock: Cost = (x) =>
  x.slice(1).reduce((sum, next, i) => sum + 100 * (next - x[i]! ** 2) ** 2 + (1 - x[i]!) ** 2, 0);

/** Minimum 0 at 0; 10 n other minima a unit apart and worse. */
export const rastrigin: Cost = (x) => 10 * x.length + x.reduce((sum, v) => sum + v * v - 10 * Math.cos(2 * Math.PI * v), 0);

const squares = (residuals: readonly number[]): number => residuals.reduce((sum, r) => sum + r * r, 0);
const range = (n: number): number[] => Array.from({ length: n }, (_, i) => i + 1);

const BARD = [0.14, 0.18, 0.22, 0.25, 0.29, 0.32, 0.35, 0.39, 0.37, 0.58, 0.73, 0.96, 1.34, 2.1, 4.39];
const KOWALIK_Y = [0.1957, 0.1947, 0.1735, 0.16, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246];
const KOWALIK_U = [4, 2, 1, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625];
// biome-ignore format: data read better in rows
const OSBORNE = [
  0.844, 0.908, 0.932, 0.936, 0.925, 0.908, 0.881, 0.85, 0.818, 0.784, 0.751, 0.718, 0.685, 0.658, 0.628, 0.603, 0.58,
  0.558, 0.538, 0.522, 0.506, 0.49, 0.478, 0.467, 0.457, 0.448, 0.438, 0.431, 0.424, 0.42, 0.414, 0.411, 0.406,
];

export interface Problem {
  readonly name: string;
  readonly cost: Cost;
  /** The published start, and the cost there where it is known. */
  readonly start: readonly number[];
  readonly startCost: number | null;
  /** A box about start and minimum. */
  readonly lower: readonly number[];
  readonly upper: readonly number[];
  readonly least: number;
  readonly at: readonly number[];
  /** Least cost to be found from the published start by a local search, where that is another one. */
  readonly local?: number;
}

export const PROBLEMS: readonly Problem[] = [
  {
    name: '2, Freudenstein and Roth',
    cost: ([x = 0, y = 0]) => squares([-13 + x + ((5 - y) * y - 2) * y, -29 + x + ((y + 1) * y - 14) * y]),
    start: [0.5, -2], startCost: 400.5, lower: [-20, -20], upper: [20, 20],
    least: 0, at: [5, 4], local: 48.98425367924,
  },
  {
    name: '6, Jennrich and Sampson, m = 10',
    cost: ([x = 0, y = 0]) => squares(range(10).map((i) => 2 + 2 * i - (Math.exp(i * x) + Math.exp(i * y)))),
    start: [0.3, 0.4], startCost: 4171.30616196, lower: [-1, -1], upper: [1, 1],
    least: 124.36218235561, at: [0.25782521367, 0.25782521367],
  },
  {
    name: '8, Bard',
    cost: ([a = 0, b = 0, c = 0]) => squares(BARD.map((y, k) => y - (a + (k + 1) / ((15 - k) * b + Math.min(k + 1, 15 - k) * c)))),
    start: [1, 1, 1], startCost: 41.6816958617, lower: [-1, 0.05, 0.05], upper: [4, 4, 4],
    least: 0.008214877306579, at: [0.0824105597, 1.133036092, 2.3436951786],
  },
  {
    name: '15, Kowalik and Osborne',
    cost: ([a = 0, b = 0, c = 0, d = 0]) => squares(KOWALIK_U.map((u, i) => KOWALIK_Y[i]! - (a * (u * u + u * b)) / (u * u + u * c + d))),
    start: [0.25, 0.39, 0.415, 0.39], startCost: 0.00531317227211, lower: [0, 0, 0, 0], upper: [1, 1, 1, 1],
    least: 0.00030750560384924, at: [0.192806934579, 0.191282328734, 0.123056506926, 0.136062330684],
  },
  {
    name: '16, Brown and Dennis, m = 20',
    cost: ([a = 0, b = 0, c = 0, d = 0]) =>
      squares(range(20).map((i) => (a + (b * i) / 5 - Math.exp(i / 5)) ** 2 + (c + d * Math.sin(i / 5) - Math.cos(i / 5)) ** 2)),
    start: [25, 5, -5, -1], startCost: 7926693.337, lower: [-50, -50, -50, -50], upper: [50, 50, 50, 50],
    least: 85822.201626356, at: [-11.5944399048, 13.2036300512, -0.4034394882, 0.2367787745],
  },
  {
    name: '17, Osborne 1',
    cost: ([a = 0, b = 0, c = 0, d = 0, e = 0]) => squares(OSBORNE.map((y, i) => y - (a + b * Math.exp(-10 * i * d) + c * Math.exp(-10 * i * e)))),
    start: [0.5, 1.5, -1, 0.01, 0.02], startCost: null, lower: [0, 0, -3, 0.001, 0.001], upper: [1, 3, 0, 0.1, 0.1],
    least: 5.464894697482906e-5, at: [0.37541005211, 1.9358469127, -1.4646871366, 0.012867534640, 0.022122699662],
  },
];
