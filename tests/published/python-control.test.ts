/**
 * Margins that the tests of python-control hold its own routines to: control/tests/margin_test.py at e60e5ebc, where they
 * stand with 4 to 5 digits. The further digits here were recomputed in 30-digit arithmetic (mpmath).
 */
import { describe, expect, it } from 'vitest';
import { holdTransfer } from '../../src/linear/hold.js';
import { marginsOf } from '../../src/linear/margins.js';
import { product } from '../../src/linear/polynomial.js';
import { transfer } from '../../src/linear/transfer.js';

const near = (found: number | null | undefined, wanted: number, relative = 1e-8): void => {
  expect(typeof found).toBe('number');
  expect(Math.abs((found as number) / wanted - 1)).toBeLessThan(relative);
};

describe('continuous loops', () => {
  it('1/(s³ + 2s² + 3s + 4) is never above 1, so it has a gain margin but no phase margin', () => {
    const found = marginsOf(transfer([1], [1, 2, 3, 4]));
    near(found.gainMargin, 2);
    near(found.gainMarginAt, 1.7320508076);
    near(1 / (found.ms as number), 0.4169761762);
    near(found.msAt, 1.6620202951, 1e-7);
    expect(found.phaseMarginDeg).toBeNull();
    expect(found.delayMarginS).toBeNull();
    expect(found.reasons.phaseMarginDeg).toMatch(/stays below 1/);
  });

  it('three crossovers: all are listed, and the smallest phase margin is given', () => {
    const under = product([100, 1], [1, 0.22, 1], [0.01, 0.008, 1]);
    const found = marginsOf(transfer(product([8.75], [4, 0.4, 1]), under));
    near(found.gainMargin, 2.2715858703);
    near(found.gainMarginAt, 10.0052763665);
    near(found.phaseMarginDeg, 97.5939791371);
    near(found.crossover, 0.085045155);
    near(1 / (found.ms as number), 0.559084939);
    near(found.msAt, 9.9918442249, 1e-7);
    expect(found.gainCrossovers).toHaveLength(3);
    [0.085045155, 0.9372533471, 1.0919188915].forEach((omega, i) => near(found.gainCrossovers[i]?.omega, omega));
    [97.5939791371, -157.7844832144, 134.7325736537].forEach((pm, i) => near(found.gainCrossovers[i]?.phaseMarginDeg, pm));
    // The delay margin belongs to another crossover than the phase margin does.
    near(found.delayMarginS, ((134.7325736537 / 180) * Math.PI) / 1.0919188915);
  });

  it('a zero on the right: 0.01 (10 − s)/((s + 2)(s + 1))', () => {
    const found = marginsOf(transfer([-0.01, 0.1], [1, 3, 2]));
    near(found.gainMargin, 300);
    near(found.gainMarginAt, 5.6568542495);
    near(1 / (found.ms as number), 0.9917086811);
    near(found.msAt, 2.317138708, 1e-7);
    expect(found.phaseMarginDeg).toBeNull();
  });
});

describe('loops behind a zero-order hold', () => {
  const cases: readonly [string, readonly number[], readonly number[], number, Readonly<Record<string, number>>][] = [
    ['2/(s³ + 3s² + 2s), h = 0.01', [2], [1, 3, 2, 0], 0.01,
      { wgc: 0.749367093, pm: 32.398492294, wpc: 1.403724642, gm: 2.955761376, distance: 0.429534547, at: 0.923897576 }],
    ['2/(s + 1)³, h = 0.1', [2], [1, 3, 3, 1], 0.1,
      { wgc: 0.766251887, pm: 65.421218317, wpc: 1.628342139, gm: 3.492662307, distance: 0.5763192, at: 1.201937906 }],
    ['1.1 (2π)²/(s² + 0.8π s + 4π²), h = 0.05', [1.1 * 4 * Math.PI ** 2], [1, 0.8 * Math.PI, 4 * Math.PI ** 2], 0.05,
      { wgc: 8.747771911, pm: 18.161035584, wpc: 11.711871982, gm: 2.384196293, distance: 0.269535663, at: 9.150428828 }],
  ];
  it.each(cases)('%s', (_, over, under, h, wanted) => {
    const found = marginsOf(holdTransfer(transfer(over, under), h));
    near(found.crossover, wanted.wgc as number, 2e-8);
    near(found.phaseMarginDeg, wanted.pm as number, 2e-8);
    near(found.gainMarginAt, wanted.wpc as number, 2e-8);
    near(found.gainMargin, wanted.gm as number, 2e-8);
    near(1 / (found.ms as number), wanted.distance as number, 2e-8);
    // A place of a minimum is known to the root of the precision of the coefficients in z, which a short period spoils.
    near(found.msAt, wanted.at as number, 1e-6);
  });
});
