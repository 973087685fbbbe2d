/** What a fit compares: a log on an even grid, cut into stretches in which the model's inputs are known. SI. */
import type { Gap } from '../log/index.js';

/** Inputs and outputs of the plant, one value a row; a stretch has no gap in it and the engine runs throughout. */
export interface FitStretch {
  readonly startS: number;
  readonly rows: number;
  /** Measured crank speed, rad/s. */
  readonly speed: Float64Array;
  /** Measured manifold pressure, Pa; null when not logged. */
  readonly pressure: Float64Array | null;
  /** Command to the valve, 0 … 1; null when not logged: then the measured pressure drives the model. */
  readonly air: Float64Array | null;
  /** rad before top dead centre. */
  readonly spark: Float64Array;
  /** 0 … 1. */
  readonly pedal: Float64Array;
  /** Which move of the throttle a row belongs to, −1 none; absent where no moment is fitted. */
  readonly moves?: Int32Array;
  /** K. */
  readonly coolant: Float64Array;
  readonly oil: Float64Array;
  /** V. */
  readonly supply: Float64Array;
  /** Vehicle speed, m/s, the clutch down; null when not logged. */
  readonly vehicle: Float64Array | null;
  /** One a load, 0 … 1. */
  readonly loads: readonly Float64Array[];
}

export interface FitRecording {
  readonly periodS: number;
  readonly stretches: readonly FitStretch[];
  readonly loadNames: readonly string[];
  /** Which channels the log has; the others are taken for constant, and said so in `notes`. */
  readonly has: { readonly air: boolean; readonly pressure: boolean; readonly spark: boolean; readonly coolant: boolean; readonly throttle: boolean; readonly supply: boolean };
  /** Parts of the log that are not used, with why. */
  readonly left: readonly (Gap & { readonly because: string })[];
  readonly notes: readonly string[];
}

export const rowsOf = ({ stretches }: FitRecording): number => stretches.reduce((sum, { rows }) => sum + rows, 0);

/** Lowest and highest of a quantity over all stretches. */
export function rangeOf({ stretches }: FitRecording, of: (stretch: FitStretch) => Float64Array): readonly [number, number] {
  let [low, high] = [Infinity, -Infinity];
  for (const stretch of stretches) for (const v of of(stretch)) [low, high] = [Math.min(low, v), Math.max(high, v)];
  return [low, high];
}

/** Rows `from` … `to` − 1 of a stretch, as one of its own. */
export function partOf(stretch: FitStretch, from: number, to: number, periodS: number): FitStretch {
  const cut = (values: Float64Array): Float64Array => values.subarray(from, to);
  return {
    startS: stretch.startS + from * periodS,
    rows: to - from,
    speed: cut(stretch.speed),
    pressure: stretch.pressure === null ? null : cut(stretch.pressure),
    air: stretch.air === null ? null : cut(stretch.air),
    spark: cut(stretch.spark), pedal: cut(stretch.pedal), coolant: cut(stretch.coolant), oil: cut(stretch.oil), supply: cut(stretch.supply),
    vehicle: stretch.vehicle === null ? null : cut(stretch.vehicle),
    loads: stretch.loads.map(cut),
  };
}

/** Shortest part that is worth simulating by itself, s. */
const SHORTEST_S = 4;

/**
 * Splits a recording in time: the last `share` of its rows is held out.
 *
 * @returns `held` without stretches when there is nothing to hold out
 */
export function holdOut(recording: FitRecording, share: number): { readonly used: FitRecording; readonly held: FitRecording } {
  const { periodS, stretches } = recording;
  const shortest = Math.ceil(SHORTEST_S / periodS);
  const first = Math.floor(rowsOf(recording) * (1 - share));
  let before = 0;
  const used: FitStretch[] = [];
  const held: FitStretch[] = [];
  for (const stretch of stretches) {
    const at = Math.min(stretch.rows, Math.max(0, first - before));
    before += stretch.rows;
    if (at >= shortest || (at === stretch.rows && at > 0)) used.push(partOf(stretch, 0, at, periodS));
    if (stretch.rows - at >= shortest) held.push(partOf(stretch, at, stretch.rows, periodS));
  }
  return { used: { ...recording, stretches: used }, held: { ...recording, stretches: share > 0 ? held : [] } };
}
