/** The regression engine takes the loop's inputs as the mean-value one does, where it has the part. */
import { expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { createRegressionPlant, regressionTable } from '../../src/plant/regression.js';

const plantWith = (inputs: object) => {
  const plant = createRegressionPlant(fill(regressionTable, {}));
  Object.assign(plant.inputs, { air: 0.4, spark: 0.26, load: 20 }, inputs);
  plant.reset({ omega: 200, pressure: null, vehicleSpeed: null, engine: 'running' });
  return plant;
};

test('a load that grows with the square of the speed is a load', () => {
  expect(plantWith({ loadSquare: 1e-4 }).observe().load).toBeCloseTo(24, 12);
});

test('unasked-for air adds to the flow, choked where g is 1, and asks for so much less of the command', () => {
  const [without, within] = [plantWith({}), plantWith({ unasked: 1e-3 })];
  const trimmed = within.trimAt(200);
  expect(trimmed.air).toBeLessThan(without.trimAt(200).air);
  within.inputs.air = trimmed.air;
  within.reset({ omega: 200, pressure: trimmed.pressure, vehicleSpeed: null, engine: 'running' });
  const { airIn, airOut } = within.observe();
  expect(airIn / airOut).toBeCloseTo(1, 9);
});

test('the coolant that is put is the coolant that is told', () => {
  expect(plantWith({ coolant: 300 }).observe().coolant).toBe(300);
});
