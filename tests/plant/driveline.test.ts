/** The car behind the clutch: energy, coasting, and a clutch that drives neither way on its own. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { clutchTorque, CLUTCH_STIFFNESS, crankPerMetre, drivelineTable, roadLoad } from '../../src/plant/driveline.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { OMEGA, type Plant, VEHICLE } from '../../src/plant/types.js';
import { type ValveSettings, valveTable } from '../../src/plant/valves/index.js';

const RPM = Math.PI / 30;
const valve: ValveSettings = fill({ valve: valveTable }).valve;
const GEARS = [8, 15, 22, 30, 38].map((kmh) => kmh / 3.6);

const car = (driveline: object = {}) => fill(engineTable, { driveline: { gears: GEARS, ...driveline } });

function coasting(gear: number, rpm: number, step = 0.001, driveline: object = {}): Plant {
  const plant = createPlant(car(driveline), valve, { step });
  Object.assign(plant.inputs, { gear, air: 0.3, spark: 0.2 });
  plant.reset({ omega: rpm * RPM, pressure: null, vehicleSpeed: null, engine: 'running' });
  return plant;
}

test('a gear is told by its road speed at 1000 rpm', () => {
  const { driveline } = car();
  expect(crankPerMetre(driveline, 5) * (38 / 3.6)).toBeCloseTo(1000 * RPM, 10);
  expect(crankPerMetre(driveline, 0)).toBe(0);
  expect(crankPerMetre(driveline, 6)).toBe(0);
});

test('a clutch slips at its capacity, is all but locked below, and takes nothing when it does not turn against anything', () => {
  expect(clutchTorque(1e4, 250, CLUTCH_STIFFNESS)).toBeCloseTo(250, 3);
  expect(clutchTorque(-1e4, 250, CLUTCH_STIFFNESS)).toBeCloseTo(-250, 3);
  expect(clutchTorque(0.2, 250, CLUTCH_STIFFNESS)).toBeCloseTo(10, 1);
  expect(clutchTorque(0, 250, CLUTCH_STIFFNESS)).toBe(0);
  expect(clutchTorque(50, 0, CLUTCH_STIFFNESS)).toBe(0);
  fc.assert(
    fc.property(fc.double({ min: -1e3, max: 1e3, noNaN: true }), fc.double({ min: 1e-3, max: 3000, noNaN: true }), (slip, capacity) => {
      const torque = clutchTorque(slip, capacity, CLUTCH_STIFFNESS);
      return Math.abs(torque) <= capacity && torque * slip >= 0;
    }),
  );
});

describe('coasting in gear', () => {
  test.each([[5, 2000], [3, 1800], [1, 1500]])('gear %f at %f rpm: what crank and car lose is what resists them, and what the clutch burns', (gear, rpm) => {
    const plant = coasting(gear, rpm);
    const { driveline, inertia } = car();
    const energy = (): number => 0.5 * inertia * plant.state[OMEGA]! ** 2 + 0.5 * driveline.mass * plant.state[VEHICLE]! ** 2;
    /** Power into crank and car; the clutch takes T·(ω − ω_car). */
    const power = (): number => {
      const now = plant.observe();
      const slip = now.omega - now.vehicleSpeed * crankPerMetre(driveline, gear);
      return (now.indicated - now.pumping - now.friction - now.load) * now.omega - roadLoad(driveline, now.vehicleSpeed) * now.vehicleSpeed - now.clutch * slip;
    };
    const before = energy();
    let work = 0;
    let last = power();
    for (let k = 0; k < 3000; k++) {
      plant.advance();
      const now = power();
      work += 0.5 * (last + now) * plant.step;
      last = now;
    }
    expect(before - energy()).toBeGreaterThan(1000);
    expect(Math.abs((energy() - before) / work - 1)).toBeLessThan(1e-5);
  });

  test('the car drives the engine: the clutch torque is negative, the crank stays with the car to 1 %', () => {
    const plant = coasting(5, 2000);
    for (let k = 0; k < 3000; k++) {
      plant.advance();
      const now = plant.observe();
      if (k > 100 && !(now.clutch < 0)) throw new Error(`the clutch takes ${now.clutch} N·m at step ${k}`);
    }
    expect(plant.state[OMEGA]! / (plant.state[VEHICLE]! * crankPerMetre(car().driveline, 5))).toBeCloseTo(1, 2);
  });

  test('clutch down, crank and car part: the car goes on, the engine falls to where its air holds it', () => {
    const plant = coasting(5, 2000);
    for (let k = 0; k < 1000; k++) plant.advance();
    plant.inputs.clutch = 1;
    const rolling = plant.state[VEHICLE]!;
    for (let k = 0; k < 8000; k++) plant.advance();
    expect(plant.observe().clutch).toBe(0);
    expect(plant.state[VEHICLE]).toBeLessThan(rolling);
    expect(plant.state[VEHICLE]! / rolling).toBeGreaterThan(0.85);
    expect(plant.state[OMEGA]).toBeLessThan(1500 * RPM);
    // its own steady speed, as if there were no car
    const alone = createPlant(fill(engineTable), valve);
    Object.assign(alone.inputs, { air: 0.3, spark: 0.2 });
    alone.reset({ omega: 1200 * RPM, pressure: null, vehicleSpeed: null, engine: 'running' });
    for (let k = 0; k < 20_000; k++) alone.advance();
    for (let k = 0; k < 12_000; k++) plant.advance();
    expect(plant.state[OMEGA]! / alone.state[OMEGA]!).toBeCloseTo(1, 4);
  });
});

describe('a car that rolls free', () => {
  test('loses energy to its road load alone, to the closed form v = tan', () => {
    // dv/dt = −(a + b·v²)/M: v = √(a/b)·tan(atan(v₀·√(b/a)) − t·√(a·b)/M)
    const plant = createPlant(car({ mass: 1000, rolling: 200, drag: 0.5 }), valve);
    Object.assign(plant.inputs, { air: 0.3, spark: 0.2 });
    plant.reset({ omega: 100, pressure: null, vehicleSpeed: 25, engine: 'running' });
    for (let k = 0; k < 10_000; k++) plant.advance();
    const [a, b] = [200, 0.5];
    const want = Math.sqrt(a / b) * Math.tan(Math.atan(25 * Math.sqrt(b / a)) - (10 * Math.sqrt(a * b)) / 1000);
    expect(plant.state[VEHICLE]! / want).toBeCloseTo(1, 9);
  });

  test('comes to rest and stays there', () => {
    const plant = createPlant(car(), valve);
    Object.assign(plant.inputs, { air: 0.3, spark: 0.2 });
    plant.reset({ omega: 100, pressure: null, vehicleSpeed: 1, engine: 'running' });
    for (let k = 0; k < 60_000; k++) plant.advance();
    expect(plant.state[VEHICLE]).toBeGreaterThanOrEqual(0);
    expect(plant.state[VEHICLE]).toBeLessThan(1e-6);
    expect(roadLoad(fill(drivelineTable), 0)).toBe(0);
  });
});
