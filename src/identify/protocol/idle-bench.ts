/** The warm idle's steady point, from the plant's own solve: air that holds a speed, and what a little more is worth. */
import { interpolate } from '../../numerics/curve.js';
import { fromSI, toSI } from '../../parameter/unit.js';
import { createModel } from '../../plant/models.js';
import type { ValveRange } from '../../plant/types.js';
import type { Scenario } from '../../scenario/index.js';

export interface IdleBench {
  readonly range: ValveRange;
  readonly stallRpm: number;
  /** Air, in the valve's unit, that holds a speed. */
  airAt(coolantC: number, rpm: number): number;
  /** Steady speed for one unit of air more, rpm. */
  rpmPerAir(coolantC: number, rpm: number): number;
}

const HALF_SPAN_RPM = 20;

export function createBench({ engine, valve, run, controller, drill }: Scenario): IdleBench {
  const plant = createModel(engine, valve, { step: run.step, seed: run.seed });
  const { inputs } = plant;
  const airAt = (coolantC: number, rpm: number): number => {
    const omega = toSI(rpm, 'rpm');
    inputs.coolant = inputs.oil = toSI(coolantC, 'degC');
    inputs.spark = toSI(interpolate(controller.spark.baseDeg, coolantC) + interpolate(controller.spark.slopeDeg, rpm), 'deg');
    inputs.supply = drill.start.supply;
    inputs.air = 0.3;
    plant.reset({ omega, pressure: null, vehicleSpeed: 0, engine: 'running' });
    return plant.trimAt(omega).air * plant.valve.full;
  };
  return {
    range: plant.valve, stallRpm: fromSI(plant.stallSpeed, 'rpm'), airAt,
    rpmPerAir: (coolantC, rpm) => (2 * HALF_SPAN_RPM) / (airAt(coolantC, rpm + HALF_SPAN_RPM) - airAt(coolantC, rpm - HALF_SPAN_RPM)),
  };
}
