/**
 * Heat released for each kilogram of fuel, against lambda: −1.6082 + 4.6509·λ − 2.0746·λ², 0.8 ≤ λ ≤ 1.2.
 *
 * Source: attributed (from memory) to G. P. Blair, Design and Simulation of Four-Stroke Engines, 1999; the polynomial was
 * seen in one public source. Points are computed from it.
 */
import { expect, test } from 'vitest';
import { findRoot } from '../../src/numerics/root.js';
import { mixtureEfficiency } from '../../src/plant/laws/torque.js';

test.each([[0.8, 0.784776], [0.9, 0.897184], [1, 0.9681], [1.1, 0.997524], [1.120915, 0.998431]])('at λ = %f it is %f of the fuel’s heat', (lambda, value) => {
  expect(mixtureEfficiency(lambda) * 0.9681).toBeCloseTo(value, 6);
});

test('1 at λ = 1, most at 1.1209, held beyond 0.8 and 1.2', () => {
  expect(mixtureEfficiency(1)).toBeCloseTo(1, 12);
  const slope = (x: number): number => mixtureEfficiency(x + 1e-5) - mixtureEfficiency(x - 1e-5);
  expect(findRoot(slope, 1, 1.19)).toBeCloseTo(1.120915, 5);
  expect(mixtureEfficiency(0.5)).toBe(mixtureEfficiency(0.8));
  expect(mixtureEfficiency(2)).toBe(mixtureEfficiency(1.2));
});

test('for each kilogram of air, torque is most on the rich side, as engines have it (common practice, no source)', () => {
  const perAir = (lambda: number): number => mixtureEfficiency(lambda) / lambda;
  expect(perAir(0.88)).toBeGreaterThan(perAir(1));
  expect(perAir(0.88)).toBeGreaterThan(perAir(0.8));
});
