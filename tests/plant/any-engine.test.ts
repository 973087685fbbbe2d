/** What holds for every engine that the table allows, whatever is done to it. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ANGLE, OMEGA, type Plant, PRESSURE, VEHICLE } from '../../src/plant/types.js';
import { anyEngine, anyInputs, anyValve, plantWithin } from './any.js';

const SPELL = 40;
/** Nothing limits the speed of an engine that is given gas; beyond 10 000 rpm no law here means anything. */
const FASTEST = 1050;
const spells = fc.array(anyInputs, { minLength: 1, maxLength: 12 });
const start = fc.record({ omega: fc.double({ min: 0, max: 700, noNaN: true }), engine: fc.constantFrom('running' as const, 'off' as const) });

/** Runs the spells and calls `look` after each step. */
function run(plant: Plant, from: { readonly omega: number; readonly engine: 'running' | 'off' }, inputs: readonly object[], look: () => void): void {
  Object.assign(plant.inputs, inputs[0]);
  plant.reset({ omega: from.engine === 'off' ? 0 : from.omega, pressure: null, vehicleSpeed: null, engine: from.engine });
  for (const spell of inputs) {
    Object.assign(plant.inputs, spell);
    for (let k = 0; k < SPELL; k++) {
      plant.advance();
      look();
      if (plant.state[OMEGA]! > FASTEST) return;
    }
  }
}

describe('any engine within the declared ranges, any inputs', () => {
  test('keeps its numbers numbers, its pressure positive, its crank turning forwards or standing', () => {
    fc.assert(
      fc.property(anyEngine, anyValve, start, spells, (engine, valve, from, inputs) => {
        const plant = plantWithin(engine, valve, { step: 0.001 });
        let angle = 0;
        run(plant, from, inputs, () => {
          const { state } = plant;
          const numbers = state.every(Number.isFinite);
          const forwards = state[OMEGA]! >= 0 && state[VEHICLE]! >= 0 && state[ANGLE]! >= angle;
          if (!(numbers && forwards && state[PRESSURE]! > 0)) throw new Error(`after ${angle} rad: ${state.join(', ')}`);
          angle = state[ANGLE]!;
        });
        const outputs = plant.observe();
        for (const [name, value] of Object.entries(outputs)) if (name !== 'engine') expect(Number.isFinite(value), name).toBe(true);
        expect(outputs.fuel).toBeGreaterThanOrEqual(0);
        expect(outputs.airOut).toBeGreaterThanOrEqual(0);
        expect(outputs.indicated).toBeGreaterThanOrEqual(0);
        expect(outputs.opening).toBeGreaterThanOrEqual(0);
        expect(outputs.opening).toBeLessThanOrEqual(1);
      }),
      { numRuns: 400, endOnFailure: true },
    );
  });

  test('gives the same bits twice', () => {
    fc.assert(
      fc.property(anyEngine, anyValve, start, spells, fc.integer({ min: 0, max: 2 ** 32 - 1 }), (engine, valve, from, inputs, seed) => {
        const bits = (): readonly bigint[] => {
          const plant = plantWithin(engine, valve, { step: 0.001, seed });
          const seen: bigint[] = [];
          run(plant, from, inputs, () => seen.push(...new BigUint64Array(plant.state.buffer.slice(0))));
          return seen;
        };
        expect(bits()).toEqual(bits());
      }),
      { numRuns: 20, endOnFailure: true },
    );
  });
});
