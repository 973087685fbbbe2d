/** Timed loads: what the controller lets through, takes off again, and gives back. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { askLoad, createTimedLoad, type Demand, moveLoads, NO_DEMAND } from '../../src/loop/loads.js';
import type { PlantInputs } from '../../src/plant/types.js';

const compressor: Demand = { ...NO_DEMAND, on: true, torque: 8, riseSteps: 10, kick: 0.5, kickSteps: 20 };
const nothing = (): PlantInputs => ({ load: 0, loadPower: 0, loadSquare: 0, electrical: 0 }) as PlantInputs;

test('a load that the controller takes off by itself goes, comes back with its kick, and took hold once', () => {
  const load = createTimedLoad('compressor', 0);
  const inputs = nothing();
  const engaged: number[] = [];
  const at = (k: number, on: boolean): number => {
    expect(moveLoads([load], [on], inputs, k)).toBe(true);
    return inputs.load;
  };
  askLoad(load, compressor, (k) => engaged.push(k));
  expect(at(0, false)).toBe(0);
  at(5, true);
  expect(at(15, true)).toBeCloseTo(8 * 1.25, 12);
  expect(at(60, true)).toBe(8);
  expect(at(100, false)).toBe(8);
  expect(at(105, false)).toBeCloseTo(4, 12);
  expect(at(110, false)).toBe(0);
  at(200, true);
  expect(at(210, true)).toBeCloseTo(8 * 1.25, 12);
  expect(at(240, true)).toBe(8);
  expect(engaged).toEqual([5]);
});

test('every load rests where it was asked to, whatever was asked before, and then none is on its way', () => {
  const demand = fc.record({
    torque: fc.integer({ min: 0, max: 50 }), power: fc.integer({ min: 0, max: 2000 }), square: fc.integer({ min: 0, max: 9 }), electrical: fc.integer({ min: 0, max: 900 }),
    riseSteps: fc.integer({ min: 0, max: 30 }), kick: fc.integer({ min: 0, max: 3 }), kickSteps: fc.integer({ min: 0, max: 30 }),
  });
  fc.assert(
    fc.property(fc.array(demand, { minLength: 1, maxLength: 5 }), fc.array(demand, { minLength: 1, maxLength: 5 }), (a, b) => {
      const loads = [createTimedLoad('a', -1), createTimedLoad('b', -1)];
      const inputs = nothing();
      let k = 0;
      for (let i = 0; i < Math.max(a.length, b.length); i++) {
        if (a[i] !== undefined) askLoad(loads[0]!, { on: true, ...a[i]! }, () => undefined);
        if (b[i] !== undefined) askLoad(loads[1]!, { on: true, ...b[i]! }, () => undefined);
        for (let n = 0; n < 7; n++) moveLoads(loads, [], inputs, k++);
      }
      for (let n = 0; n < 40; n++) moveLoads(loads, [], inputs, k++);
      expect(moveLoads(loads, [], inputs, k)).toBe(false);
      const [x, y] = [a.at(-1)!, b.at(-1)!];
      expect([inputs.load, inputs.loadPower, inputs.loadSquare, inputs.electrical]).toEqual([x.torque + y.torque, x.power + y.power, x.square + y.square, x.electrical + y.electrical]);
    }),
    { numRuns: 200 },
  );
});
