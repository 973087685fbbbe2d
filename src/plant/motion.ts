/**
 * The equations of motion. SI.
 *
 *     dp/dt = (R·T_m/V_m)·(ṁ_in − m·ω/4π)                         m: air drawn in per cycle, now
 *     J·dω/dt = T(m, θ) − T_pumping − T_friction − T_load − T_clutch + T_starter
 *                                                                  m, θ: as they were a crank angle ago
 *     dφ/dt = ω                dv/dt: driveline.ts
 *
 * Sources: Guzzella and Onder 2010 (structure); Heywood 1988 (flow). Each law names its own.
 */
import type { AirPath } from './air-path.js';
import { starterTorque } from './crank.js';
import { type Delays, DRAWN, GIVEN } from './delays.js';
import { CLUTCH_STIFFNESS, clutchTorque, roadLoad } from './driveline.js';
import type { EngineSettings } from './engine.js';
import type { Fuelling } from './fuelling.js';
import type { Laws } from './laws/law.js';
import type { Now } from './surroundings.js';
import { ANGLE, OMEGA, type PlantInputs, PRESSURE, VEHICLE } from './types.js';

const CYCLES_PER_RAD = 1 / (4 * Math.PI);

/** Below this the resisting torques fade to nothing, so that a crank comes to rest instead of turning back, rad/s. */
const CREEP = 2;

/** What the equations read. */
export interface Parts {
  readonly engine: EngineSettings;
  readonly laws: Laws;
  readonly path: AirPath;
  readonly delays: Delays;
  /** null unless the engine has it. */
  readonly fuelling: Fuelling | null;
  readonly inputs: PlantInputs;
  readonly now: Now;
}

export interface Motion {
  /** Writes the derivative of `x` at the step's start, middle or end. The charge drawn in at its start goes to its delay. */
  derivative(x: Float64Array, stage: 0 | 1 | 2 | 3, dx: Float64Array): void;
  /** The same at any part of the step, 0 … 1, with the delays read at the crank angle of `x`. */
  derivativeAt(x: Float64Array, part: number, dx: Float64Array): void;
}

/** @param gasConstant of the air, J/(kg·K)  @param step s */
export function createMotion({ engine, laws, path, delays, fuelling, inputs, now }: Parts, gasConstant: number, step: number): Motion {
  const { charge, torque, pumping, friction } = laws;
  const { charge: chargePassage, spark: sparkPassage, chargeDelay, sparkDelay } = delays;
  const k = {
    perVolume: (gasConstant * engine.manifold.temperature) / engine.manifold.volume,
    perInertia: 1 / engine.inertia,
    // a crank that creeps is braked no faster than one step resolves
    grip: (2 * CREEP * engine.inertia) / step,
  };

  const derivative = (x: Float64Array, stage: 0 | 1 | 2 | 3, dx: Float64Array): void => {
    const omega = x[OMEGA]! > 0 ? x[OMEGA]! : 0;
    const pressure = x[PRESSURE]!;
    const drawn = charge(omega, pressure);
    if (stage === 0) chargePassage[DRAWN] = drawn;
    const burnt = chargeDelay > 0 ? chargePassage[GIVEN + stage]! : drawn;
    let indicated = now.burning === 0 ? 0 : now.burning * torque(burnt, sparkDelay > 0 ? sparkPassage[GIVEN + stage]! : inputs.spark, omega, pressure);
    if (fuelling !== null) indicated *= fuelling.passage[GIVEN + stage]!;
    const resisting = pumping(pressure, omega) + friction(omega, now.thickness) + loadTorque(inputs, now.generator, omega);
    let drive = indicated - (omega >= CREEP ? resisting : ((resisting < k.grip ? resisting : k.grip) * omega) / CREEP);
    if (now.engine === 'cranking') drive += starterTorque(engine.crank, omega);
    dx[ANGLE] = omega;
    dx[PRESSURE] = k.perVolume * (path.flow(path.area[stage]!, pressure) - drawn * omega * CYCLES_PER_RAD);
    if (now.capacity > 0 || x[VEHICLE]! > 0) {
      const clutch = clutchTorque(omega - x[VEHICLE]! * now.gearing, now.capacity, CLUTCH_STIFFNESS);
      drive -= clutch;
      dx[VEHICLE] = (clutch * now.gearing - roadLoad(engine.driveline, x[VEHICLE]!)) / engine.driveline.mass;
    } else {
      dx[VEHICLE] = 0;
    }
    dx[OMEGA] = drive * k.perInertia;
  };

  return {
    derivative,
    derivativeAt(x, part, dx) {
      // the place behind the three stages holds what is worked out for this one
      path.area[3] = quadratic(path.area, part);
      chargePassage[GIVEN + 3] = delays.burntAt(x[ANGLE]!);
      sparkPassage[GIVEN + 3] = delays.firedAt(x[ANGLE]!);
      if (fuelling !== null) fuelling.passage[GIVEN + 3] = fuelling.at(x[ANGLE]!);
      derivative(x, 3, dx);
    },
  };
}

/** What a quantity given at the start, middle and end of a step is at a part of it, 0 … 1. */
const quadratic = (given: Float64Array, part: number): number =>
  given[0]! + part * (4 * given[1]! - 3 * given[0]! - given[2]! + 2 * part * (given[0]! - 2 * given[1]! + given[2]!));

/** Torque of the timed loads and the alternator at the crank, N·m. @param generator what the alternator takes, W */
export function loadTorque(inputs: PlantInputs, generator: number, omega: number): number {
  return inputs.load + (inputs.loadPower + generator) / (omega > CREEP ? omega : CREEP) + inputs.loadSquare * omega * omega;
}
