/** What the least-squares fitter is given. */

/** One parameter of a fit, in any unit. */
export interface FitParameter {
  readonly name: string;
  readonly start: number;
  /** Bounds, both within; absent: none. */
  readonly min?: number;
  readonly max?: number;
  /** Held at `start`. */
  readonly fixed?: boolean;
  /** Adds the residual (value − mean) / sd, beside residuals that are scaled to a standard deviation of 1. */
  readonly prior?: { readonly mean: number; readonly sd: number };
  /** Size of a change that matters, in the parameter's unit; where absent the start, the prior's sd, or a tenth of the bounds. */
  readonly typical?: number;
  /** Step of the difference quotients in the parameter's unit, where the fitter's own is too small for a noisy model. */
  readonly step?: number;
}

export interface LeastSquaresProblem {
  readonly parameters: readonly FitParameter[];
  /** How many residuals there are. */
  readonly count: number;
  /**
   * Fills `out` (`count` residuals, model less measured) from `values` (one a parameter, in order, fixed ones among them).
   * NaN or an infinity anywhere means that the model cannot be run there: the fitter then steps less far.
   */
  readonly residuals: (values: Float64Array, out: Float64Array) => void;
  /** Fills `out`, row-major `count` × parameters, with ∂residual/∂value; columns of fixed parameters are not read. */
  readonly jacobian?: (values: Float64Array, out: Float64Array) => void;
  /** Factor of each residual: 1/σ where σ is its standard deviation. 1 where absent. */
  readonly weights?: Float64Array;
  /**
   * Which block each residual belongs to, any whole numbers. Residuals of a block may hang together; blocks are independent.
   * Given, the covariance is of the sandwich form.
   */
  readonly blocks?: Int32Array;
}

export interface LeastSquaresOptions {
  /** Difference quotients where no jacobian is given; 'central'. Forward costs half and gives half the digits. */
  readonly differences?: 'central' | 'forward';
  /** Stops when a step lowers the sum of squares, and was forecast to, by less than this part of it; 1e-14. */
  readonly reduction?: number;
  /** Stops when steps are shorter than this part of the scaled parameters; 1e-10. */
  readonly change?: number;
  /** Stops when the residuals are as good as at right angles to all columns of the jacobian; cosine 1e-12. */
  readonly cosine?: number;
  /** Most runs of the model, jacobians included; 200 × (parameters + 1). */
  readonly evaluations?: number;
  /** Length of the first step at the most, over that of the scaled parameters; 1. */
  readonly firstStep?: number;
  /** Singular values below this part of the largest are taken for zero; 1e-7, a hundred times what differences get wrong. */
  readonly rank?: number;
  /** 'estimated': the residuals' variance is taken from their sum of squares. 'known': the weights are right. */
  readonly noise?: 'estimated' | 'known';
  /** Called after each step tried; false ends the fit with the best values so far. */
  readonly onStep?: (step: FitStep) => unknown;
}

/** One step tried. */
export interface FitStep {
  readonly index: number;
  /** Sum of squares at the best values so far, priors and weights included. */
  readonly sumOfSquares: number;
  /** Sum of squares where the step led; null where the model could not be run. */
  readonly triedSumOfSquares: number | null;
  readonly accepted: boolean;
  /** Actual over forecast reduction; null where the model could not be run. */
  readonly gainRatio: number | null;
  /** Damping λ of (JᵀJ + λD²)p = −Jᵀr; 0 is a Gauss–Newton step. */
  readonly damping: number;
  /** Length of the step in scaled parameters, |D p|, and the most it might have been. */
  readonly length: number;
  readonly radius: number;
  readonly evaluations: number;
}

/** Checks a problem. @throws RangeError naming the parameter and what is wrong */
export function checkProblem({ parameters, count, weights, blocks }: LeastSquaresProblem): void {
  const wrong = (name: string, what: string): never => {
    throw new RangeError(`${name}: ${what}`);
  };
  if (!Number.isInteger(count) || count < 1) wrong('residuals', `${count} is no number of residuals`);
  for (const { name, start, min = -Infinity, max = Infinity, prior, typical, step } of parameters) {
    if (!Number.isFinite(start)) wrong(name, `start ${start} is not finite`);
    if (!(min < max)) wrong(name, `bounds ${min} … ${max} leave nothing between them`);
    if (start < min || start > max) wrong(name, `start ${start} is outside ${min} … ${max}`);
    if (prior !== undefined && !(Number.isFinite(prior.mean) && prior.sd > 0)) wrong(name, `prior ${prior.mean} ± ${prior.sd} is none`);
    if (typical !== undefined && !(typical > 0)) wrong(name, `typical size ${typical} is not above 0`);
    if (step !== undefined && !(step > 0)) wrong(name, `step ${step} is not above 0`);
  }
  const names = new Set(parameters.map(({ name }) => name));
  if (names.size < parameters.length) wrong('parameters', 'two have the same name');
  if (weights !== undefined && (weights.length !== count || weights.some((w) => !(w >= 0 && w < Infinity)))) wrong('weights', `${count} finite ones are wanted, none below 0`);
  if (blocks !== undefined && blocks.length !== count) wrong('blocks', `${count} are wanted, ${blocks.length} are given`);
}
