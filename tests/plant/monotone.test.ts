/** Directions that every engine keeps: more air turns it faster, more load and colder oil slower. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { EngineSettings } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { OMEGA, type PlantInputs, PRESSURE } from '../../src/plant/types.js';
import { ordinaryEngine, valveFor } from './any.js';

const SECONDS = 12;

/** Mean speed over the last second, from the same start; null when the engine stalls on the way. */
function speedWith(engine: EngineSettings, given: Partial<PlantInputs>): number | null {
  const plant = createPlant(engine, valveFor(engine), { step: 0.001 });
  Object.assign(plant.inputs, { spark: 0.3 }, given);
  plant.reset({ omega: 110, pressure: null, vehicleSpeed: null, engine: 'running' });
  const steps = SECONDS / plant.step;
  const last = 1 / plant.step;
  let sum = 0;
  for (let k = 0; k < steps; k++) {
    plant.advance();
    if (k >= steps - last) sum += plant.state[OMEGA]!;
  }
  return plant.engine() === 'running' ? sum / last : null;
}

const air = fc.double({ min: 0.3, max: 0.7, noNaN: true });

test.each([
  ['more air, more speed', (base: number) => ({ air: base + 0.03 }), 1],
  ['more load, less speed', (base: number) => ({ air: base, load: 1 }), -1],
  ['more electrical load, less speed', (base: number) => ({ air: base, loadPower: 100 }), -1],
  ['colder oil, less speed', (base: number) => ({ air: base, oil: 320 }), -1],
  ['less supply voltage, less air and speed', (base: number) => ({ air: base, supply: 13 }), -1],
] as const)('%s', (_name, changed, direction) => {
  let compared = 0;
  fc.assert(
    fc.property(ordinaryEngine, air, (engine, base) => {
      const before = speedWith(engine, { air: base });
      fc.pre(before !== null);
      const after = speedWith(engine, changed(base));
      compared += 1;
      if (after === null) expect(direction).toBe(-1); // a stall is less speed
      else expect((after - before!) * direction).toBeGreaterThan(0.05);
    }),
    { numRuns: 15, endOnFailure: true },
  );
  expect(compared).toBeGreaterThanOrEqual(15);
});

test('the largest air that nobody asked for is taken without harm, and more is refused', () => {
  fc.assert(
    fc.property(ordinaryEngine, fc.double({ min: 60, max: 200, noNaN: true }), (engine, omega) => {
      const plant = createPlant(engine, valveFor(engine));
      const most = plant.accessories!.unaskedMost;
      Object.assign(plant.inputs, { air: 0.3, spark: 0.3, unasked: most, pedal: 1 });
      plant.reset({ omega, pressure: null, vehicleSpeed: null, engine: 'running' });
      const ambient = plant.state[PRESSURE]!;
      for (let k = 0; k < 400; k++) {
        const before = plant.state[PRESSURE]!;
        plant.advance();
        // everything open: at the ambient, and no hunting of the pressure from step to step
        expect(Math.abs(plant.state[PRESSURE]! - before)).toBeLessThan(0.02 * ambient);
        expect(plant.state[PRESSURE]!).toBeLessThan(1.02 * ambient);
      }
      plant.inputs.unasked = 1.01 * most;
      expect(() => plant.advance()).toThrow(/^air: /);
    }),
    { numRuns: 20 },
  );
});
