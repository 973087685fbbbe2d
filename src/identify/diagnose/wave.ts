/**
 * A sustained oscillation in a noisy signal, and its size.
 *
 * `findHunting` of the score asks for a wave that is regular from end to end, as a run without roughness gives. A real engine
 * kicks the wave all the time: its phase wanders and its size breathes. Here it is enough that the signal repeats itself after
 * one period. Noise through a second-order lag of damping ratio ζ repeats itself by exp(−2πζ/√(1−ζ²)) after one: 0.53 at
 * ζ = 0.1, 0.14 at ζ = 0.3, which is a good idle's. What it repeats by is also the share of its variance that is the wave's.
 */
import { fitWave } from '../../score/harmonics.js';

/** Repeats itself after one period by this, and by so much more with few cycles; found on synthetic noise, as in the score. */
const REPEATS = 0.45;
const FEW_CYCLES = 1;
/** The same where the swing is larger than any roughness makes: its rhythm may then be as loose as a limit cycle's on a rough engine. */
const LARGE = { repeats: 0.25, fewCycles: 0.5 };
/** Cycles that must be seen. */
const LEAST_CYCLES = 3;
/** Size of the second half over that of the first, below which it is a transient; and where it repeats itself so well that no good idle does. */
const SUSTAINED = 0.55;
const LINGERS = { repeats: 0.6, cycles: 5, least: 0.2 };

export interface Wave {
  readonly hz: number;
  readonly peakToPeakRpm: number;
  /** Correlation after one period. */
  readonly repeats: number;
}

function correlations(y: Float64Array, longest: number): Float64Array {
  const power = y.reduce((sum, v) => sum + v * v, 0) / y.length;
  return Float64Array.from({ length: longest + 2 }, (_, lag) => {
    let sum = 0;
    for (let i = 0; i + lag < y.length; i++) sum += (y[i] as number) * (y[i + lag] as number);
    return power > 0 ? sum / (y.length - lag) / power : 0;
  });
}

const rms = (y: Float64Array): number => Math.sqrt(y.reduce((sum, v) => sum + v * v, 0) / Math.max(1, y.length));

/** @param signal evenly spaced by `periodS`, s  @param largeRpm peak to peak that roughness never makes  @returns null where nothing is sustained */
export function sustainedWave(signal: Float64Array, periodS: number, largeRpm: number): Wave | null {
  if (signal.length < 4 * LEAST_CYCLES) return null;
  const y = new Float64Array(signal.length);
  fitWave(signal, 0, 0, y);
  const longest = Math.floor(y.length / LEAST_CYCLES);
  const r = correlations(y, longest);
  const at = (lag: number): number => r[lag] as number;
  let first = 1;
  while (first <= longest && at(first) >= 0) first++;
  let lag = -1;
  const peaks: number[] = [];
  for (let k = first + 1; k <= longest; k++) if (at(k) > 0 && at(k) >= at(k - 1) && at(k) > at(k + 1)) peaks.push(k);
  const best = Math.max(...peaks.map(at));
  lag = peaks.find((k) => at(k) >= 0.8 * best) ?? -1;
  if (lag < 0) return null;
  const bend = at(lag - 1) - 2 * at(lag) + at(lag + 1);
  const period = lag + (bend < 0 ? (at(lag - 1) - at(lag + 1)) / (2 * bend) : 0);
  const repeats = at(lag);
  const size = 2 * Math.SQRT2 * rms(y) * Math.sqrt(Math.min(1, Math.max(0, repeats)));
  const cycles = y.length / period;
  if (repeats < (size > largeRpm ? LARGE.repeats + LARGE.fewCycles / cycles : REPEATS + FEW_CYCLES / cycles)) return null;
  const half = y.length >> 1;
  const lingers = repeats >= LINGERS.repeats && cycles >= LINGERS.cycles;
  if (rms(y.subarray(half)) < (lingers ? LINGERS.least : SUSTAINED) * rms(y.subarray(0, half))) return null;
  return { hz: 1 / (period * periodS), repeats, peakToPeakRpm: size };
}
