/** The command that holds a fitted engine at a speed. */
import { createPlant } from '../../plant/plant.js';
import type { Fitted } from './knobs.js';

/** @param speed rad/s  @param spark rad  @param coolant, oil K  @returns 0 … 1; beyond where the valve cannot */
export function equilibriumAir({ engine, valve }: Fitted, speed: number, spark: number, coolant: number, oil: number): number {
  const plant = createPlant({ ...engine, machines: [], roughnessPct: 0 }, valve);
  Object.assign(plant.inputs, { spark, coolant, oil });
  return plant.trimAt(speed).air;
}
