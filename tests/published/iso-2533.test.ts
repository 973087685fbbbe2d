/**
 * Standard atmosphere.
 *
 * Source: ISO 2533:1975 (ICAO Doc 7488), geopotential altitude. The standard itself was not at hand: the rows at 0, 1000,
 * 2000 and 3000 m were seen in three public tables and codes; that at 500 m is computed from the standard's equations.
 */
import { expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { ambient, ambientTable, GAS_CONSTANT, standardAtmosphere } from '../../src/plant/ambient.js';

/** m, K, Pa, kg/m³, m/s */
const TABLE = [
  [0, 288.15, 101325, 1.225, 340.294],
  [500, 284.9, 95460.8, 1.167269, 338.369],
  [1000, 281.65, 89874.6, 1.111643, 336.434],
  [2000, 275.15, 79495.2, 1.00649, 332.529],
  [3000, 268.65, 70108.5, 0.909122, 328.578],
] as const;

test.each(TABLE)('at %f m: %f K, %f Pa, %f kg/m³, sound at %f m/s', (altitude, temperature, pressure, density, sound) => {
  const air = standardAtmosphere(altitude);
  expect(air.temperature).toBeCloseTo(temperature, 10);
  expect(Math.abs(air.pressure - pressure)).toBeLessThan(0.051);
  expect(Math.abs(air.pressure / (GAS_CONSTANT * air.temperature) - density)).toBeLessThan(5.1e-7);
  expect(Math.abs(Math.sqrt(1.4 * GAS_CONSTANT * air.temperature) - sound)).toBeLessThan(5.1e-4);
});

test('altitude is geopotential: by geometric altitude 1000 m would read 89876.3 Pa', () => {
  // H = r·Z/(r + Z), r = 6 356 766 m (US Standard Atmosphere 1976)
  const geopotential = (6_356_766 * 1000) / (6_356_766 + 1000);
  expect(standardAtmosphere(geopotential).pressure).toBeCloseTo(89876.3, 1);
  expect(standardAtmosphere(1000).pressure).toBeLessThan(89875);
});

test('what is given wins over the altitude, each by itself', () => {
  const at = (given: object) => ambient(fill(ambientTable, given));
  expect(at({})).toEqual({ pressure: 101325, temperature: 288.15, gasConstant: GAS_CONSTANT });
  expect(at({ altitude: 2000, temperature: 300 })).toMatchObject({ temperature: 300, pressure: standardAtmosphere(2000).pressure });
  expect(at({ altitude: 2000, pressure: 9e4 })).toMatchObject({ pressure: 9e4, temperature: 275.15 });
});
