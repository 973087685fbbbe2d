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
  /** And of those that grow with the square of the crank speed, N·m·s²/rad². */
  loadSquare: number;
  /** Electrical power asked for beyond what the engine itself needs, W; felt where an alternator is fitted. */
  electrical: number;
  /** Air past everything that the controller commands (a leak, a purge): its flow on a bench at 60 kPa depression, kg/s. */
  unasked: number;
  /** Clutch pedal, 0 (up, engaged) … 1 (down, released). */
  clutch: number;
  /** Gear engaged, 0 for neutral. */
  gear: number;
  /** Supply voltage, V. A plant with an alternator writes it, unless it is held. */
  supply: number;
  /** The supply comes from outside: a fitted alternator does not move it. */
  supplyHeld: boolean;
  /** Coolant and oil temperature, K. A plant that warms up writes them, about once a second. */
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
  /** Coolant temperature, K. */
  coolant: number;
}

/** A machine that the engine may drive, as `engine.machines` declares it; switched by name in a drill. */
export interface Machine {
  readonly name: string;
  /** At the crank: N·m; N·m·s²/rad² times the square of the crank speed; W. */
  readonly torque: number;
  readonly square: number;
  readonly power: number;
  /** Time to take hold or let go, s. */
  readonly engage: number;
  /** Share of its torque that it takes on top as it takes hold, and the time in which that is gone, s. */
  readonly kick: number;
  readonly kickTime: number;
}

/** What a drill may switch on a plant. */
export interface Accessories {
  readonly machines: readonly Machine[];
  /** Whether electrical power is felt. */
  readonly alternator: boolean;
  /** Most air beside the controller's that its step can follow, kg/s on the bench. */
  readonly unaskedMost: number;
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
  /** What it drives beside itself; nothing when left out. */
  readonly accessories?: Accessories;
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
