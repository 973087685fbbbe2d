/**
 * Nonlinear least squares by Levenberg–Marquardt in a scaled trust region, with bounds, priors, weights and fixed parameters.
 *
 *     at the values x, with residuals r and jacobian J:
 *     p     the step that lowers |J p + r|² most, within the radius and the bounds
 *     ρ     actual over forecast fall of the sum of squares
 *     ρ > 1e-4, and the model could be run there    x ← x + p
 *     ρ < ¼   the radius shrinks        ρ > ¾   it grows
 *
 * Source: J. J. Moré, 1978 (scaling, radius, tests of convergence); J. Nocedal and S. J. Wright, 2006, chapters 4 and 10.
 * The constants are Moré's.
 */
import type { Matrix } from 'ml-matrix';
import { createModel } from './least-squares-model.js';
import { checkProblem, type FitStep, type LeastSquaresOptions, type LeastSquaresProblem } from './least-squares-problem.js';
import { triangleOf, trustedStep } from './least-squares-step.js';
import { type Spread, spreadOf } from './least-squares-spread.js';

export type { FitParameter, FitStep, LeastSquaresOptions, LeastSquaresProblem } from './least-squares-problem.js';
export type { FreeDirection, ParameterSpread, Spread } from './least-squares-spread.js';

/** Why a fit ended. The first four are convergence. */
export type FitEnd = 'reduction' | 'change' | 'cosine' | 'zero residual' | 'evaluations' | 'no step helps' | 'stopped' | 'nothing to fit';

export interface LeastSquaresFit extends Spread {
  /** One a parameter, in the problem's order. */
  readonly values: Float64Array;
  readonly converged: boolean;
  readonly ended: FitEnd;
  /** Weighted residuals at `values`, without priors. */
  readonly residuals: Float64Array;
  /** Sum of their squares, and with the priors' rows. */
  readonly residualSumOfSquares: number;
  readonly sumOfSquares: number;
  /** Weighted, residuals and then priors × free parameters (`freeNames`). */
  readonly jacobian: Matrix;
  readonly steps: readonly FitStep[];
  readonly evaluations: number;
}

const CONVERGED: readonly FitEnd[] = ['reduction', 'change', 'cosine', 'zero residual', 'nothing to fit'];
const squares = (values: Float64Array): number => values.reduce((sum, v) => sum + v * v, 0);

/**
 * Fits parameters so that the sum of squared residuals (and priors) is least.
 *
 * @throws RangeError when the problem is wrong, or the model cannot be run at the start
 */
export function fitLeastSquares(problem: LeastSquaresProblem, options: LeastSquaresOptions = {}): LeastSquaresFit {
  checkProblem(problem);
  const { parameters, count } = problem;
  const { reduction = 1e-14, change = 1e-10, cosine = 1e-12, firstStep = 1, differences = 'central', onStep } = options;
  const model = createModel(problem, differences);
  const { free, rows } = model;
  const most = options.evaluations ?? 200 * (parameters.length + 1);
  let values = Float64Array.from(parameters, ({ start }) => start);
  let residuals = new Float64Array(rows);
  if (!model.residuals(values, residuals)) throw new RangeError('the residuals at the start are not all finite');
  let sum = squares(residuals);
  const scale = new Float64Array(free.length);
  const steps: FitStep[] = [];
  let radius = 0;
  let ended: FitEnd | null = free.length === 0 ? 'nothing to fit' : null;

  const first = model.jacobian(values, residuals);
  if (typeof first === 'string') throw new RangeError(`${first}: the model cannot be run about the start`);
  let jacobian = first;
  const lengthOf = (x: Float64Array): number => Math.hypot(...free.map((i, c) => x[i]! * scale[c]!));

  while (ended === null) {
    const triangle = triangleOf(jacobian, residuals);
    // a scale never shrinks; a column of nothing is scaled by 1
    triangle.norms.forEach((norm, c) => (scale[c] = Math.max(scale[c]!, norm === 0 && scale[c] === 0 ? 1 : norm)));
    if (radius === 0) radius = firstStep * lengthOf(values) || firstStep;
    if (sum === 0) ended = 'zero residual';
    else if (steepest(triangle, Math.sqrt(sum), free, values, parameters) <= cosine) ended = 'cosine';
    const low = Float64Array.from(free, (i) => (parameters[i]!.min ?? -Infinity) - values[i]!);
    const high = Float64Array.from(free, (i) => (parameters[i]!.max ?? Infinity) - values[i]!);
    for (let accepted = false; !accepted && ended === null; ) {
      const step = trustedStep(triangle, scale, radius, low, high);
      const to = values.slice();
      free.forEach((i, c) => {
        const { min = -Infinity, max = Infinity } = parameters[i]!;
        to[i] = step.p[c] === low[c] ? min : step.p[c] === high[c] ? max : Math.min(Math.max(values[i]! + step.p[c]!, min), max);
      });
      const tried = new Float64Array(rows);
      const runs = model.residuals(to, tried);
      const triedSum = runs ? squares(tried) : null;
      const fall = triedSum === null ? -Infinity : (sum - triedSum) / 2;
      const gain = triedSum === null || !(step.forecast > 0) ? null : fall / step.forecast;
      const before = sum;
      const used = radius;
      // a place about which the model cannot be run is no better than one at which it cannot
      const slopes = gain !== null && gain > 1e-4 ? model.jacobian(to, tried) : null;
      accepted = slopes !== null && typeof slopes !== 'string';
      if (gain === null || (slopes !== null && !accepted)) radius = Math.min(radius, step.length) * 0.25;
      else if ( gain < 0.25) radius = Math.min(radius, step.length) * (gain < 0 ? 0.25 : 0.5);
      else if (gain > 0.75 || step.damping === 0) radius = Math.max(radius, 2 * step.length);
      if (accepted) [values, residuals, sum, jacobian] = [to, tried, triedSum as number, slopes as Matrix];
      const record: FitStep = {
        index: steps.length, sumOfSquares: sum, triedSumOfSquares: triedSum, accepted, gainRatio: gain, damping: step.damping,
        length: step.length, radius: used, evaluations: model.evaluations(),
      };
      steps.push(record);
      if (onStep?.(record) === false) ended = 'stopped';
      else if (sum === 0) ended = 'zero residual';
      else if (2 * step.forecast <= reduction * before && Math.abs(2 * fall) <= reduction * before) ended = 'reduction';
      else if (radius <= change * lengthOf(values)) ended = runs ? 'change' : 'no step helps';
      else if (!(step.forecast > 0) && step.length === 0) ended = 'no step helps';
      else if (model.evaluations() >= most) ended = 'evaluations';
    }
  }
  const own = residuals.subarray(0, count);
  return {
    values, ended, converged: CONVERGED.includes(ended), residuals: own, residualSumOfSquares: squares(own), sumOfSquares: sum,
    jacobian, steps, evaluations: model.evaluations(), ...spreadOf(problem, options, values, residuals, jacobian, free),
  };
}

/** Largest cosine between the residuals and a column that is free to follow its pull. */
function steepest({ R, z, norms }: ReturnType<typeof triangleOf>, length: number, free: readonly number[], values: Float64Array, parameters: LeastSquaresProblem['parameters']): number {
  return Math.max(
    ...free.map((i, c) => {
      const pull = z.reduce((sum, zi, k) => sum + R.get(k, c) * zi, 0);
      const { min, max } = parameters[i]!;
      if (norms[c] === 0 || (values[i] === min && pull > 0) || (values[i] === max && pull < 0)) return 0;
      return Math.abs(pull) / (norms[c]! * length);
    }),
  );
}
