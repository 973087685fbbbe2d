/**
 * The saved linear model of a published idle model through this project's linear room. Sources as in idle-model-2.48-l.test.ts:
 * "saved" numbers stand in a public repository and were computed by others; each signal is divided by its operating value.
 */
import { describe, expect, test } from 'vitest';
import { complex } from '../../src/linear/complex.js';
import type { Equilibrium } from '../../src/linear/equilibrium.js';
import { engineAt } from '../../src/linear/idle-engine.js';
import { linearise } from '../../src/linear/jacobian.js';
import { createPlant } from '../../src/plant/plant.js';
import { DEG, five, fiveValve } from './engines.js';

const OMEGA = 107.618428;
const PRESSURE = 23598.482;

/** The operating point: 2 % of air, spark 25° after the best. */
function point(): Equilibrium {
  const plant = createPlant(five(), fiveValve());
  const spark = -25 * DEG;
  Object.assign(plant.inputs, { air: 0.02, spark });
  const { pressure } = plant.trimAt(OMEGA);
  return { omega: OMEGA, pressure, air: 0.02, command: 2, spark, held: true, inputs: { ...plant.inputs }, firingInterval: plant.firingInterval };
}

describe('the 2.48 L five at 1027.68 rpm', () => {
  const at = point();
  const { engine, balance } = linearise(five(), fiveValve(), at, 0.001);

  test('rests at the saved pressure', () => {
    expect(Math.abs(at.pressure - PRESSURE)).toBeLessThan(0.01);
  });

  test('manifold row, saved: −2.50808 by speed, −2.83846 by pressure, 1.92155 by the valve', () => {
    expect((engine.pressure.bySpeed * OMEGA) / at.pressure).toBeCloseTo(-2.50808, 5);
    expect(engine.pressure.byPressure).toBeCloseTo(-2.83846, 5);
    expect((engine.pressure.byOpening * 0.02) / at.pressure).toBeCloseTo(1.92155, 5);
  });

  test('crank row: −0.117392 by speed, 0.211099 by pressure, 0.990763 by the charge, −0.338508 by the spark (saved −0.33851)', () => {
    expect(engine.speed.bySpeed).toBeCloseTo(-0.117392, 6);
    expect((engine.speed.byPressure * at.pressure) / OMEGA).toBeCloseTo(0.211099, 6);
    expect((engine.speed.byCharge * balance.charge) / OMEGA).toBeCloseTo(0.990763, 6);
    expect((engine.speed.bySpark * at.spark) / OMEGA).toBeCloseTo(-0.338508, 6);
  });

  test('delays of 0.058384 s and 0.011677 s', () => {
    expect(engine.chargeDelay).toBeCloseTo(0.058384, 6);
    expect(engine.sparkDelay).toBeCloseTo(0.011677, 6);
  });

  test('gains at rest: 41.257809 rad/s for each percent of air, 1.125515 rad/s for each degree (computed)', () => {
    const rest = engineAt(engine, complex(0));
    expect(rest.fromAir.re / 100).toBeCloseTo(41.257809, 4);
    expect(rest.fromSpark.re * DEG).toBeCloseTo(1.125515, 5);
  });
});
