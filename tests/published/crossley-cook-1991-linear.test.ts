/**
 * The published regression model linearised, through this project's linear room: P. R. Crossley, J. A. Cook, A nonlinear
 * engine model for drivetrain system development, IEE Int. Conf. Control '91, 1991. The derivatives were computed from the
 * published coefficients outside this project (central differences), at θ = 8.973° and a load of 25 N m; they are not published.
 */
import { describe, expect, test } from 'vitest';
import { complex } from '../../src/linear/complex.js';
import type { Equilibrium } from '../../src/linear/equilibrium.js';
import { engineAt, enginePoles, unstableEnginePoles } from '../../src/linear/idle-engine.js';
import { lineariseRegression } from '../../src/linear/jacobian-regression.js';
import { fill } from '../../src/parameter/fill.js';
import { createRegressionPlant, regressionTable } from '../../src/plant/regression.js';

const DEG = Math.PI / 180;
const BAR = 1e5;
const TRAVEL = 20;
const at: Equilibrium = {
  omega: 209.4782692, pressure: 0.5431351832 * BAR, air: 8.973 / TRAVEL, command: (100 * 8.973) / TRAVEL, spark: 15 * DEG, held: true,
  inputs: createRegressionPlant(fill(regressionTable, {})).inputs, firingInterval: Math.PI,
};
const settings = fill(regressionTable, { travelDeg: TRAVEL, delay: { by: 'angle', angle: 0 } });

describe('at 2000 rpm and 25 N m', () => {
  const { engine } = lineariseRegression(settings, at);

  test('manifold: −7.1469643 and −0.025450507 by pressure and speed, 0.67680688 bar/s for each degree of throttle', () => {
    expect(engine.pressure.byPressure).toBeCloseTo(-7.1469643, 6);
    expect(engine.pressure.bySpeed / BAR).toBeCloseTo(-0.025450507, 8);
    expect(engine.pressure.byOpening / BAR / TRAVEL).toBeCloseTo(0.67680688, 7);
  });

  test('crank: −0.075916783 by speed, 2902.5714 by the charge, 3.1170965 by the spark, −7.1428571 by the load', () => {
    expect(engine.speed.bySpeed).toBeCloseTo(-0.075916783, 8);
    expect(engine.speed.byCharge).toBeCloseTo(2902.5714, 3);
    expect(engine.speed.bySpark * DEG).toBeCloseTo(3.1170965, 6);
    expect(engine.speed.byLoad).toBeCloseTo(-7.1428571, 6);
  });

  test('charge: 0.23288788 g/bar by pressure, 0.00019683407 g s/rad by speed', () => {
    expect(engine.charge.byPressure * BAR).toBeCloseTo(0.23288788, 7);
    expect(engine.charge.bySpeed).toBeCloseTo(0.00019683407, 10);
  });

  test('poles without a delay −3.325778 ± j1.613199', () => {
    const [pole] = enginePoles(engine);
    expect(pole!.re).toBeCloseTo(-3.325778, 5);
    expect(pole!.im).toBeCloseTo(1.613199, 5);
    expect(unstableEnginePoles(engine)).toBe(0);
  });

  test('gains at rest: 33.484349 rad/s a degree of throttle, −3.736292 rad/s a N m, 1.630494 rad/s a degree of spark', () => {
    const rest = engineAt(engine, complex(0));
    expect(rest.fromAir.re / TRAVEL).toBeCloseTo(33.484349, 4);
    expect(rest.fromLoad.re).toBeCloseTo(-3.736292, 5);
    expect(rest.fromSpark.re * DEG).toBeCloseTo(1.630494, 5);
  });
});

test('the sampled scheme amounts to 360°: the phase of its charge at low frequency is that of a plain delay of one turn', () => {
  const sampled = lineariseRegression(fill(regressionTable, { travelDeg: TRAVEL }), at).engine;
  const turned = lineariseRegression(fill(regressionTable, { travelDeg: TRAVEL, delay: { by: 'angle', angle: 2 * Math.PI } }), at).engine;
  for (const omega of [0.5, 2, 8]) {
    const [a, b] = [engineAt(sampled, complex(0, omega)).fromAir, engineAt(turned, complex(0, omega)).fromAir];
    expect(Math.hypot(a.re - b.re, a.im - b.im) / Math.hypot(b.re, b.im)).toBeLessThan(0.001 * omega);
  }
});
