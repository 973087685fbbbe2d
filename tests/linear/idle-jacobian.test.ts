/** The derivatives of the laws a second way: by hand where a law is a formula, and from the simulated plant where it is not. */
import { describe, expect, test } from 'vitest';
import { equilibriumOf } from '../../src/linear/equilibrium.js';
import { type LinearEngine, linearise, slopeOf } from '../../src/linear/jacobian.js';
import { linearIdleOf } from '../../src/linear/idle.js';
import type { EngineSettings } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { OMEGA, PRESSURE } from '../../src/plant/types.js';
import type { Scenario } from '../../src/scenario/index.js';
import { five, fiveValve } from '../published/engines.js';
import { shipped } from '../trade/shipped.js';

const expectNear = (got: number, want: number, part: number): void => expect(Math.abs(got - want)).toBeLessThanOrEqual(part * Math.abs(want));

describe('against derivatives by hand', () => {
  // the 2.48 L five: parabolic flow, straight filling, a straight torque in the charge, constant friction
  test('the published five: every entry to 1e-9', () => {
    const engine = five();
    const plant = createPlant(engine, fiveValve());
    Object.assign(plant.inputs, { air: 0.04, spark: -0.4 });
    const omega = 130;
    const { pressure, air } = plant.trimAt(omega);
    const at = { omega, pressure, air, command: 100 * air, spark: -0.4, held: true, inputs: { ...plant.inputs, air }, firingInterval: plant.firingInterval };
    const { engine: linear, balance } = linearise(engine, fiveValve(), at, 0.001);
    if (engine.charge.law !== 'residual' || engine.torque.law !== 'energy') throw new Error('another law');
    const { filling, fillingSpeed, kappa } = engine.charge;
    const { efficiency, efficiencySpeed, sparkLoss } = engine.torque;
    const gas = 287 * 295;
    const [vd, vm, pe] = [engine.displacement, engine.manifold.volume, 1e5];
    const [c, cp] = [1.1, 0.1];
    const vapour = 1 + 1 / 14.7;
    const r = (pe / pressure) ** (1 / kappa);
    const shape = vd / gas / vapour;
    const charge = shape * pressure * (filling + fillingSpeed * omega) * (c - cp * r);
    const byPressure = shape * (filling + fillingSpeed * omega) * (c - cp * r * (1 - 1 / kappa));
    const bySpeed = (charge * fillingSpeed) / (filling + fillingSpeed * omega);
    expectNear(balance.charge, charge, 1e-9);
    expectNear(linear.charge.byPressure, byPressure, 1e-8);
    expectNear(linear.charge.bySpeed, bySpeed, 1e-9);
    // choked: the flow in does not feel the pressure
    const perVolume = gas / vm;
    expectNear(linear.pressure.byPressure, (-perVolume * byPressure * omega) / (4 * Math.PI), 1e-8);
    expectNear(linear.pressure.bySpeed, (-perVolume * (bySpeed * omega + charge)) / (4 * Math.PI), 1e-9);
    const perAir = 42.5e6 / (4 * Math.PI * 14.7);
    const burnt = efficiency + efficiencySpeed * omega;
    const spark = 1 - sparkLoss * 0.16;
    const inertia = engine.inertia;
    expectNear(linear.speed.byCharge, (perAir * burnt * spark) / inertia, 1e-10);
    expectNear(linear.speed.bySpeed, (charge * perAir * efficiencySpeed * spark) / inertia, 1e-8);
    expectNear(linear.speed.bySpark, (charge * perAir * burnt * 2 * sparkLoss * 0.4) / inertia, 1e-8);
    expectNear(linear.speed.byPressure, vd / (4 * Math.PI) / inertia, 1e-9);
  });

  test('the differences themselves: sine and exponential to 1e-11', () => {
    expect(slopeOf(Math.sin, 0.7, 1e-3)).toBeCloseTo(Math.cos(0.7), 11);
    expect(slopeOf(Math.exp, 0.5, 1e-3)).toBeCloseTo(Math.exp(0.5), 11);
  });
});

/**
 * dω/dt and dp/dt of the simulated plant, rest at (ω, p) and one step on: its delay lines then hold the charge drawn at that very
 * point, so the torque feels it at once.
 */
function slopes(scenario: Scenario, omega: number, pressure: number, set: Partial<{ air: number; spark: number }> = {}): readonly [number, number] {
  const at = equilibriumOf(scenario);
  const step = 1e-5;
  const plant = createPlant(scenario.engine as EngineSettings, scenario.valve, { step });
  Object.assign(plant.inputs, at.inputs, set);
  plant.reset({ omega, pressure, vehicleSpeed: null, engine: 'running' });
  plant.advance();
  return [(plant.state[OMEGA]! - omega) / step, (plant.state[PRESSURE]! - pressure) / step];
}

describe('against the simulated plant', () => {
  test.each([
    ['the four', 'solenoid.yaml', []],
    ['the eight, cold', 'eight.yaml', ['drill.start.coolant=-10 degC']],
    ['the three with an alternator, high up', 'three.yaml', ['engine.alternator.fitted=yes', 'engine.ambient.pressure=75 kPa', 'engine.alternator.demand=300 W']],
  ] as const)('%s: what one small step makes of a small displacement, to 1e-4', async (_, file, set) => {
    const scenario = await shipped(file, set);
    const { engine, equilibrium: at } = linearIdleOf(scenario);
    const [dw, dp] = [1e-3 * at.omega, 1e-3 * at.pressure];
    const by = (f: (k: number) => readonly [number, number], size: number): readonly [number, number] => {
      const [up, down] = [f(size), f(-size)];
      return [(up[0] - down[0]) / (2 * size), (up[1] - down[1]) / (2 * size)];
    };
    const { speed, pressure, charge }: LinearEngine = engine;
    const bySpeed = by((k) => slopes(scenario, at.omega + k, at.pressure), dw);
    const byPressure = by((k) => slopes(scenario, at.omega, at.pressure + k), dp);
    const bySpark = by((k) => slopes(scenario, at.omega, at.pressure, { spark: at.spark + k }), 1e-3);
    const byAir = by((k) => slopes(scenario, at.omega, at.pressure, { air: at.air + k }), 1e-3);
    expectNear(bySpeed[0], speed.bySpeed + speed.byCharge * charge.bySpeed, 2e-4);
    expectNear(bySpeed[1], pressure.bySpeed, 1e-4);
    expectNear(byPressure[0], speed.byPressure + speed.byCharge * charge.byPressure, 1e-4);
    expectNear(byPressure[1], pressure.byPressure, 1e-4);
    expectNear(bySpark[0], speed.bySpark, 1e-4);
    // reset puts the valve where the command leads in the end
    expectNear(byAir[1], pressure.byOpening * engine.valve.gain, 1e-4);
  });

  test('at rest nothing moves', async () => {
    const scenario = await shipped('solenoid.yaml');
    const at = equilibriumOf(scenario);
    const [speed, pressure] = slopes(scenario, at.omega, at.pressure);
    expect(Math.abs(speed)).toBeLessThan(1e-6);
    expect(Math.abs(pressure)).toBeLessThan(1e-3);
  });
});

describe('what has no linear model says why', () => {
  test.each([
    ['an alternator at its limit', ['engine.alternator.fitted=yes', 'engine.alternator.demand=1500 W'], /alternator is at its limit/],
    ['a fuel cut at idle', ['engine.fuelCut.is=on', 'engine.fuelCut.outSpeed=900 rpm', 'engine.fuelCut.resumeSpeed=700 rpm'], /fuel cut comes and goes/],
    ['too little air', ['valve.size.flow=0.5 g/s'], /needs more air than the valve gives wide open/],
    ['too much air', ['engine.throttle.leak.flow=8 g/s'], /needs less air than passes with the valve shut/],
    ['a clamp', ['controller.clamp.highest=15 %'], /which controller\.clamp keeps within 0 … 15/],
    ['a held command that holds nothing', ['controller.hold=100 %', 'valve.size.flow=60 g/s'], /holds no speed between stall and 4000 rpm/],
  ] as const)('%s', async (_, set, message) => {
    const scenario = await shipped('solenoid.yaml', set);
    expect(() => linearIdleOf(scenario)).toThrow(message);
  });

  test('a target below the stall, which no file can hold', async () => {
    const scenario = await shipped('solenoid.yaml');
    const low = { ...scenario, controller: { ...scenario.controller, targetRpm: { x: [80], y: [300] } } };
    expect(() => linearIdleOf(low)).toThrow(/no idle: the target, 300 rpm, is not above the stall speed, 300 rpm/);
  });
});
