/**
 * Friction by Barnes-Moss.
 *
 * Source: J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, sec. 13 (eq. 13.6 from memory), after Barnes-Moss
 * 1975: tfmep = 0.97 + 0.15·(N/1000) + 0.05·(N/1000)² bar. The coefficients were seen in several public files; the
 * points are computed from them.
 */
import { expect, test } from 'vitest';
import { torqueOf } from '../../src/plant/laws/friction.js';
import { FRICTIONS } from '../../src/plant/laws/index.js';
import type { Basics } from '../../src/plant/laws/law.js';

const RPM = Math.PI / 30;
const TWO_LITRES = { displacement: 2e-3 } as Basics;
const law = FRICTIONS['barnes-moss'].create({ scale: 1 }, TWO_LITRES);

test.each([[600, 1.078], [700, 1.0995], [800, 1.122], [1000, 1.17], [2000, 1.47], [3000, 1.87], [5000, 2.97]])(
  'at %f rpm it is %f bar', (speed, bar) => {
    expect((law(speed * RPM, 1) * 4 * Math.PI) / 2e-3 / 1e5).toBeCloseTo(bar, 10);
  });

test.each([[600, 17.156903], [800, 17.857185], [1000, 18.621128], [2000, 23.395777]])(
  'at %f rpm a 2.0 L engine loses %f N·m', (speed, torque) => {
    expect(law(speed * RPM, 1)).toBeCloseTo(torque, 6);
  });

test('mean effective pressure times displacement over 4π is a torque', () => {
  expect(torqueOf(1.122e5, 2e-3)).toBeCloseTo(17.857185, 6);
});

test('oil and scale multiply the whole', () => {
  expect(law(800 * RPM, 2.5)).toBeCloseTo(2.5 * 17.857185, 5);
  expect(FRICTIONS['barnes-moss'].create({ scale: 0.5 }, TWO_LITRES)(800 * RPM, 1)).toBeCloseTo(17.857185 / 2, 6);
});
