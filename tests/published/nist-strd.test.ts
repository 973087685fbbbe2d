/**
 * Nonlinear regression problems with certified answers: NIST/ITL Statistical Reference Datasets (StRD),
 * https://www.itl.nist.gov/div898/strd/, public domain. Data and certified values in data/nist-strd.json.
 *
 * Correct digits are −log₁₀ of the relative error (NIST's "log relative error"), of the worst parameter.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { fitLeastSquares, type LeastSquaresOptions } from '../../src/identify/fit/least-squares.js';

interface Certified {
  readonly name: string;
  readonly start1: readonly number[];
  readonly start2: readonly number[];
  readonly certified: readonly number[];
  readonly deviations: readonly number[];
  readonly rss: number;
  readonly residualDeviation: number;
  readonly x: readonly number[];
  readonly y: readonly number[];
}

const { sets } = JSON.parse(readFileSync(new URL('data/nist-strd.json', import.meta.url), 'utf8')) as { sets: readonly Certified[] };

/** The models as NIST states them. */
const MODELS: Readonly<Record<string, (x: number, b: readonly number[]) => number>> = {
  Misra1a: (x, [b1, b2]) => b1! * (1 - Math.exp(-b2! * x)),
  Chwirut2: (x, [b1, b2, b3]) => Math.exp(-b1! * x) / (b2! + b3! * x),
  Thurber: (x, [b1, b2, b3, b4, b5, b6, b7]) => (b1! + x * (b2! + x * (b3! + x * b4!))) / (1 + x * (b5! + x * (b6! + x * b7!))),
  MGH17: (x, [b1, b2, b3, b4, b5]) => b1! + b2! * Math.exp(-x * b4!) + b3! * Math.exp(-x * b5!),
  DanWood: (x, [b1, b2]) => b1! * x ** b2!,
  Rat42: (x, [b1, b2, b3]) => b1! / (1 + Math.exp(b2! - b3! * x)),
  MGH09: (x, [b1, b2, b3, b4]) => (b1! * (x * x + b2! * x)) / (x * x + b3! * x + b4!),
};

/** MGH17 from start 1 is a long way: its exponentials overflow, and then run along a valley. */
const MOST: LeastSquaresOptions = { evaluations: 20_000 };

const digits = (got: number, wanted: number): number => -Math.log10(Math.max(Math.abs(got / wanted - 1), 1e-16));
const worst = (got: readonly number[], wanted: readonly number[]): number => Math.min(...got.map((g, i) => digits(g, wanted[i] as number)));

function fit(set: Certified, start: readonly number[], options: LeastSquaresOptions, held?: number) {
  const model = MODELS[set.name] as (x: number, b: readonly number[]) => number;
  return fitLeastSquares(
    {
      parameters: start.map((value, i) => ({ name: `b${i + 1}`, start: value, fixed: i === held })),
      count: set.x.length,
      residuals: (b, out) => set.x.forEach((x, k) => (out[k] = model(x, Array.from(b)) - (set.y[k] as number))),
    },
    options,
  );
}

describe('the least-squares fitter on the NIST problems, as it comes', () => {
  for (const set of sets) {
    for (const which of [1, 2] as const) {
      const start = which === 1 ? set.start1 : set.start2;
      it(`finds ${set.name} from start ${which}: six digits of the parameters, five of their deviations`, () => {
        const found = fit(set, start, MOST);
        expect(found.converged).toBe(true);
        expect(worst(Array.from(found.values), set.certified)).toBeGreaterThan(6);
        expect(worst(found.parameters.map(({ sd }) => sd ?? Number.NaN), set.deviations)).toBeGreaterThan(5);
        expect(digits(found.residualSumOfSquares, set.rss)).toBeGreaterThan(6);
        expect(digits(Math.sqrt(found.variance as number), set.residualDeviation)).toBeGreaterThan(6);
      });
    }

    it(`finds the others of ${set.name} with each parameter held at its certified value in turn`, () => {
      set.certified.forEach((value, held) => {
        const start = set.start2.map((b, i) => (i === held ? value : b));
        const found = fit(set, start, MOST, held);
        expect(found.values[held]).toBe(value);
        expect(found.parameters[held]).toMatchObject({ sd: null, reason: 'was held' });
        // the certified values have eleven digits, and the one that is held with its rounding moves the others a little
        expect(worst(Array.from(found.values), set.certified)).toBeGreaterThan(6);
      });
    });
  }
});
