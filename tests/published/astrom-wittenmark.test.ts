/**
 * Sampled systems with delay: K. J. Åström and B. Wittenmark, Computer-Controlled Systems, sections 3.2 and 3.3. The critical
 * gains of proportional control of an integrator with delay follow from z^(d+1) − z^d + K h = 0 on the unit circle:
 * K h = 2 sin(π/(2(2d + 1))) at ω h = π/(2d + 1).
 */
import { describe, expect, it } from 'vitest';
import { magnitude } from '../../src/linear/complex.js';
import { holdEquivalent, holdTransfer } from '../../src/linear/hold.js';
import { marginsOf } from '../../src/linear/margins.js';
import { rootsOf } from '../../src/linear/polynomial.js';
import { responseOf, stateSpaceOf } from '../../src/linear/state-space.js';
import { closedLoopPoles, seriesOf, times, transfer } from '../../src/linear/transfer.js';
import { ultimateOf } from '../../src/linear/ultimate.js';
import { near } from '../linear/near.js';

const integrator = (delayS: number, h: number) => holdTransfer(transfer([1], [1, 0], { delayS }), h);
const gain = (k: number, h: number) => transfer([k], [1], { periodS: h });

describe('proportional control of an integrator with whole periods of delay', () => {
  it.each([
    [0, 2],
    [1, 1],
    [2, (Math.sqrt(5) - 1) / 2],
    [3, 0.4450418679126],
    [4, 0.3472963553339],
    [10, 0.14946018717],
    [100, 0.015629655105],
  ])('d = %i: critical gain K h = %f, period 2 (2d + 1) samples', (d, critical) => {
    const h = 0.04;
    const { point } = ultimateOf(integrator(d * h, h));
    near((point?.gain as number) * h, 2 * Math.sin(Math.PI / (2 * (2 * d + 1))), 1e-9);
    near((point?.gain as number) * h, critical, 1e-9);
    near((point?.periodS as number) / h, 2 * (2 * d + 1), 1e-9);
  });

  it('the poles agree: all within the circle below the critical gain, one pair on it there, outside above', () => {
    for (const d of [0, 1, 2, 3, 4, 10]) {
      const critical = 2 * Math.sin(Math.PI / (2 * (2 * d + 1)));
      const largest = (part: number): number =>
        Math.max(...closedLoopPoles(seriesOf(gain(part * critical, 1), integrator(d, 1))).map(magnitude));
      expect(largest(0.99)).toBeLessThan(1);
      near(largest(1), 1, 1e-12);
      expect(largest(1.01)).toBeGreaterThan(1);
    }
  });

  it('double real roots at K h = d^d/(d + 1)^(d + 1)', () => {
    for (const [d, kh] of [[1, 1 / 4], [2, 4 / 27], [3, 27 / 256]] as const) {
      const poles = closedLoopPoles(seriesOf(gain(kh, 1), integrator(d, 1)));
      const twins = poles.filter((pole) => Math.hypot(pole.re - d / (d + 1), pole.im) < 1e-6);
      expect(twins).toHaveLength(2);
    }
  });

  it('K (L + h/2) tends to π/2, half a period counted for the hold', () => {
    const off = (d: number): number => ((ultimateOf(integrator(d, 1)).point?.gain as number) * (d + 0.5)) / (Math.PI / 2) - 1;
    near(off(100), -((Math.PI / 402) ** 2) / 6, 1e-3);
    near(off(10) / off(100), (201 / 21) ** 2, 1e-2);
  });
});

describe('a delay of part of a period', () => {
  it.each([0.1, 0.25, 0.4, 0.5, 0.6, 0.75, 1])('of %f h: critical K h = min(1/δ, 2/(1 − 2δ))', (delta) => {
    const wanted = Math.min(1 / delta, delta < 0.5 ? 2 / (1 - 2 * delta) : Infinity);
    const process = integrator(delta * 0.02, 0.02);
    near((ultimateOf(process).point?.gain as number) * 0.02, wanted, 1e-8);
    // and by the roots of z² + ((1 − δ)Kh − 1) z + δKh
    const roots = rootsOf([1, (1 - delta) * wanted - 1, delta * wanted]).map(magnitude);
    near(Math.max(...roots), 1);
  });

  it('of a quarter period RAISES the limit to 4, above the 2 without delay', () => {
    near((ultimateOf(integrator(0.25, 1)).point?.gain as number), 4, 1e-7);
    near((ultimateOf(integrator(0, 1)).point?.gain as number), 2);
    const loop = integrator(0.25, 1);
    expect(marginsOf(times(3.9, loop)).stable).toBe(true);
    expect(marginsOf(times(4.1, loop)).stable).toBe(false);
  });

  it('P(z) = h ((1 − δ) z + δ) z^−d/(z − 1), in both forms', () => {
    const [h, delta, d] = [0.1, 0.3, 3];
    const wanted = transfer([h * (1 - delta), h * delta], [1, -1, 0, 0, 0], { periodS: h });
    const states = responseOf(holdEquivalent(stateSpaceOf(transfer([1], [1, 0])), h, (d - 1 + delta) * h), 0.01, 31);
    for (const omega of [0.1, 1, 10, 31]) {
      for (const found of [integrator((d - 1 + delta) * h, h).at(omega), states.at(omega)]) {
        near(found.re, wanted.at(omega).re, 1e-10);
        near(found.im, wanted.at(omega).im, 1e-10);
      }
    }
  });
});
