/** The engine models that a scenario can name. A new one is one file and one line in each place here. */
import { type Values, variant } from '../parameter/table.js';
import { engineTable } from './engine.js';
import { createPlant, type PlantOptions } from './plant.js';
import { createRegressionPlant, regressionTable } from './regression.js';
import type { Plant } from './types.js';
import type { ValveSettings } from './valves/index.js';

export const modelTable = variant({
  tag: 'model',
  options: { 'mean-value': engineTable, regression: regressionTable },
  default: 'mean-value',
  meaning: 'the engine: the mean-value model of docs/model.md, or a published regression (which has no valve of its own)',
});
export type ModelSettings = Values<{ row: typeof modelTable }>['row'];

/** @throws RangeError when settings contradict each other */
export function createModel(settings: ModelSettings, valve: ValveSettings, options: PlantOptions = {}): Plant {
  return settings.model === 'regression' ? createRegressionPlant(settings, options) : createPlant(settings, valve, options);
}
