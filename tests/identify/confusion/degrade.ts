/** What a recorder makes of a run: rows at its own rate, noise, whole numbers; and sensors that fail. */
import { createRandom } from '../../../src/numerics/random.js';
import type { Trace } from '../../../src/loop/trace.js';
import type { Scenario } from '../../../src/scenario/index.js';
import { type Recording, recordingOfTrace } from '../../../src/identify/diagnose/index.js';

export interface Recorder {
  readonly hz: number;
  readonly seed: number;
  /** Scatter of the speed reading, rpm. */
  readonly noiseRpm?: number;
}

export function recorded(trace: Trace, scenario: Scenario, { hz, seed, noiseRpm = 3 }: Recorder): Recording {
  const plain = recordingOfTrace(trace, scenario, 'log', 1 / hz);
  const random = createRandom(seed * 7919 + 13);
  const every = Math.round(1 / hz / trace.recordS);
  const read = (values: Float64Array | null, noise: number, unit: number): Float64Array | null =>
    values?.map((v) => Math.round((v + noise * random.normal()) / unit) * unit) ?? null;
  const sensed = Float64Array.from({ length: plain.rows }, (_, k) => trace.columns.sensedRpm[k * every] as number);
  return {
    ...plain,
    speedRpm: sensed.map((n) => (n < 1 ? 0 : Math.max(0, Math.round(n + noiseRpm * random.normal())))),
    targetRpm: read(plain.targetRpm, 0, 1), air: read(plain.air, 0, plain.airUnit === 'step' ? 1 : 0.1), airLimits: null,
    mapKpa: read(plain.mapKpa, 0.25, 0.1), sparkDeg: read(plain.sparkDeg, 0, 0.5), coolantC: read(plain.coolantC, 0.1, 1),
    throttlePct: read(plain.throttlePct?.map((p) => p + 14) ?? null, 0.1, 0.4), vehicleKmh: read(plain.vehicleKmh, 0, 1),
  };
}
