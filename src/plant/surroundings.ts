/** What follows, step by step, from coolant, oil, gear and clutch, and from what the engine is doing. SI. */
import { checkCurve, interpolate } from '../numerics/curve.js';
import { crankPerMetre } from './driveline.js';
import type { EngineSettings } from './engine.js';
import type { Fuelling } from './fuelling.js';
import type { MixtureLaw } from './laws/law.js';
import { oilThickness } from './oil.js';
import type { Roughness } from './roughness.js';
import type { EngineState, PlantInputs } from './types.js';

/** Of the present step. */
export interface Now {
  engine: EngineState;
  /** Air over stoichiometric air, and what it makes of the torque. */
  lambda: number;
  mixture: number;
  /** What the oil makes of friction. */
  thickness: number;
  /** Crank angle per metre of road, rad/m; torque at which the clutch slips, N·m. */
  gearing: number;
  capacity: number;
  /** What multiplies the indicated torque; 0 unless the engine turns and fires. */
  burning: number;
  /** What the alternator takes, W. */
  generator: number;
}

export const firing = ({ engine }: Readonly<Now>): boolean => engine === 'running' || engine === 'cranking';

/** @returns the record, and what brings it up to the present inputs  @throws RangeError when the lambda curve is none */
export function createSurroundings(
  engine: EngineSettings, mixture: MixtureLaw, inputs: PlantInputs, roughness: Roughness, fuelling: Fuelling | null,
): { readonly now: Now; readonly readSurroundings: () => void } {
  checkCurve(engine.fuel.lambda, 'engine.fuel.lambda');
  const gearing = Float64Array.from({ length: engine.driveline.gears.length + 1 }, (_, gear) => crankPerMetre(engine.driveline, gear));
  const seen = { oil: Number.NaN, coolant: Number.NaN };
  // V8 settles on how it keeps a number by the first one: a whole one would be kept otherwise
  const now = { engine: 'off' as EngineState, lambda: 0.5, mixture: 0.5, thickness: 0.5, gearing: 0.5, capacity: 0.5, burning: 0.5, generator: 0.5 };
  now.generator = 0;
  return {
    now,
    readSurroundings() {
      if (inputs.coolant !== seen.coolant) {
        seen.coolant = inputs.coolant;
        now.lambda = interpolate(engine.fuel.lambda, inputs.coolant);
        now.mixture = mixture(now.lambda);
      }
      if (inputs.oil !== seen.oil) {
        seen.oil = inputs.oil;
        now.thickness = oilThickness(engine.oil, inputs.oil);
      }
      now.gearing = gearing[inputs.gear] ?? 0;
      now.capacity = now.gearing > 0 ? engine.driveline.clutchCapacity * (1 - inputs.clutch) : 0;
      now.burning = firing(now) ? roughness.factor * (fuelling === null ? now.mixture : 1) : 0;
    },
  };
}
