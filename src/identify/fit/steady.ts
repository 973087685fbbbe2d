/** The command that holds a fitted engine at a speed. */
import { createPlant } from '../../plant/plant.js';
import type { Fitted } from './knobs.js';

/** Far below what any fitted plenum and valve need; nothing is integrated here. */
const STEP = 1e-5;

/** @param speed rad/s  @param spark rad  @param coolant, oil K  @returns 0 … 1; beyond where the valve cannot; NaN where the engine has no steady point there */
export function equilibriumAir({ engine, valve }: Fitted, speed: number, spark: number, coolant: number, oil: number): number {
  try {
    const plant = createPlant({ ...engine, machines: [], roughnessPct: 0 }, valve, { step: STEP, laws: { plate: () => 0 } });
    Object.assign(plant.inputs, { spark, coolant, oil });
    return plant.trimAt(speed).air;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return Number.NaN;
  }
}
