/**
 * What the loop and a plant say to each other. SI: rad/s, rad, Pa, K, kg/s, N·m, m/s, s.
 *
 * Whoever writes a plant of their own implements `Plant`; `createPlant` and `createRegressionPlant` are two that do.
 */

export type EngineState = 'off' | 'cranking' | 'running' | 'stalled';

/** What acts on the engine from outside, constant over one step. The loop writes it before each `advance`. */
export interface PlantInputs {
  /** Commanded valve position, 0 … 1 of its range. */
  air: number;
  /** Commanded spark, rad before top dead centre. */
  spark: number;
  /** Driver's pedal, 0 … 1. */
  pedal: number;
  /** Sum of the timed loads at the crank: those of a constant torque, N·m, and of a constant power, W. */
  load: number;
  loadPower: number;
  /** Clutch pedal, 0 (up, engaged) … 1 (down, released). */
  clutch: number;
  /** Gear engaged, 0 for neutral. */
  gear: number;
  /** Supply voltage, V. */
  supply: number;
  /** Coolant and oil temperature, K. */
  coolant: number;
  oil: number;
  /** Starter engaged. */
  starter: boolean;
}

/** What may be looked at between steps; `observe` fills it. */
export interface PlantOutputs {
  engine: EngineState;
  omega: number;
  pressure: number;
  /** Flow into the manifold and out of it into the cylinders, kg/s of air. */
  airIn: number;
  airOut: number;
  /** Fuel burnt, kg/s. */
  fuel: number;
  /** Position of the idle valve, 0 … 1, and of the throttle plate, 0 … 1 of its travel. */
  opening: number;
  plate: number;
  /** Torque terms at the crank, N·m; load and clutch count against the engine. */
  indicated: number;
  pumping: number;
  friction: number;
  load: number;
  clutch: number;
  /** Spark that fires now (after its delay), rad. */
  spark: number;
  vehicleSpeed: number;
}

/** Where a run starts. */
export interface PlantStart {
  readonly omega: number;
  /** Manifold pressure, Pa; null for the one at which the air flows balance. */
  readonly pressure: number | null;
  /** m/s; null for that of the crank in gear with the clutch engaged, standing otherwise. */
  readonly vehicleSpeed: number | null;
  readonly engine: EngineState;
}

/** The valve as the controller's author must know it. */
export interface ValveRange {
  readonly unit: '%' | 'step';
  /** Full travel in that unit: 100, or the number of steps. */
  readonly full: number;
}

/** Places in `Plant.state`; a plant may keep more behind these. */
export const OMEGA = 0;
export const ANGLE = 1;
export const PRESSURE = 2;
export const VEHICLE = 3;

export interface Plant {
  /** Length of one step, s. */
  readonly step: number;
  /** Crank angle between firings, rad: what the speed sensor averages over. */
  readonly firingInterval: number;
  /** Speed at and below which a running engine counts as stalled, rad/s. */
  readonly stallSpeed: number;
  /** K. */
  readonly ambientTemperature: number;
  readonly valve: ValveRange;
  readonly inputs: PlantInputs;
  /** Live view of the continuous states: crank speed, crank angle, manifold pressure, vehicle speed. */
  readonly state: Float64Array;
  /** Puts the plant at rest at `start` under the present inputs; the delay lines as if it had been there for ever. */
  reset(start: PlantStart): void;
  /** Moves one step. Allocates nothing. */
  advance(): void;
  /** What the engine is doing now. */
  engine(): EngineState;
  /** The present outputs: one record, filled anew at each call. */
  observe(): Readonly<PlantOutputs>;
  /**
   * The steady running point at a crank speed under the present load, coolant, spark and pedal: manifold pressure and
   * the valve position that holds it. `air` beyond 0 … 1 says that the valve cannot.
   */
  trimAt(omega: number): { readonly pressure: number; readonly air: number };
}
