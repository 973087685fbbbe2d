/**
 * Charge, friction polynomial and spark parabola.
 *
 * Source of the equations: L. Guzzella and C. H. Onder, Introduction to Modeling and Control of Internal Combustion Engine
 * Systems, 2nd ed., Springer 2010, ch. 2 and app. B, seen through two public pieces of coursework. Every number below is
 * computed from them outside this project, with κ and parameters as stated; none is printed in the book.
 */
import { describe, expect, test } from 'vitest';
import { CHARGES, FRICTIONS, TORQUES } from '../../src/plant/laws/index.js';
import type { Basics } from '../../src/plant/laws/law.js';
import { sparkEfficiency } from '../../src/plant/laws/torque.js';
import { DEG, RPM } from './engines.js';

const basics: Basics = {
  cylinders: 4, displacement: 2e-3, compressionRatio: 10, ambient: { pressure: 1e5, temperature: 300, gasConstant: 287 },
  manifoldTemperature: 300, exhaustPressure: 1e5, stoichiometric: 14.7, heatingValue: 42.5e6,
};

describe('residual gas: ε/(ε−1) − (p_e/p)^(1/κ)/(ε−1), ε = 10', () => {
  test.each([
    [0.2, 0.760342, 0.745084, 0.72791],
    [0.3, 0.848543, 0.840045, 0.830586],
    [0.4, 0.897315, 0.892069, 0.886275],
    [0.5, 0.928814, 0.925441, 0.921738],
    [1, 1, 1, 1],
  ])('at p/p_e = %f: %f for κ = 1.4, %f for 1.35, %f for 1.3', (ratio, ...values) => {
    [1.4, 1.35, 1.3].forEach((kappa, i) => {
      const law = CHARGES.residual.create({ filling: 1, fillingSpeed: 0, fillingSpeed2: 0, kappa, fuelVapour: false }, basics);
      const full = (ratio * 1e5 * 2e-3) / (287 * 300);
      expect(law(80, ratio * 1e5) / full).toBeCloseTo(values[i]!, 6);
    });
  });

  test('fuel vapour takes the share 1/(1 + 1/σ₀) of the charge’s place', () => {
    const law = (fuelVapour: boolean) => CHARGES.residual.create({ filling: 1, fillingSpeed: 0, fillingSpeed2: 0, kappa: 1.35, fuelVapour }, basics);
    expect(law(true)(80, 4e4) / law(false)(80, 4e4)).toBeCloseTo(14.7 / 15.7, 12);
  });

  test('it draws nothing, rather than less, where the residual gas fills the cylinder', () => {
    const law = CHARGES.residual.create({ filling: 1, fillingSpeed: 0, fillingSpeed2: 0, kappa: 1.35, fuelVapour: false }, basics);
    expect(law(80, 3e3)).toBe(0);
  });
});

describe('a 2.77 L engine: 0.45 + 3.42e-3·ω − 7.7e-6·ω², ε = 11, p_e 108 kPa, T_m 340 K', () => {
  const engine: Basics = { ...basics, displacement: 2.77e-3, compressionRatio: 11, manifoldTemperature: 340, exhaustPressure: 108e3 };
  const charge = (fuelVapour: boolean) =>
    CHARGES.residual.create({ filling: 0.45, fillingSpeed: 3.42e-3, fillingSpeed2: -7.7e-6, kappa: 1.35, fuelVapour }, engine);
  test.each([[800, 30, 0.574456, 3.05368], [800, 40, 0.608285, 4.311342], [1000, 35, 0.62933, 4.878672], [2000, 60, 0.783321, 20.819792]])(
    'at %f rpm and %f kPa: volumetric efficiency %f; %f g/s of air beside fuel vapour', (speed, kpa, efficiency, flow) => {
      expect(charge(false)(speed * RPM, kpa * 1e3) / ((kpa * 1e3 * 2.77e-3) / (287 * 340))).toBeCloseTo(efficiency, 6);
      expect((charge(true)(speed * RPM, kpa * 1e3) * speed * RPM * 1e3) / (4 * Math.PI)).toBeCloseTo(flow, 5);
    });

  test.each([[800, 16.82822], [1000, 17.51909]])('friction 15.6 + 0.175e-3·ω² N·m at %f rpm is %f N·m', (speed, torque) => {
    const law = FRICTIONS.polynomial.create({ torque: 15.6, torqueSpeed: 0, torqueSpeed2: 0.175e-3 }, engine);
    expect(law(speed * RPM, 1)).toBeCloseTo(torque, 5);
  });
});

describe('spark parabola, k = 2.3345e-4 1/deg² (identified on the 2.48 L five; see idle-model-2.48-l.test.ts)', () => {
  const k = 2.3345e-4 / (DEG * DEG);
  const POINTS = [[5, 0.99416375], [10, 0.976655], [15, 0.94747375], [20, 0.90662], [25, 0.85409375]] as const;
  test.each(POINTS)('%f° off the best leaves %f', (off, efficiency) => {
    expect(sparkEfficiency(k, 30 * DEG, (30 - off) * DEG)).toBeCloseTo(efficiency, 7);
    expect(sparkEfficiency(k, 30 * DEG, (30 + off) * DEG)).toBeCloseTo(efficiency, 7);
  });

  test('nothing is left 65.449° off, nor beyond', () => {
    expect(sparkEfficiency(k, 0, 65.4 * DEG)).toBeGreaterThan(0);
    expect(sparkEfficiency(k, 0, 65.449 * DEG)).toBeCloseTo(0, 4);
    expect(sparkEfficiency(k, 0, 66 * DEG)).toBe(0);
  });

  test('the torque law follows it', () => {
    const law = TORQUES.energy.create(
      { efficiency: 0.35, efficiencySpeed: 0, efficiencySpeed2: 0, sparkLoss: k, mbt: 30 * DEG, mbtSpeed: 0, mbtCharge: 0, misfireCharge: 0, burningCharge: 0 },
      basics,
    );
    const best = law(8e-4, 30 * DEG, 80, 4e4);
    expect(best).toBeCloseTo((8e-4 * 42.5e6 * 0.35) / (4 * Math.PI * 14.7), 6);
    for (const [off, efficiency] of POINTS) expect(law(8e-4, (30 - off) * DEG, 80, 4e4) / best).toBeCloseTo(efficiency, 7);
    expect(law(8e-4, -40 * DEG, 80, 4e4)).toBe(0);
  });
});
