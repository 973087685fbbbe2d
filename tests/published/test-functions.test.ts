/** The optimisers on functions with published minima; sources in test-functions.ts. */
import { describe, expect, test } from 'vitest';
import { minimise, minimiseCmaEs, minimiseNelderMead } from '../../src/search/optimise/index.js';
import { type Cost, PROBLEMS, rastrigin, rosenbrock } from './test-functions.js';

const SEEDS = Array.from({ length: 20 }, (_, seed) => seed);
const cube = (n: number, half: number) => ({ lower: new Array<number>(n).fill(-half), upper: new Array<number>(n).fill(half) });

describe('the functions are those published', () => {
  test.each(PROBLEMS)('problem $name', ({ cost, start, startCost, at, least }) => {
    if (startCost !== null) expect(cost(start) / startCost).toBeCloseTo(1, 9);
    expect(cost(at) - least).toBeLessThan(1e-8 * Math.max(1e-3, least));
  });
  test('Rosenbrock and Rastrigin', () => {
    expect([rosenbrock([-1.2, 1]), rastrigin([0.5, 0.5]), rastrigin([0, 0, 0])]).toEqual([24.199999999999996, 40.5, 0]);
  });
});

describe('CMA-ES with restarts, from anywhere', () => {
  const solved = (cost: Cost, n: number, half: number, population = 8): number =>
    SEEDS.filter((seed) => {
      const { best } = minimiseCmaEs(cost, { ...cube(n, half), seed, start: new Array<number>(n).fill(0.6 * half), population, target: 1e-8, costTolerance: 1e-9, mostCosts: 400_000 });
      return best !== null && best.cost <= 1e-8;
    }).length;
  test.each([5, 10])('finds Rosenbrock’s minimum in %i variables with 20 seeds of 20', (n) => expect(solved(rosenbrock, n, 5)).toBe(20));
  // fewer restarts, and fewer costs in all, when the first population is not so small
  test.each([5, 10])('finds Rastrigin’s minimum in %i variables with 20 seeds of 20', (n) => expect(solved(rastrigin, n, 5.12, 8 * n)).toBe(20));

  // problem 2 has a wide valley that ends at a worse minimum, and draws runs of any population there; a simplex from the best
  // point met finds the other one, see the last test
  test.each(PROBLEMS.filter(({ local }) => local === undefined))('finds the least cost of problem $name', ({ cost, lower, upper, start, least, at }) => {
    const { best } = minimiseCmaEs(cost, { lower, upper, start, seed: 3, mostRestarts: 3 });
    expect(best!.cost - least).toBeLessThan(1e-8 * Math.max(1e-3, least));
    best!.point.forEach((x, i) => expect(Math.abs(x / at[i]! - 1)).toBeLessThan(1e-3));
  });
});

describe('the simplex search', () => {
  test.each(PROBLEMS)('from the published start finds a published minimum of problem $name', ({ cost, lower, upper, start, least, local }) => {
    const { best } = minimiseNelderMead(cost, { lower, upper, start, edge: 0.02 });
    const wanted = local ?? least;
    expect(Math.abs(best!.cost - wanted)).toBeLessThan(1e-8 * Math.max(1e-3, wanted));
  });
  test('from the usual start finds Rosenbrock’s minimum in two variables', () => {
    const { best, costs } = minimiseNelderMead(rosenbrock, { ...cube(2, 5), start: [-1.2, 1] });
    expect(best!.cost).toBeLessThan(1e-15);
    expect(costs).toBeLessThan(1500);
  });
});

test('a search that is global first and local then finds each least cost', () => {
  for (const { cost, lower, upper, least } of PROBLEMS) {
    const best = minimise(cost, { lower, upper, seed: 8, mostRestarts: 3 });
    expect(best!.cost - least).toBeLessThan(1e-8 * Math.max(1e-3, least));
  }
});
