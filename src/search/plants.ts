/**
 * Plants used again. Building one costs tables, and code that runs for many plants runs slower than for one; a sweep of
 * gains needs a single plant for each drill. `simulate` resets what it is given, so the bits are those of a new one.
 */
import { createModel } from '../plant/models.js';
import type { Plant } from '../plant/types.js';
import type { Scenario } from '../scenario/index.js';

export interface Plants {
  /** The plant of a scenario: the last one, where engine, valve, step and seed are the same. */
  of(scenario: Scenario): Plant;
}

export function createPlants(): Plants {
  const made = new WeakMap<Scenario['engine'], { readonly from: Scenario; readonly plant: Plant }>();
  return {
    of(scenario) {
      const { engine, valve, run } = scenario;
      const known = made.get(engine);
      if (known !== undefined && known.from.valve === valve && known.from.run.step === run.step && known.from.run.seed === run.seed) return known.plant;
      const plant = createModel(engine, valve, { step: run.step, seed: run.seed });
      made.set(engine, { from: scenario, plant });
      return plant;
    },
  };
}
