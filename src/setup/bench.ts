/**
 * The engine held still: the air that a steady speed needs, from the plant's own steady solve, at any coolant and under any
 * load. Reader's units; air in the valve's.
 */
import { interpolate } from '../numerics/curve.js';
import { fromSI, toSI } from '../parameter/unit.js';
import { createModel } from '../plant/models.js';
import type { Machine, ValveRange } from '../plant/types.js';
import type { Scenario } from '../scenario/index.js';

/** What a load asks of the engine: N·m, N·m·s²/rad², W at the crank, W of electricity. */
export interface Demand {
  readonly torque: number;
  readonly square: number;
  readonly power: number;
  readonly electrical: number;
}

export const NO_DEMAND: Demand = { torque: 0, square: 0, power: 0, electrical: 0 };

export interface Bench {
  readonly range: ValveRange;
  readonly stallRpm: number;
  /** Machines that the engine may drive. */
  readonly machines: readonly Machine[];
  /** Air that holds a speed, coolant and oil at one temperature; beyond 0 … full where the valve cannot. */
  airAt(coolantC: number, rpm: number, demand?: Demand): number;
  /** What one unit of air is worth in steady speed, rpm. */
  rpmPerAir(coolantC: number, rpm: number): number;
  /** Manifold pressure at that steady point, kPa. */
  mapAt(coolantC: number, rpm: number): number;
}

/** Half-width of the difference that `rpmPerAir` is taken over, rpm. */
const HALF_SPAN_RPM = 20;

export function createBench(scenario: Scenario): Bench {
  const { engine, valve, run, controller, drill } = scenario;
  const plant = createModel(engine, valve, { step: run.step, seed: run.seed });
  const { inputs } = plant;
  const { full } = plant.valve;

  const solve = (coolantC: number, rpm: number, demand: Demand): { readonly air: number; readonly pressure: number } => {
    const spark = interpolate(controller.spark.baseDeg, coolantC) + interpolate(controller.spark.slopeDeg, rpm);
    const omega = toSI(rpm, 'rpm');
    inputs.coolant = inputs.oil = toSI(coolantC, 'degC');
    inputs.spark = toSI(spark, 'deg');
    inputs.supply = drill.start.supply;
    inputs.load = demand.torque;
    inputs.loadSquare = demand.square;
    inputs.loadPower = demand.power;
    inputs.electrical = demand.electrical;
    inputs.air = 0.3;
    plant.reset({ omega, pressure: null, vehicleSpeed: 0, engine: 'running' });
    const { air, pressure } = plant.trimAt(omega);
    return { air: air * full, pressure };
  };

  const airAt = (coolantC: number, rpm: number, demand: Demand = NO_DEMAND): number => solve(coolantC, rpm, demand).air;
  return {
    range: plant.valve,
    stallRpm: fromSI(plant.stallSpeed, 'rpm'),
    machines: plant.accessories?.machines ?? [],
    airAt,
    rpmPerAir: (coolantC, rpm) => (2 * HALF_SPAN_RPM) / (airAt(coolantC, rpm + HALF_SPAN_RPM) - airAt(coolantC, rpm - HALF_SPAN_RPM)),
    mapAt: (coolantC, rpm) => solve(coolantC, rpm, NO_DEMAND).pressure / 1e3,
  };
}
