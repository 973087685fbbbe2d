import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import {
  askCmaEs, askNelderMead, type CmaState, createCmaEs, createNelderMead, minimise, minimiseCmaEs, minimiseNelderMead, type NelderMeadState, tellCmaEs, tellNelderMead,
} from '../../src/search/optimise/index.js';
import { mirrored } from '../../src/search/optimise/box.js';
import { fillNormal } from '../../src/search/optimise/normal.js';
import { constants } from '../../src/search/optimise/cma-law.js';
import { createRandom } from '../../src/numerics/random.js';

const box = (n: number, lo = -1, hi = 1) => ({ lower: new Array<number>(n).fill(lo), upper: new Array<number>(n).fill(hi) });
/** A bowl of condition 1000 about a point. */
const bowl = (at: readonly number[]) => (x: readonly number[]): number => x.reduce((sum, v, i) => sum + 1000 ** (i / Math.max(1, at.length - 1)) * (v - at[i]!) ** 2, 0);
const throughJson = <T>(state: T): T => JSON.parse(JSON.stringify(state)) as T;

describe('normal numbers', () => {
  test('have the moments and the tails of the normal law', () => {
    const n = 200_000;
    const out = new Float64Array(n);
    fillNormal(createRandom(5), out);
    const moment = (p: number): number => out.reduce((sum, v) => sum + v ** p, 0) / n;
    // each within five standard errors: variances of v, v², v³, v⁴ are 1, 2, 15, 96
    for (const [p, mean, variance] of [[1, 0, 1], [2, 1, 2], [3, 0, 15], [4, 3, 96]] as const) expect(Math.abs(moment(p) - mean)).toBeLessThan(5 * Math.sqrt(variance / n));
    expect(out.filter((v) => Math.abs(v) > 1.959964).length / n).toBeCloseTo(0.05, 2);
    expect(out.some((v) => Math.abs(v) > 4)).toBe(true);
  });
});

test('places outside the unit cube are reflected into it, however far out', () => {
  expect([0.3, 1.25, -0.25, 2.3, 3.4, -1.6, 0, 1, 2].map(mirrored)).toEqual([0.3, 0.75, 0.25, 0.3, 0.6, 0.4, 0, 1, 0].map((u) => expect.closeTo(u, 12)));
});

test('the constants are those of the tutorial’s table of defaults for ten variables and ten points', () => {
  // worked out apart, by the formulas of Hansen 2016, table 1, with α_cov = 2
  const { weights, mass, cSpread, damping, cPath, cOne, cMass } = constants(10, 10);
  const raw = [1, 2, 3, 4, 5].map((i) => Math.log(5.5) - Math.log(i));
  const sum = raw.reduce((a, b) => a + b);
  weights.forEach((w, i) => expect(w).toBeCloseTo(raw[i]! / sum, 14));
  const m = sum ** 2 / raw.reduce((a, b) => a + b * b, 0);
  expect(mass).toBeCloseTo(m, 12);
  expect([cSpread, damping, cPath]).toEqual([(m + 2) / (m + 15), 1 + (m + 2) / (m + 15), (4 + m / 10) / (14 + m / 5)].map((v) => expect.closeTo(v, 12)));
  expect(cOne).toBeCloseTo(2 / (11.3 ** 2 + m), 12);
  expect(cMass).toBeCloseTo((2 * (m - 1.75 + 1 / m)) / (144 + m), 12);
});

describe('both searches', () => {
  const searches = [
    ['CMA-ES', (cost: (x: readonly number[]) => number, n: number, lo = -1, hi = 1) => minimiseCmaEs(cost, { ...box(n, lo, hi), seed: 1, mostRestarts: 1 })],
    ['the simplex', (cost: (x: readonly number[]) => number, n: number, lo = -1, hi = 1) => minimiseNelderMead(cost, { ...box(n, lo, hi), start: new Array<number>(n).fill((lo + hi) / 2) })],
  ] as const;

  test.each(searches)('%s: finds the bottom of a bowl, in one to six variables', (_, search) => {
    for (const n of [1, 2, 3, 6]) {
      const at = Array.from({ length: n }, (__, i) => 0.6 - 0.25 * i);
      const { best } = search(bowl(at), n);
      best!.point.forEach((x, i) => expect(x).toBeCloseTo(at[i]!, 5));
    }
  });

  test.each(searches)('%s: finds a best point on a face, on an edge and in a corner of the box', (_, search) => {
    for (const at of [[2, 0.3, -0.2], [2, -3, 0.1], [2, 2, -2]]) {
      const { best } = search(bowl(at), 3);
      const wanted = at.map((v) => Math.min(1, Math.max(-1, v)));
      best!.point.forEach((x, i) => expect(x).toBeCloseTo(wanted[i]!, 5));
    }
  });

  test.each(searches)('%s: asks for no point outside the box', (_, search) => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 4 }), fc.double({ min: -3, max: 3, noNaN: true }), (n, middle) => {
      let outside = 0;
      search((x) => {
        if (x.length !== n || x.some((v) => !(v >= -0.5 && v <= 0.7))) outside++;
        return x.reduce((sum, v) => sum + (v - middle) ** 2, 0);
      }, n, -0.5, 0.7);
      return outside === 0;
    }), { numRuns: 12 });
  });

  test.each(searches)('%s: goes round points that have no cost', (_, search) => {
    const holes = [Number.NaN, Infinity, -Infinity];
    let k = 0;
    const cost = (x: readonly number[]): number => (x[0]! + x[1]! > 0.9 ? holes[k++ % 3]! : bowl([0.4, 0.3])(x));
    const { best } = search(cost, 2);
    expect(best!.cost).toBeLessThan(1e-8);
  });

  test.each(searches)('%s: ends without a best point when there is no cost anywhere', (_, search) => {
    for (const none of [Number.NaN, Infinity, -Infinity]) expect(search(() => none, 2)).toMatchObject({ best: null, finished: expect.stringMatching(/no finite cost/) });
  });

  test.each(searches)('%s: ends where all costs are equal', (_, search) => {
    const { best, costs, finished } = search(() => 7, 3);
    expect([best!.cost, finished === null]).toEqual([7, false]);
    expect(costs).toBeLessThan(10_000);
  });
});

describe('CMA-ES', () => {
  const settings = { ...box(3), seed: 11, mostRestarts: 2 };
  const cost = bowl([0.2, -0.4, 0.7]);

  test('taken up from a stored state goes on as if it had never stopped', () => {
    const whole = minimiseCmaEs(cost, settings);
    let state: CmaState = createCmaEs(settings);
    let stored = 0;
    while (state.finished === null) {
      const points = askCmaEs(state);
      if (state.generation % 7 === 0) {
        state = throughJson(state);
        stored++;
        expect(askCmaEs(state)).toEqual(points);
      }
      tellCmaEs(state, points.map(cost));
    }
    expect(stored).toBeGreaterThan(10);
    expect(throughJson(state)).toEqual(throughJson(whole));
  });

  test('depends on its seed alone, and on the order of costs but not their size', () => {
    const other = minimiseCmaEs(cost, { ...settings, seed: 12 });
    expect(minimiseCmaEs(cost, settings).best).toEqual(minimiseCmaEs(cost, settings).best);
    expect(other.best!.point).not.toEqual(minimiseCmaEs(cost, settings).best!.point);
    const [plain, cubed] = [createCmaEs(settings), createCmaEs(settings)];
    for (let k = 0; k < 30; k++) {
      tellCmaEs(plain, askCmaEs(plain).map(cost));
      tellCmaEs(cubed, askCmaEs(cubed).map((x) => cost(x) ** 3 - 5));
    }
    expect(askCmaEs(cubed)).toEqual(askCmaEs(plain));
  });

  test('starts anew with twice the points, elsewhere, and says why each run ended', () => {
    const state = minimiseCmaEs(cost, settings);
    expect(state).toMatchObject({ restarts: 2, population: 4 * createCmaEs(settings).population });
    expect(state.ended).toHaveLength(3);
    expect(state.finished).toMatch(/3 runs have ended, the last by \w+/);
  });

  test('stops at the target, at the number of costs, or when no longer told', () => {
    expect(minimiseCmaEs(cost, { ...settings, target: 1e-3 })).toMatchObject({ finished: 'target reached', restarts: 0 });
    const spent = minimiseCmaEs(cost, { ...settings, mostCosts: 100 });
    expect(spent.finished).toBe('all costs spent');
    expect(spent.costs).toBeLessThan(100 + spent.population);
    expect(askCmaEs(spent)).toEqual([]);
    expect(() => tellCmaEs(spent, [])).toThrow(/over: all costs spent/);
  });

  test('refuses what makes no sense', () => {
    expect(() => createCmaEs({ lower: [], upper: [], seed: 1 })).toThrow(RangeError);
    expect(() => createCmaEs({ lower: [1], upper: [1], seed: 1 })).toThrow(/side 0 from 1 to 1/);
    expect(() => createCmaEs({ lower: [0], upper: [Infinity], seed: 1 })).toThrow(RangeError);
    expect(() => createCmaEs({ ...settings, start: [0, 0, 2] })).toThrow(/number 2, 2, is outside -1 … 1/);
    expect(() => createCmaEs({ ...settings, spread: 0 })).toThrow(/spread/);
    expect(() => createCmaEs({ ...settings, population: 3 })).toThrow(/population/);
    expect(() => tellCmaEs(createCmaEs(settings), [1, 2])).toThrow(/2 costs for 7 points/);
  });
});

describe('the simplex', () => {
  const settings = { ...box(3), start: [0, 0, 0] };
  const cost = bowl([0.2, -0.4, 0.7]);

  test('taken up from a stored state goes on as if it had never stopped, holes in the cost or not', () => {
    for (const f of [cost, (x: readonly number[]) => (x[0]! > 0.25 ? Number.NaN : cost(x))]) {
      const whole = minimiseNelderMead(f, settings);
      let state: NelderMeadState = createNelderMead(settings);
      while (state.finished === null) {
        state = throughJson(state);
        tellNelderMead(state, askNelderMead(state).map(f));
      }
      expect(throughJson(state)).toEqual(throughJson(whole));
    }
  });

  test('moves as Nelder and Mead have it: reflect, expand, contract and shrink', () => {
    const state = createNelderMead({ ...box(2, 0, 10), start: [5, 5], edge: 0.1 });
    expect(askNelderMead(state)).toEqual([[5, 5], [6, 5], [5, 6]]);
    tellNelderMead(state, [3, 1, 2]);
    expect(askNelderMead(state)).toEqual([[expect.closeTo(6, 12), expect.closeTo(6, 12)]]); // 5,5 through the middle of the others
    tellNelderMead(state, [0]);
    expect(state.step).toBe('expand');
    expect(askNelderMead(state)).toEqual([[expect.closeTo(6.5, 12), expect.closeTo(6.5, 12)]]); // twice as far
    tellNelderMead(state, [0.5]); // worse than the reflection, which is kept
    expect(askNelderMead(state)).toEqual([[expect.closeTo(7, 12), expect.closeTo(5, 12)]]);
    tellNelderMead(state, [9]); // worse than all: contract inside, half way back
    expect(state.step).toBe('contract');
    expect(askNelderMead(state)).toEqual([[expect.closeTo(5.5, 12), expect.closeTo(5.75, 12)]]);
    tellNelderMead(state, [9]);
    expect(state.step).toBe('shrink');
    expect(askNelderMead(state)).toEqual([[expect.closeTo(6, 12), expect.closeTo(5.5, 12)], [expect.closeTo(5.5, 12), expect.closeTo(6, 12)]]);
  });

  test('begins inwards where outwards would leave the box', () => {
    const corner = createNelderMead({ ...box(2), start: [1, -1], edge: 0.1 });
    expect(askNelderMead(corner)).toEqual([[1, -1], [0.8, -1], [1, -0.8]].map((point) => point.map((x) => expect.closeTo(x, 12))));
  });

  test('refuses what makes no sense', () => {
    expect(() => createNelderMead({ ...settings, start: [0, 0] })).toThrow(/2 numbers in a box of 3 sides/);
    expect(() => createNelderMead({ ...settings, edge: 0.6 })).toThrow(/edge/);
    expect(() => tellNelderMead(createNelderMead(settings), [1])).toThrow(/1 costs for 4 points/);
  });
});

test('global then local is at least as good as global alone, and null without a cost', () => {
  const settings = { ...box(2), seed: 4, mostCosts: 120 };
  const alone = minimiseCmaEs(bowl([0.3, 0.1]), settings).best!.cost;
  expect(minimise(bowl([0.3, 0.1]), settings)!.cost).toBeLessThan(Math.min(1e-12, alone));
  expect(minimise(() => Number.NaN, settings)).toBeNull();
});
