/**
 * Viscosity of oil against temperature.
 *
 * Source: ASTM D341 (Walther): log₁₀ log₁₀(ν + 0.7) = A − B·log₁₀ T. The equation was seen in public sources; the points
 * are computed from it, outside this project, for two oils given by their viscosities at 40 and 100 °C.
 */
import { expect, test } from 'vitest';
import { oilThickness, viscosity } from '../../src/plant/oil.js';

const thin = { viscosity40: 61.7e-6, viscosity100: 10.6e-6, exponent: 0.2 };
const thick = { viscosity40: 100e-6, viscosity100: 14e-6, exponent: 0.2 };

test.each([
  [-20, thin, 2685.37, 2], [0, thin, 525.105, 3], [20, thin, 155.771, 3], [60, thin, 29.9869, 4], [80, thin, 16.8893, 4], [90, thin, 13.2258, 4],
  [-20, thick, 7189.25, 2], [0, thick, 1124.97, 2], [20, thick, 284.112, 3],
  [40, thin, 61.7, 9], [100, thin, 10.6, 9], [40, thick, 100, 9], [100, thick, 14, 9], // what the data sheet says
])('at %f °C, %o: %f mm²/s', (celsius, oil, value, digits) => {
  expect(viscosity(oil, celsius + 273.15) * 1e6).toBeCloseTo(value, digits);
});

test('A = 7.84808264 and B = 3.04275916 for 61.7 and 10.6 mm²/s', () => {
  const twice = (celsius: number): number => Math.log10(Math.log10(viscosity(thin, celsius + 273.15) * 1e6 + 0.7));
  const b = (twice(0) - twice(120)) / Math.log10(393.15 / 273.15);
  expect(b).toBeCloseTo(3.04275916, 7);
  expect(twice(0) + b * Math.log10(273.15)).toBeCloseTo(7.84808264, 6);
});

test('friction goes with a power of the viscosity, and is 1 at 90 °C', () => {
  expect(oilThickness(thin, 363.15)).toBe(1);
  expect(oilThickness(thin, 273.15)).toBeCloseTo((525.105 / 13.2258) ** 0.2, 5);
  // cold friction about twice the warm one at 0 to 20 °C: from memory, a band
  for (const celsius of [0, 10, 20]) {
    const cold = oilThickness(thin, celsius + 273.15);
    expect(cold).toBeGreaterThan(1.5);
    expect(cold).toBeLessThan(2.5);
  }
  expect(oilThickness({ ...thin, exponent: 0 }, 253.15)).toBe(1);
});
