/** The least-squares fitter against closed forms; the NIST problems are in tests/published. */
import { Matrix, inverse } from 'ml-matrix';
import { describe, expect, it, test } from 'vitest';
import { fitLeastSquares, type FitParameter, type LeastSquaresOptions, type LeastSquaresProblem } from '../../src/identify/fit/least-squares.js';
import { createRandom } from '../../src/numerics/random.js';

const ROWS = 60;
const X = Array.from({ length: ROWS }, (_, k) => [1, k / 10, Math.sin(k)]);

/** A linear problem y = Σ b x + noise, seeded. */
function linear(parameters: readonly FitParameter[], truth: readonly number[], sd: number, more: Partial<LeastSquaresProblem> = {}) {
  const random = createRandom(7);
  const y = X.map((x) => x.reduce((sum, xi, i) => sum + xi * (truth[i] as number), 0) + sd * random.normal());
  const residuals: LeastSquaresProblem['residuals'] = (b, out) =>
    X.forEach((x, k) => (out[k] = x.reduce((sum, xi, i) => sum + xi * (b[i] as number), 0) - (y[k] as number)));
  return { problem: { parameters, count: ROWS, residuals, ...more }, y };
}

const named = (...more: Partial<FitParameter>[]): FitParameter[] => ['a', 'b', 'c'].map((name, i) => ({ name, start: 0, ...more[i] }));

/** (XᵀWX + P)⁻¹ (XᵀWy + P m), the closed form. */
function closedForm(y: readonly number[], precisions: readonly number[], means: readonly number[]) {
  const A = new Matrix(X);
  const inverted = inverse(Matrix.add(A.transpose().mmul(A), Matrix.diag([...precisions])));
  const right = Matrix.add(A.transpose().mmul(Matrix.columnVector([...y])), Matrix.columnVector(precisions.map((p, i) => p * (means[i] as number))));
  return { values: inverted.mmul(right).getColumn(0), inverted };
}

const near = (got: Iterable<number>, wanted: Iterable<number>, digits = 7): void => {
  const list = [...wanted];
  [...got].forEach((g, i) => expect(g).toBeCloseTo(list[i] as number, digits));
};

describe('a linear problem', () => {
  it('comes out as the normal equations say, covariance too', () => {
    const { problem, y } = linear(named(), [3, -2, 0.5], 0.3);
    const fit = fitLeastSquares(problem);
    const { values, inverted } = closedForm(y, [0, 0, 0], [0, 0, 0]);
    expect(fit.converged).toBe(true);
    near(fit.values, values);
    const variance = fit.residualSumOfSquares / (ROWS - 3);
    expect(fit.variance).toBeCloseTo(variance, 12);
    expect(fit.degreesOfFreedom).toBeCloseTo(ROWS - 3, 9);
    near(fit.covariance.to1DArray(), inverted.mul(variance).to1DArray(), 9);
    expect(fit.parameters[1]?.sd).toBeCloseTo(Math.sqrt(inverted.get(1, 1)), 9);
  });

  it('is pulled by priors as the closed form says', () => {
    const priors = [{ mean: 10, sd: 0.2 }, { mean: 0, sd: 0.01 }, { mean: -1, sd: 0.5 }];
    const { problem, y } = linear(named(...priors.map((prior) => ({ prior }))), [3, -2, 0.5], 1);
    const fit = fitLeastSquares(problem, { noise: 'known' });
    const { values, inverted } = closedForm(y, priors.map(({ sd }) => sd ** -2), priors.map(({ mean }) => mean));
    near(fit.values, values);
    near(fit.covariance.to1DArray(), inverted.to1DArray(), 9);
  });

  it('comes out the same when one residual counts double and when it is there four times', () => {
    const { problem, y } = linear(named(), [3, -2, 0.5], 0.3);
    const weights = new Float64Array(ROWS).fill(1);
    weights[5] = 2;
    const fit = fitLeastSquares({ ...problem, weights });
    const four = [...Array(ROWS).keys(), 5, 5, 5];
    const again = fitLeastSquares({
      parameters: named(), count: four.length,
      residuals: (b, out) => four.forEach((k, i) => (out[i] = (X[k] as number[]).reduce((sum, xi, j) => sum + xi * (b[j] as number), 0) - (y[k] as number))),
    });
    near(fit.values, again.values);
  });

  it('stops at a bound, where the others are those of the problem with that one held there', () => {
    const truth = [3, -2, 0.5];
    const bounded = fitLeastSquares(linear(named({}, { min: -1.5, max: 4 }, {}), truth, 0.3).problem);
    const held = fitLeastSquares(linear(named({}, { start: -1.5, fixed: true }, {}), truth, 0.3).problem);
    expect(bounded.converged).toBe(true);
    expect(bounded.values[1]).toBe(-1.5);
    near(bounded.values, held.values);
    expect(bounded.parameters[1]).toMatchObject({ sd: null, reason: 'rests on its bound' });
    expect(bounded.freeNames).toEqual(['a', 'c']);
  });

  it('leaves a bound that it started on', () => {
    const fit = fitLeastSquares(linear(named({}, { start: 4, max: 4, min: -5 }, {}), [3, -2, 0.5], 0).problem);
    near(fit.values, [3, -2, 0.5], 6);
  });

  it.each(['a', 'b', 'c'])('with %s held fits the others, and never moves it', (name) => {
    const truth = [3, -2, 0.5];
    const parameters = named().map((p, i) => (p.name === name ? { ...p, start: truth[i] as number, fixed: true } : p));
    const seen = new Set<number>();
    const index = parameters.findIndex((p) => p.name === name);
    const { problem } = linear(parameters, truth, 0);
    const fit = fitLeastSquares({ ...problem, residuals: (b, out) => (seen.add(b[index] as number), problem.residuals(b, out)) });
    near(fit.values, truth);
    expect([...seen]).toEqual([truth[index]]);
  });

  it('with all held gives the start back', () => {
    const fit = fitLeastSquares(linear(named({ fixed: true, start: 1 }, { fixed: true }, { fixed: true }), [1, 0, 0], 0.1).problem);
    expect([...fit.values]).toEqual([1, 0, 0]);
    expect(fit).toMatchObject({ converged: true, ended: 'nothing to fit', freeNames: [] });
  });
});

describe('what the residuals cannot tell', () => {
  it('is named as a direction: two parameters of which only the product counts', () => {
    const fit = fitLeastSquares({
      parameters: [{ name: 'inertia', start: 0.2 }, { name: 'torque', start: 9 }, { name: 'level', start: 0 }],
      count: 40,
      residuals: ([j, t, l], out) => { for (let k = 0; k < 40; k++) out[k] = (j as number) * (t as number) * Math.sin(k) + (l as number) - 3 * Math.sin(k) - 1; },
    });
    expect(fit.converged).toBe(true);
    expect((fit.values[0] as number) * (fit.values[1] as number)).toBeCloseTo(3, 8);
    expect(fit.freeDirections).toHaveLength(1);
    expect(fit.freeDirections[0]?.text).toMatch(/^(inertia and torque|torque and inertia) only together$/);
    const [a, b] = fit.freeDirections[0]!.moves;
    // d(jt) = 0: each changes by the same part of itself, one up and one down
    const part = ({ name, change }: { name: string; change: number }): number => change / (fit.values[name === 'inertia' ? 0 : 1] as number);
    expect(part(a!) / part(b!)).toBeCloseTo(-1, 5);
    expect(fit.parameters[0]?.sd).toBeNull();
    expect(fit.parameters[0]?.reason).toContain('only together');
    expect(fit.parameters[2]?.sd).not.toBeNull();
  });

  it('is named when one parameter has no effect', () => {
    const fit = fitLeastSquares({
      parameters: [{ name: 'used', start: 1 }, { name: 'idle', start: 5 }], count: 9,
      residuals: ([u], out) => { for (let k = 0; k < 9; k++) out[k] = (u as number) * k - 2 * k + (k % 2); },
    });
    expect(fit.values[1]).toBe(5);
    expect(fit.parameters[1]).toMatchObject({ sd: null, reason: 'cannot be told: idle has no effect' });
  });

  it('is told again once a prior gives it', () => {
    const fit = fitLeastSquares({
      parameters: [{ name: 'used', start: 1 }, { name: 'idle', start: 5, prior: { mean: 4, sd: 0.25 } }], count: 9,
      residuals: ([u], out) => { for (let k = 0; k < 9; k++) out[k] = (u as number) * k - 2 * k + (k % 2); },
    }, { noise: 'known' });
    expect(fit.freeDirections).toEqual([]);
    expect(fit.values[1]).toBeCloseTo(4, 8);
    expect(fit.parameters[1]?.sd).toBeCloseTo(0.25, 8);
  });
});

describe('the sandwich', () => {
  const random = createRandom(11);
  const blocks = Int32Array.from({ length: 800 }, (_, k) => Math.floor(k / 20));
  /** A level under noise that is the same all through a block: 40 independent readings, however many samples. */
  const trial = (options: LeastSquaresOptions, more: Partial<LeastSquaresProblem>) => {
    const noise = Array.from({ length: 40 }, () => random.normal());
    const y = Float64Array.from(blocks, (b) => 5 + (noise[b] as number));
    return fitLeastSquares({ parameters: [{ name: 'level', start: 1 }], count: 800, residuals: ([l], out) => y.forEach((v, k) => (out[k] = (l as number) - v)), ...more }, options);
  };

  it('gives the deviation of a mean of independent blocks, √(Σ(m − m̄)²/(B(B − 1)))', () => {
    const fit = trial({}, { blocks });
    const means = Array.from({ length: 40 }, (_, b) => (fit.values[0] as number) - (fit.residuals[b * 20] as number));
    const mean = means.reduce((s, m) => s + m, 0) / 40;
    const sd = Math.sqrt(means.reduce((s, m) => s + (m - mean) ** 2, 0) / (40 * 39));
    expect(fit.parameters[0]?.sd).toBeCloseTo(sd, 8);
  });

  it('covers the truth where the plain covariance, which takes each sample for a reading, does not', () => {
    const covers = (more: Partial<LeastSquaresProblem>): number =>
      Array.from({ length: 200 }, () => trial({}, more)).filter(({ values, parameters }) => Math.abs((values[0] as number) - 5) < 2.02 * (parameters[0]?.sd as number)).length;
    expect(covers({ blocks })).toBeGreaterThan(180);
    expect(covers({})).toBeLessThan(100);
  });
});

describe('a model that cannot be run everywhere', () => {
  /** √ of a value that must not be below 0.5, a cliff beside the least. */
  const cliff = (worse: number): LeastSquaresProblem => ({
    parameters: [{ name: 'level', start: 9 }], count: 2,
    residuals: ([v], out) => { out[0] = (v as number) < 0.5 ? worse : Math.log(v as number); out[1] = 0.01; },
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY])('steps less far where a residual is %s', (worse) => {
    const fit = fitLeastSquares(cliff(worse), { firstStep: 100 });
    expect(fit.values[0]).toBeCloseTo(1, 6);
    expect(fit.steps.some(({ accepted, triedSumOfSquares, gainRatio }) => !accepted && triedSumOfSquares === null && gainRatio === null)).toBe(true);
  });

  it('is refused when it cannot be run at the start', () => {
    expect(() => fitLeastSquares({ ...cliff(Number.NaN), parameters: [{ name: 'level', start: 0.1 }] })).toThrow('the residuals at the start are not all finite');
  });

  it('takes one-sided quotients at an edge, as good as central ones', () => {
    const fit = fitLeastSquares({
      parameters: [{ name: 'level', start: 2, min: 2, max: 9 }], count: 1,
      residuals: ([v], out) => (out[0] = (v as number) < 2 ? Number.NaN : Math.exp(v as number) - 1),
    });
    expect(fit).toMatchObject({ converged: true, values: Float64Array.of(2) });
    expect(fit.jacobian.get(0, 0) / Math.exp(2)).toBeCloseTo(1, 8);
  });
});

describe('its ways', () => {
  const rosenbrock = (more: Partial<LeastSquaresProblem> = {}, start = [-1.2, 1]): LeastSquaresProblem => ({
    parameters: start.map((value, i) => ({ name: `x${i + 1}`, start: value })), count: 2,
    residuals: ([a, b], out) => { out[0] = 10 * ((b as number) - (a as number) ** 2); out[1] = 1 - (a as number); }, ...more,
  });

  it.each(['central', 'forward'] as const)('%s differences go down the banana valley', (differences) => {
    near(fitLeastSquares(rosenbrock(), { differences }).values, [1, 1], 6);
  });

  it('takes a jacobian that is given, and then runs the model once a step', () => {
    const fit = fitLeastSquares(rosenbrock({ jacobian: ([a], out) => out.set([-20 * (a as number), 10, -1, 0]) }));
    near(fit.values, [1, 1], 9);
    expect(fit.evaluations).toBe(fit.steps.length + 1);
  });

  it('keeps the best so far when it is stopped, and never goes uphill', () => {
    const sums: number[] = [];
    const fit = fitLeastSquares(rosenbrock(), { onStep: (step) => (sums.push(step.sumOfSquares), sums.length < 6) });
    expect(fit).toMatchObject({ ended: 'stopped', converged: false });
    expect(sums).toEqual([...sums].sort((a, b) => b - a));
    expect(fit.sumOfSquares).toBe(sums.at(-1));
  });

  it('says so when it has run the model often enough', () => {
    expect(fitLeastSquares(rosenbrock(), { evaluations: 9 })).toMatchObject({ ended: 'evaluations', converged: false });
  });

  it('gives the same bits again', () => {
    expect([...fitLeastSquares(rosenbrock()).values]).toEqual([...fitLeastSquares(rosenbrock()).values]);
  });

  test.each<[string, FitParameter[]]>([
    ['x: start 3 is outside 0 … 2', [{ name: 'x', start: 3, min: 0, max: 2 }]],
    ['x: bounds 2 … 2 leave nothing between them', [{ name: 'x', start: 2, min: 2, max: 2 }]],
    ['x: prior 1 ± 0 is none', [{ name: 'x', start: 2, prior: { mean: 1, sd: 0 } }]],
    ['x: start NaN is not finite', [{ name: 'x', start: Number.NaN }]],
    ['parameters: two have the same name', [{ name: 'x', start: 2 }, { name: 'x', start: 2 }]],
  ])('refuses: %s', (message, parameters) => {
    expect(() => fitLeastSquares({ parameters, count: 1, residuals: (_, out) => (out[0] = 0) })).toThrow(message);
  });
});
