/** One trial of the fit: an engine that is known, a log of it, a start 40 % off in every parameter, and what comes out. */
import { type EngineFit, fitEngine, knobsOf } from '../../src/identify/fit/index.js';
import { type Fitted, turned } from '../../src/identify/fit/knobs.js';
import { createRandom } from '../../src/numerics/random.js';
import { csvOf, driven, logOf, planned, recordingOf } from './fit-logs.js';

export interface Outcome {
  readonly key: string;
  readonly verdict: string;
  readonly excited: boolean;
  /** Fitted over true, less 1; a shift over its true value. */
  readonly error: number;
  /** Whether the interval holds the truth; null where the parameter was held. */
  readonly covered: boolean | null;
}

/** Torques of the loads in the plan, N·m. */
const TORQUES: Readonly<Record<string, number>> = { fan: 4, compressor: 8 };

export async function trial(seed: number, roughnessPct: number, options: Parameters<typeof fitEngine>[2] = {}): Promise<{ readonly fit: EngineFit; readonly outcomes: readonly Outcome[] }> {
  const scenario = await planned([`engine.roughness=${roughnessPct}`]);
  const log = await logOf(csvOf(driven(scenario, seed), { seed }));
  const { base, recording } = recordingOf(log, scenario);
  const truth: Fitted = { ...base, loads: base.loads.map((load) => ({ ...load, torque: TORQUES[load.name]! })) };
  const random = createRandom(seed + 77);
  const knobs = knobsOf(truth);
  const off = knobs.map((knob) => {
    const factor = random.uniform() < 0.5 ? 0.6 : 1.4;
    return knob.kind === 'scale' ? Math.log(factor) : (factor - 1) * knob.get(truth);
  });
  const fit = fitEngine(recording, turned(truth, knobs, off), options);
  const outcomes = fit.told.map(({ key, verdict, excited, value, low, high }): Outcome => {
    const real = knobs.find((knob) => knob.key === key)!.get(truth);
    return { key, verdict, excited, error: value / real - 1, covered: low === null || high === null ? null : real >= low && real <= high };
  });
  return { fit, outcomes };
}
