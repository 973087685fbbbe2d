/**
 * Viscosity of oil against temperature.
 *
 * Source: ASTM D341 (Walther): log₁₀ log₁₀(ν + 0.7) = A − B·log₁₀ T. The equation was seen in public sources; the points
 * are computed from it, outside this project, for two oils given by their viscosities at 40 and 100 °C.
 */
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { engineTable } from '../../src/plant/engine.js';
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

/**
 * SAE J300:2015, as two public sources print it: kinematic viscosity at 100 °C, mm²/s, from … below; least high-shear viscosity
 * at 150 °C, mPa·s; most cranking viscosity, mPa·s, at a temperature, °C; most pumping viscosity 60 000 mPa·s five degrees lower.
 */
const GRADES = [
  ['8', 4, 6.1, 1.7], ['12', 5, 7.1, 2], ['16', 6.1, 8.2, 2.3], ['20', 6.9, 9.3, 2.6], ['30', 9.3, 12.5, 2.9], ['40', 12.5, 16.3, 3.5],
  ['50', 16.3, 21.9, 3.7], ['60', 21.9, 26.1, 3.7],
] as const;
const WINTER = [['0W', 6200, -35, 3.8], ['5W', 6600, -30, 3.8], ['10W', 7000, -25, 4.1], ['15W', 7000, -20, 5.6], ['20W', 9500, -15, 5.6], ['25W', 13000, -10, 9.3]] as const;
const PUMPING = 60_000;

describe('the default oil in SAE J300', () => {
  const { oil } = fill(engineTable);
  const kinematic = (celsius: number): number => viscosity(oil, celsius + 273.15) * 1e6;
  /** kg/L; 0.855 at 15 °C and 0.00065 less of it for each degree: from memory. */
  const density = (celsius: number): number => 0.855 * (1 - 0.00065 * (celsius - 15));
  const dynamic = (celsius: number): number => kinematic(celsius) * density(celsius);

  test('is grade 30 by its viscosity at 100 °C, and by no other row', () => {
    expect(GRADES.filter(([, from, below]) => kinematic(100) >= from && kinematic(100) < below).map(([grade]) => grade)).toEqual(['30']);
    // no shear in ours: the limit is for high shear, where an oil is thinner
    expect(dynamic(150)).toBeGreaterThan(2.9);
  });

  test('in winter it is 10W, and 0.3 % over the limit of 5W: D341 carried to −30 °C, without shear', () => {
    const share = (grade: string): number => {
      const [, most, celsius] = WINTER.find(([name]) => name === grade)!;
      return dynamic(celsius) / most;
    };
    expect(WINTER.filter(([grade]) => share(grade) <= 1).map(([grade]) => grade)).toEqual(['10W', '15W', '20W', '25W']);
    expect(share('5W')).toBeCloseTo(1.003, 3);
    expect(share('0W')).toBeGreaterThan(1.9);
    expect(dynamic(-35)).toBeLessThan(PUMPING);
    for (const [, , , least] of WINTER) expect(kinematic(100)).toBeGreaterThan(least);
  });

  test('its friction, hot 1: 2.9 at −20 °C, 2.1 at 0, 1.6 at 20, for exponents from 0.19 to 0.24 (from memory) 2.7 … 3.6, 2.0 … 2.4, 1.6 … 1.8', () => {
    const cold = (celsius: number, exponent = oil.exponent): number => oilThickness({ ...oil, exponent }, celsius + 273.15);
    expect([-20, 0, 20].map((celsius) => cold(celsius).toFixed(1))).toEqual(['2.9', '2.1', '1.6']);
    expect([-20, 0, 20].map((celsius) => [0.19, 0.24].map((exponent) => cold(celsius, exponent).toFixed(1)))).toEqual([['2.7', '3.6'], ['2.0', '2.4'], ['1.6', '1.8']]);
  });
});
