/**
 * Elementary effects of the Ishigami function (source in ishigami.ts), all 32 of each input worked out: no sampling, so exact.
 * Design: Morris, Technometrics 33 (1991) 161–174, four levels, steps of 2/3, on the unit cube. The numbers were worked out
 * apart from this code; 0 and 7.875 for the second input are those of a published implementation's own test as well.
 */
import { describe, expect, test } from 'vitest';
import { createMorrisRuns, morrisEffect, morrisIndices, morrisRuns } from '../../src/search/sensitivity-morris.js';
import { onCube } from './ishigami.js';

const EXACT = [
  { mean: 7.70405411159, size: 7.70405411159, scatter: 6.34878318977 },
  { mean: 0, size: 7.875, scatter: 8.00100800101 },
  { mean: 0, size: 6.24879610333, scatter: 8.97853529154 },
];
const LEVELS = [0, 1 / 3, 2 / 3, 1];

function everyEffect(input: number): number[] {
  const effects: number[] = [];
  for (const own of LEVELS.slice(0, 2)) for (const a of LEVELS) for (const b of LEVELS) {
    const before = [a, b];
    before.splice(input, 0, own);
    effects.push((onCube(before.with(input, own + 2 / 3)) - onCube(before)) / (2 / 3));
  }
  return effects;
}

describe('the Ishigami function', () => {
  test.each([0, 1, 2])('input %i: all its effects have the mean, size and scatter worked out', (input) => {
    const effects = everyEffect(input);
    expect(effects).toHaveLength(32);
    const { mean, size, scatter } = morrisEffect(effects);
    expect([mean, size, scatter]).toEqual([EXACT[input]!.mean, EXACT[input]!.size, EXACT[input]!.scatter].map((value) => expect.closeTo(value, 10)));
  });

  test('trajectories by chance come close, and their intervals hold the size', () => {
    const at = createMorrisRuns(3, 6);
    const results = Array.from({ length: 2000 * morrisRuns(3) }, (_, run) => onCube(at(run)));
    morrisIndices(results, 3, 6).forEach((index, i) => {
      const { mean, size, scatter } = EXACT[i]!;
      const error = scatter / Math.sqrt(2000);
      expect(Math.abs(index!.mean - mean)).toBeLessThan(4 * error);
      expect(index!.size.low <= size + 1e-9 && size - 1e-9 <= index!.size.high).toBe(true);
      expect(Math.abs(index!.scatter / scatter - 1)).toBeLessThan(0.05);
    });
  });
});

test('of a linear model μ* is the size of each factor and σ nothing', () => {
  const factors = [3, -2, 0.5, 0, 1e-3];
  const at = createMorrisRuns(5, 1);
  const results = Array.from({ length: 10 * morrisRuns(5) }, (_, run) => at(run).reduce((sum, u, i) => sum + factors[i]! * u, 4));
  morrisIndices(results, 5, 1).forEach((index, i) => {
    expect(index!.used).toBe(10);
    expect([index!.mean, index!.size.value, index!.size.low, index!.size.high]).toEqual(
      [factors[i]!, ...new Array<number>(3).fill(Math.abs(factors[i]!))].map((value) => expect.closeTo(value, 12)),
    );
    expect(index!.scatter).toBeLessThan(1e-13);
  });
});
