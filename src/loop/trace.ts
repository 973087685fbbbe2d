/**
 * What a run leaves behind: named columns, a row every `recordS`, and the events that happened.
 *
 * Row k holds what the controller saw at t_k and what it applied from t_k on; it is written before the plant moves.
 * Reader's units, named in `COLUMNS`.
 */
import type { EngineState } from '../plant/types.js';

/** Column name → unit and meaning. */
export const COLUMNS = {
  timeS: { unit: 's', meaning: 'time since the start of the run' },
  speedRpm: { unit: 'rpm', meaning: 'true crank speed' },
  sensedRpm: { unit: 'rpm', meaning: 'speed as the controller sees it' },
  targetRpm: { unit: 'rpm', meaning: 'target speed' },
  air: { unit: '% or step', meaning: 'air command in the unit of the valve' },
  openingPct: { unit: '%', meaning: 'true opening of the valve' },
  throttlePct: { unit: '%', meaning: 'throttle plate, of its travel' },
  mapKpa: { unit: 'kPa', meaning: 'manifold absolute pressure' },
  airGs: { unit: 'g/s', meaning: 'air into the manifold' },
  fuelKgh: { unit: 'kg/h', meaning: 'fuel' },
  sparkDeg: { unit: '°BTDC', meaning: 'commanded spark' },
  indicatedNm: { unit: 'N·m', meaning: 'indicated torque' },
  pumpingNm: { unit: 'N·m', meaning: 'pumping torque, lost' },
  frictionNm: { unit: 'N·m', meaning: 'friction torque, lost' },
  loadNm: { unit: 'N·m', meaning: 'load torque, lost' },
  clutchNm: { unit: 'N·m', meaning: 'torque lost into the driveline; negative when the car drives the engine' },
  vehicleKmh: { unit: 'km/h', meaning: 'vehicle speed' },
  coolantC: { unit: '°C', meaning: 'coolant temperature' },
  closed: { unit: '0 or 1', meaning: 'loop closed' },
  atStop: { unit: '0 or 1', meaning: 'air command at a limit of its clamp' },
} as const;

export type ColumnName = keyof typeof COLUMNS;
export type Columns = { readonly [N in ColumnName]: Float64Array };

/** Something that the drill did, and what may be expected of the speed around it. */
export interface TraceEvent {
  /** Time of the request, s. */
  readonly atS: number;
  /** When it took effect, where a lead puts that later, s. */
  readonly engagedS: number;
  readonly name: string;
  readonly what: string;
}

/** Stretch in which the loop was open, and why. */
export interface OpenStretch {
  readonly fromS: number;
  readonly toS: number;
  readonly because: string;
}

export interface Trace {
  /** Rows used in each column. */
  readonly rows: number;
  readonly recordS: number;
  readonly columns: Columns;
  readonly airUnit: '%' | 'step';
  /** Command at which the clamp starts and ends, in `airUnit`. */
  readonly airLimits: readonly [number, number];
  readonly events: readonly TraceEvent[];
  readonly open: readonly OpenStretch[];
  readonly end: { readonly atS: number; readonly engine: EngineState; readonly because: string };
  readonly stalled: boolean;
  readonly stallTimeS: number | null;
  /** Speed at which a running engine counts as stalled, rpm. */
  readonly stallRpm: number;
}
