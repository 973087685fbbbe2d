/** Steady points of the engine by root finding. SI. */
import { findRoot } from '../numerics/root.js';
import type { AirPath } from './air-path.js';
import type { Ambient } from './ambient.js';
import type { Laws } from './laws/law.js';
import type { PlantInputs } from './types.js';

const FOUR_PI = 4 * Math.PI;
/** Pressures looked at, as a share of the ambient. */
const LOWEST = 0.01;
const HIGHEST = 1 - 1e-9;

/** Manifold pressure, Pa, at which as much air enters through an effective area as the cylinders draw at a crank speed. */
function pressureAt(omega: number, area: number, path: AirPath, laws: Laws, ambient: Ambient): number {
  const surplus = (pressure: number): number => path.flow(area, pressure) - (laws.charge(omega, pressure) * omega) / FOUR_PI;
  const [low, high] = [LOWEST * ambient.pressure, ambient.pressure];
  if (omega <= 0 || surplus(high) >= 0) return high;
  return surplus(low) <= 0 ? low : findRoot(surplus, low, high, 1e-9, 'manifold pressure');
}

/**
 * Pressure and valve command that hold a crank speed against the present load. Torque rises with pressure throughout.
 * @param generator power that the alternator takes, W
 */
function commandAt(
  omega: number, inputs: PlantInputs, path: AirPath, laws: Laws, ambient: Ambient, mixture: number, thickness: number, generator: number,
) {
  const surplus = (pressure: number): number =>
    mixture * laws.torque(laws.charge(omega, pressure), inputs.spark, omega, pressure) -
    laws.pumping(pressure, omega) - laws.friction(omega, thickness) - inputs.load - (inputs.loadPower + generator) / omega -
    inputs.loadSquare * omega * omega;
  const [low, high] = [LOWEST * ambient.pressure, HIGHEST * ambient.pressure];
  const pressure = surplus(low) >= 0 ? low : surplus(high) <= 0 ? high : findRoot(surplus, low, high, 1e-9, 'manifold pressure');
  const needed = (laws.charge(omega, pressure) * omega) / FOUR_PI;
  return { pressure, air: path.commandFor(needed / path.flow(1, pressure), inputs) };
}

export const trim = { pressureAt, commandAt } as const;
