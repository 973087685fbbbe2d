/** Sobol' indices of the Ishigami function against their closed form; source in ishigami.ts. */
import { describe, expect, test } from 'vitest';
import { createSobolRuns, sobolIndices, type SobolIndices, sobolRuns } from '../../src/search/sensitivity-sobol.js';
import { CLOSED, onCube } from './ishigami.js';

function indices(bases: number, seed: number): SobolIndices {
  const at = createSobolRuns(3, seed);
  const found = sobolIndices(Array.from({ length: bases * sobolRuns(3) }, (_, run) => onCube(at(run))), 3, seed);
  if (typeof found === 'string') throw new Error(found);
  return found;
}

test('the closed form adds up', () => {
  const { variance, first, total } = CLOSED;
  const [a, b, pi4] = [7, 0.1, Math.PI ** 4];
  expect(1 / 2 + a ** 2 / 8 + (b * pi4) / 5 + (b ** 2 * pi4 ** 2) / 18).toBeCloseTo(variance, 10);
  expect((1 + (b * pi4) / 5) ** 2 / 2 / variance).toBeCloseTo(first[0]!, 12);
  expect(a ** 2 / 8 / variance).toBeCloseTo(first[1]!, 12);
  expect((8 * b ** 2 * pi4 ** 2) / 225 / variance).toBeCloseTo(total[2]!, 12);
  expect(first[0]! + total[2]!).toBeCloseTo(total[0]!, 12);
});

describe('with 8192 base points', () => {
  test.each([1, 2])('mean, variance and all indices are right to 0.005 of the whole, seed %i', (seed) => {
    const found = indices(8192, seed);
    expect(Math.abs(found.mean / CLOSED.mean - 1)).toBeLessThan(0.003);
    expect(Math.abs(found.variance / CLOSED.variance - 1)).toBeLessThan(0.005);
    found.indices.forEach(({ first, total }, i) => {
      expect(Math.abs(first!.value - CLOSED.first[i]!)).toBeLessThan(0.005);
      expect(Math.abs(total!.value - CLOSED.total[i]!)).toBeLessThan(0.005);
    });
  });
});

test('intervals of 128 base points hold the true index, 95 times of 100 or oftener', () => {
  let [held, all] = [0, 0];
  for (let seed = 0; seed < 40; seed++) {
    indices(128, seed).indices.forEach(({ first, total }, i) => {
      for (const [estimate, wanted] of [[first!, CLOSED.first[i]!], [total!, CLOSED.total[i]!]] as const) {
        all++;
        if (estimate.low <= wanted && wanted <= estimate.high) held++;
      }
    });
  }
  expect(held / all).toBeGreaterThan(0.93);
});
