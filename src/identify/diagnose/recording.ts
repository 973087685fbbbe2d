/**
 * What is diagnosed: channels on one even grid of time, from a log or from a run of our own. A symptom is looked for in
 * what a car's recorder can give; nothing here is known of the engine's inside.
 */

export interface LoadChannel {
  readonly name: string;
  /** 1 while it is asked for. */
  readonly on: Float64Array;
}

/** Channels that are not there are null; a row without a reading is NaN. */
export interface Recording {
  readonly name: string;
  readonly periodS: number;
  readonly rows: number;
  /** Time of the first row, s. */
  readonly startS: number;
  readonly speedRpm: Float64Array;
  readonly targetRpm: Float64Array | null;
  /** Command to the air valve, `airUnit`: `%`, `step`, or '' where it is not known. */
  readonly air: Float64Array | null;
  readonly airUnit: string;
  /** Ends of the clamp where they are known. */
  readonly airLimits: readonly [number, number] | null;
  readonly mapKpa: Float64Array | null;
  readonly sparkDeg: Float64Array | null;
  readonly coolantC: Float64Array | null;
  readonly throttlePct: Float64Array | null;
  readonly vehicleKmh: Float64Array | null;
  /** 1 while the car cannot drive the engine: pedal down, or out of gear. */
  readonly clutch: Float64Array | null;
  readonly loads: readonly LoadChannel[];
  /** Whether it ends because the engine stalled, where that is known. */
  readonly stalled: boolean;
}

export type ChannelOf = 'air' | 'mapKpa' | 'sparkDeg' | 'coolantC' | 'throttlePct' | 'vehicleKmh' | 'clutch' | 'targetRpm';

/** Time of a row, s. */
export const timeAt = (recording: Recording, row: number): number => recording.startS + row * recording.periodS;

/** Mean of the known values in rows `from` … `to` − 1; NaN without any. */
export function meanOf(values: Float64Array, from: number, to: number): number {
  let [sum, count] = [0, 0];
  for (let k = Math.max(0, from); k < Math.min(to, values.length); k++) {
    const v = values[k] as number;
    if (!Number.isNaN(v)) [sum, count] = [sum + v, count + 1];
  }
  return count > 0 ? sum / count : Number.NaN;
}

/** Lowest and highest of the known values in rows `from` … `to` − 1, with their rows; null without any. */
export function extremesOf(values: Float64Array, from: number, to: number): { readonly low: number; readonly lowRow: number; readonly high: number; readonly highRow: number } | null {
  let [lowRow, highRow] = [-1, -1];
  for (let k = Math.max(0, from); k < Math.min(to, values.length); k++) {
    const v = values[k] as number;
    if (Number.isNaN(v)) continue;
    if (lowRow < 0 || v < (values[lowRow] as number)) lowRow = k;
    if (highRow < 0 || v > (values[highRow] as number)) highRow = k;
  }
  return lowRow < 0 ? null : { low: values[lowRow] as number, lowRow, high: values[highRow] as number, highRow };
}

/** Value below which a share of the known ones lies; NaN without any. */
export function quantile(values: Float64Array, share: number): number {
  const known = values.filter((v) => !Number.isNaN(v)).sort();
  return known[Math.min(known.length - 1, Math.floor(share * known.length))] ?? Number.NaN;
}
