/** The alternator: published torque, balance of electrical energy, demand against limit, and the supply that follows. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { alternatorTable, type AlternatorOn, createAlternator } from '../../src/plant/alternator.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { OMEGA, type PlantInputs, PRESSURE } from '../../src/plant/types.js';
import { valveFor } from './any.js';

const RPM = Math.PI / 30;
const settings = (given: Partial<AlternatorOn> = {}): AlternatorOn =>
  fill({ a: alternatorTable }, { a: { fitted: 'yes', ...given } } as never).a as AlternatorOn;
const inputsOf = (given: Partial<PlantInputs> = {}): PlantInputs => ({ electrical: 0, supply: 14, supplyHeld: false, ...given }) as PlantInputs;

/** An engine with an alternator, trimmed and at rest at a speed. */
function plantAt(omega: number, alternator: object, electrical = 0) {
  const engine = fill(engineTable, { alternator: { fitted: 'yes', ...alternator } } as never);
  const plant = createPlant(engine, valveFor(engine));
  plant.inputs.electrical = electrical;
  plant.inputs.spark = 0.2;
  plant.inputs.air = plant.trimAt(omega).air;
  plant.reset({ omega, pressure: null, vehicleSpeed: null, engine: 'running' });
  return plant;
}

// T = P_el/(η·ω), worked out by hand: what power over speed and efficiency comes to, no measurement
test.each([
  [500, 0.6, 800, 9.947],
  [1000, 0.55, 750, 23.15],
])('%f W at an efficiency of %f and %f rpm of the crank cost %f N·m', (demand, efficiency, rpm, torque) => {
  const plant = plantAt(rpm * RPM, { demand, efficiency, most: { x: [0, 1], y: [500, 500] }, cutIn: 0 });
  expect(plant.observe().load).toBeCloseTo(torque, 3);
  expect(plant.inputs.supply).toBeCloseTo(14.2, 9);
});

describe('alternator and battery', () => {
  test('what the alternator gives is what loads and battery take, at every step', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ rpm: fc.double({ min: 0, max: 4000, noNaN: true }), electrical: fc.double({ min: 0, max: 1500, noNaN: true }), steps: fc.integer({ min: 1, max: 300 }) }), { minLength: 1, maxLength: 8 }),
        fc.double({ min: 0.005, max: 2, noNaN: true }),
        (spells, ramp) => {
          const s = settings({ ramp });
          const inputs = inputsOf();
          const a = createAlternator(s, 1e-3)!;
          const state = new Float64Array(4);
          a.rest(80, inputs);
          for (const { rpm, electrical, steps } of spells) {
            state[OMEGA] = rpm * RPM;
            inputs.electrical = electrical;
            for (let k = 0; k < steps; k++) {
              const inside = a.now.inside;
              a.move(state, inputs, 'running');
              const v = inputs.supply;
              const intoBattery = ((a.now.inside - inside) * s.capacity) / 1e-3;
              const given = v * a.now.current;
              expect(Math.abs(given - (s.demand + electrical) - v * intoBattery)).toBeLessThan(1e-6 * (1 + given + electrical + s.demand));
              expect(a.now.power).toBeCloseTo(given / s.efficiency, 9);
            }
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  test('meeting a demand its torque rises as the speed falls; at its limit it does not, and the voltage sags', () => {
    const torqueAt = (rpm: number, electrical: number): readonly [number, number] => {
      const inputs = inputsOf({ electrical });
      const a = createAlternator(settings(), 1e-3)!;
      a.rest(rpm * RPM, inputs);
      return [a.now.power / (rpm * RPM), inputs.supply];
    };
    expect(torqueAt(700, 100)[0]).toBeGreaterThan(torqueAt(800, 100)[0]);
    expect(torqueAt(700, 100)[1]).toBeCloseTo(14.2, 9);
    for (const rpm of [550, 600, 700]) {
      expect(torqueAt(rpm, 1200)[0]).toBeLessThanOrEqual(torqueAt(rpm + 50, 1200)[0]);
      expect(torqueAt(rpm, 1200)[1]).toBeLessThan(torqueAt(rpm + 50, 1200)[1]);
      expect(torqueAt(rpm, 1200)[1]).toBeLessThan(12.5);
    }
  });

  test('gives nothing below its cut-in, and less than its curve allows nowhere', () => {
    const a = createAlternator(settings({ cutIn: 1100 * RPM }), 1e-3)!;
    const inputs = inputsOf({ electrical: 2000 });
    a.rest((1099 / 2.6) * RPM, inputs);
    expect(a.now.current).toBe(0);
    a.rest((1500 / 2.6) * RPM, inputs);
    expect(a.now.current).toBeCloseTo(35, 9);
  });

  test('the field ramp: a load is first the battery’s, then the alternator’s, as 1 − exp(−t/τ)', () => {
    const s = settings({ ramp: 0.3, capacity: 1e6 });
    const a = createAlternator(s, 1e-3)!;
    const inputs = inputsOf();
    const state = Float64Array.from([1500 * RPM, 0, 0, 0]);
    a.rest(state[OMEGA]!, inputs);
    const before = a.now.current;
    inputs.electrical = 300;
    for (let k = 1; k <= 600; k++) {
      a.move(state, inputs, 'running');
      const wanted = before + (300 / 14.2) * (1 - Math.exp(-k / 300));
      expect(Math.abs(a.now.current - wanted)).toBeLessThan(0.02);
      if (k === 1) expect(inputs.supply).toBeLessThan(14.2 - 0.9 * s.resistance * (300 / 14.2));
    }
    expect(inputs.supply).toBeGreaterThan(14.2 - 0.15 * s.resistance * (300 / 14.2));
  });

  test('a supply held from outside stands, and the alternator takes nothing', () => {
    const plant = plantAt(85, {}, 400);
    plant.inputs.supply = 10.5;
    plant.inputs.supplyHeld = true;
    plant.advance();
    expect(plant.inputs.supply).toBe(10.5);
    expect(plant.observe().load).toBe(0);
  });

  test('at rest on demand everything stays where it is, and asking for a trim moves nothing', () => {
    const plant = plantAt(85, {}, 100);
    const pressure = plant.state[PRESSURE]!;
    for (let k = 0; k < 2000; k++) {
      plant.advance();
      if (k % 500 === 0) plant.trimAt(120);
    }
    expect(plant.state[OMEGA]! / 85).toBeCloseTo(1, 8);
    expect(plant.state[PRESSURE]! / pressure).toBeCloseTo(1, 8);
    expect(plant.inputs.supply).toBeCloseTo(14.2, 9);
  });

  test('the starter pulls the supply down while it cranks', () => {
    const a = createAlternator(settings(), 1e-3)!;
    const inputs = inputsOf();
    a.rest(0, inputs);
    const resting = inputs.supply;
    a.move(new Float64Array(4), inputs, 'cranking');
    expect(resting - inputs.supply).toBeGreaterThan(0.02 * 120 * 0.95);
    expect(resting - inputs.supply).toBeLessThan(0.02 * 120 * 1.3);
  });
});

test('a machine without demand is the engine without one, bit for bit', () => {
  const speeds = (alternator: object): number[] => {
    const engine = fill(engineTable, { alternator } as never);
    const plant = createPlant(engine, valveFor(engine));
    Object.assign(plant.inputs, { supply: 14.2, air: 0.3, spark: 0.2 });
    plant.reset({ omega: 85, pressure: null, vehicleSpeed: null, engine: 'running' });
    return Array.from({ length: 500 }, () => {
      plant.inputs.supply = 14.2;
      plant.advance();
      return plant.state[OMEGA]!;
    });
  };
  expect(speeds({ fitted: 'yes', demand: 0 })).toEqual(speeds({ fitted: 'no' }));
});
