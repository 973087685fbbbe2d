/** Residuals with weights and priors, and their jacobian by difference quotients that stay within the bounds. */
import { Matrix } from 'ml-matrix';
import type { FitParameter, LeastSquaresProblem } from './least-squares-problem.js';

/** Relative steps that balance what the quotient leaves out against rounding: Nocedal & Wright, Numerical Optimization, 2006, 8.1. */
const CENTRAL = Math.cbrt(Number.EPSILON);
const FORWARD = Math.sqrt(Number.EPSILON);

/** Size of a change that matters. */
export function typicalSize({ start, min = -Infinity, max = Infinity, prior, typical }: FitParameter): number {
  if (typical !== undefined) return typical;
  if (start !== 0) return Math.abs(start);
  if (prior !== undefined) return prior.sd;
  return Number.isFinite(max - min) ? (max - min) / 10 : 1;
}

export interface WeightedModel {
  /** Indices of the parameters that are not fixed. */
  readonly free: readonly number[];
  /** Residuals and, after them, one row a prior of a free parameter. */
  readonly rows: number;
  readonly evaluations: () => number;
  /** Fills `out`; false where anything is not finite. */
  readonly residuals: (values: Float64Array, out: Float64Array) => boolean;
  /** rows × free, or the name of the parameter about which the model cannot be run. */
  readonly jacobian: (values: Float64Array, at: Float64Array) => Matrix | string;
}

const finite = (values: Float64Array): boolean => values.every(Number.isFinite);

export function createModel(problem: LeastSquaresProblem, differences: 'central' | 'forward'): WeightedModel {
  const { parameters, count, weights } = problem;
  const free = parameters.flatMap(({ fixed }, i) => (fixed === true ? [] : [i]));
  const priors = free.filter((i) => parameters[i]!.prior !== undefined);
  const rows = count + priors.length;
  let evaluations = 0;

  function residuals(values: Float64Array, out: Float64Array): boolean {
    evaluations++;
    problem.residuals(values, out.subarray(0, count));
    if (weights !== undefined) for (let k = 0; k < count; k++) out[k] = out[k]! * weights[k]!;
    priors.forEach((i, k) => {
      const { mean, sd } = parameters[i]!.prior!;
      out[count + k] = (values[i]! - mean) / sd;
    });
    return finite(out);
  }

  /** Fills column `c` for parameter `i` by a quotient; false where no quotient is finite. */
  function column(jacobian: Matrix, c: number, i: number, values: Float64Array, at: Float64Array): boolean {
    const { min = -Infinity, max = Infinity, step } = parameters[i]!;
    const x = values[i]!;
    const size = Math.max(Math.abs(x), typicalSize(parameters[i]!));
    const near = new Float64Array(rows);
    const far = new Float64Array(rows);
    const moved = values.slice();
    const run = (to: number, out: Float64Array): boolean => {
      moved[i] = to;
      return to >= min && to <= max && residuals(moved, out);
    };
    const fill = (slope: (k: number) => number): boolean => {
      for (let k = 0; k < rows; k++) jacobian.set(k, c, slope(k));
      return true;
    };
    let h = step ?? size * (differences === 'central' ? CENTRAL : FORWARD);
    for (let tries = 0; tries < 4; tries++, h /= 16) {
      const up = x + h;
      const down = x - h;
      if (differences === 'central') {
        if (run(up, near) && run(down, far)) return fill((k) => (near[k]! - far[k]!) / (up - down));
        // one side is out of bounds, or the model cannot be run there: three points to the other, of the same order
        for (const side of [h, -h]) {
          if (run(x + side, near) && run(x + 2 * side, far)) return fill((k) => (4 * near[k]! - far[k]! - 3 * at[k]!) / (2 * side));
        }
      } else {
        if (run(up, near)) return fill((k) => (near[k]! - at[k]!) / (up - x));
        if (run(down, near)) return fill((k) => (at[k]! - near[k]!) / (x - down));
      }
    }
    return false;
  }

  function jacobian(values: Float64Array, at: Float64Array): Matrix | string {
    const result = Matrix.zeros(rows, free.length);
    if (problem.jacobian === undefined) {
      const failed = free.findIndex((i, c) => !column(result, c, i, values, at));
      return failed < 0 ? result : parameters[free[failed]!]!.name;
    }
    const given = new Float64Array(count * parameters.length);
    problem.jacobian(values, given);
    for (let c = 0; c < free.length; c++) {
      for (let k = 0; k < count; k++) {
        const slope = given[k * parameters.length + free[c]!]! * (weights?.[k] ?? 1);
        if (!Number.isFinite(slope)) return parameters[free[c]!]!.name;
        result.set(k, c, slope);
      }
    }
    priors.forEach((i, k) => result.set(count + k, free.indexOf(i), 1 / parameters[i]!.prior!.sd));
    return result;
  }

  return { free, rows, evaluations: () => evaluations, residuals, jacobian };
}
