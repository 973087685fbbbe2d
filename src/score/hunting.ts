/**
 * Hunting: a sustained oscillation of the speed, told apart from drift, from a transient that dies away, and from the
 * irregular wander that cycle-to-cycle roughness leaves.
 *
 * 1. The stretch is averaged over blocks of about 20 ms, and a parabola through it (drift) is taken off.
 * 2. The period is where the speed best repeats itself: the highest autocorrelation beyond its first negative, up to a
 *    third of the stretch, so that at least three cycles are seen.
 * 3. It is periodic if, smoothed over an eighth of that period, it correlates with itself one period on by `REPEATS`.
 *    A sine gives 1. Noise through a second-order lag of damping ratio ζ gives exp(−2πζ/√(1−ζ²)) on average (its
 *    autocorrelation; 0.14 at ζ = 0.3), and scatters about that the more, the fewer cycles are seen. So with few cycles the
 *    threshold rises by `FEW_CYCLES`/cycles. Found on synthetic noise: at ζ ≥ 0.2, and for white noise and first-order
 *    lags, at most 1 stretch in 100 is called hunting; at ζ = 0.1, which roughness keeps swinging, some 1 in 15.
 * 4. It is sustained if its second half is at least `SUSTAINED` of its first. If it is not, or not periodic, the second
 *    half is looked at alone: a limit cycle may hide behind a large first swing.
 * 5. Peak to peak and frequency come from a least-squares wave through the rows themselves, which leaves roughness out.
 *
 * A window that holds fewer than three cycles is looked at by `findSwings`.
 *
 * All of it is ordinary signal processing (Oppenheim and Schafer, Discrete-Time Signal Processing); the thresholds are ours.
 */
import { fitWave, peakToPeak } from './harmonics.js';
import { DIES_AWAY, SHORT, STILL, WANDERS } from './reasons.js';

/** Correlation after one period at which a wave counts as periodic; assumed, checked on synthetic noise. */
const REPEATS = 0.7;
const FEW_CYCLES = 0.6;
/** Size of the second half over that of the first, below which the wave dies away; assumed (ζ of 0.02 over 3.5 cycles). */
export const SUSTAINED = 0.8;
const CYCLES = 3;
/** The latest part of a long stretch that is looked at, s: three cycles of 0.05 Hz, slower than any idle loop hunts. */
const LONGEST_S = 60;
/** How often a stretch is cut to its second half; each look is one more chance to be misled by noise. */
const HALVINGS = 2;
const BLOCK_S = 0.02;
const HARMONICS = 9;

export interface Hunting {
  readonly peakToPeakRpm: number | null;
  readonly frequencyHz: number | null;
  readonly reason: string | null;
}

export const none = (reason: string): Hunting => ({ peakToPeakRpm: null, frequencyHz: null, reason });

const rms = (y: Float64Array, from: number, to: number): number => {
  let sum = 0;
  for (let i = from; i < to; i++) sum += (y[i] as number) ** 2;
  return Math.sqrt(sum / Math.max(1, to - from));
};

/** Means of `block` neighbours each; what does not fill a block at the start is left out. */
function blockMeans(y: Float64Array, block: number): Float64Array {
  const n = Math.floor(y.length / block);
  const skip = y.length - n * block;
  return Float64Array.from({ length: n }, (_, i) => {
    let sum = 0;
    for (let k = 0; k < block; k++) sum += y[skip + i * block + k] as number;
    return sum / block;
  });
}

/** Moving mean of 2·half + 1 samples; shorter by 2·half. */
function smooth(y: Float64Array, half: number): Float64Array {
  const width = 2 * half + 1;
  return Float64Array.from({ length: Math.max(0, y.length - 2 * half) }, (_, i) => {
    let sum = 0;
    for (let k = 0; k < width; k++) sum += y[i + k] as number;
    return sum / width;
  });
}

/** Correlation of y with itself `lag` samples on. */
function correlation(y: Float64Array, lag: number): number {
  let both = 0;
  let early = 0;
  let late = 0;
  for (let i = 0; i + lag < y.length; i++) {
    const a = y[i] as number;
    const b = y[i + lag] as number;
    both += a * b;
    early += a * a;
    late += b * b;
  }
  return early > 0 && late > 0 ? both / Math.sqrt(early * late) : 0;
}

/** Lag, in samples with a fraction, at which y best repeats itself, or null. */
function findPeriod(y: Float64Array): number | null {
  const longest = Math.floor(y.length / CYCLES);
  const r = Float64Array.from({ length: longest + 2 }, (_, lag) => correlation(y, lag));
  const at = (lag: number): number => r[lag] as number;
  let first = 1;
  while (first <= longest && at(first) >= 0) first++;
  const peaks: number[] = [];
  for (let lag = first + 1; lag <= longest; lag++) if (at(lag) > 0 && at(lag) >= at(lag - 1) && at(lag) > at(lag + 1)) peaks.push(lag);
  const best = Math.max(...peaks.map(at));
  // Twice the period repeats as well as once: the first of the good ones is the period.
  const lag = peaks.find((l) => at(l) >= 0.85 * best);
  if (lag === undefined) return null;
  const bend = at(lag - 1) - 2 * at(lag) + at(lag + 1);
  return lag + (bend < 0 ? (at(lag - 1) - at(lag + 1)) / (2 * bend) : 0);
}

/** Correlation at a fractional lag, by a straight line between its neighbours. */
function correlationAt(y: Float64Array, lag: number): number {
  const whole = Math.floor(lag);
  return correlation(y, whole) + (lag - whole) * (correlation(y, whole + 1) - correlation(y, whole));
}

/** Frequency near `guess` (cycles per sample) whose sine leaves least over, by golden section. */
function refine(y: Float64Array, guess: number): number {
  const golden = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [guess - 0.5 / y.length, guess + 0.5 / y.length];
  const left = (f: number): number => fitWave(y, f, 1).residual;
  let [a, b] = [high - golden * (high - low), low + golden * (high - low)];
  let [fa, fb] = [left(a), left(b)];
  for (let i = 0; i < 18; i++) {
    if (fa < fb) {
      [high, b, fb] = [b, a, fa];
      a = high - golden * (high - low);
      fa = left(a);
    } else {
      [low, a, fa] = [a, b, fb];
      b = low + golden * (high - low);
      fb = left(b);
    }
  }
  return (low + high) / 2;
}

/**
 * Looks for hunting in rows `from` … `to` − 1 of a speed.
 *
 * @param speed rpm, evenly spaced  @param rowS spacing, s  @param leastRpm peak to peak below which it is not called hunting
 */
export function findHunting(speed: Float64Array, from: number, to: number, rowS: number, leastRpm: number): Hunting {
  return search(speed, from, to, rowS, leastRpm, HALVINGS);
}

function search(speed: Float64Array, from: number, to: number, rowS: number, leastRpm: number, halvings: number): Hunting {
  const start = Math.max(from, to - Math.floor(LONGEST_S / rowS));
  const rows = speed.subarray(start, Math.max(start, to));
  const block = Math.max(1, Math.round(BLOCK_S / rowS));
  const means = blockMeans(rows, block);
  if (means.length < 6 * CYCLES) return none(SHORT);
  const wave = new Float64Array(means.length);
  fitWave(means, 0, 0, wave);
  if (rms(wave, 0, wave.length) * 2 * Math.SQRT2 < leastRpm) return none(`${STILL} ${leastRpm} rpm`);
  const period = findPeriod(wave);
  const orLater = (reason: string): Hunting => {
    if (halvings === 0) return none(reason);
    const later = search(speed, start + (rows.length >> 1), to, rowS, leastRpm, halvings - 1);
    return later.reason === null ? later : none(reason);
  };
  if (period === null) return orLater(`nothing repeats itself ${CYCLES} times`);

  const smoothed = smooth(wave, Math.floor(period / 16));
  const cycles = smoothed.length / period;
  if (correlationAt(smoothed, period) < REPEATS + FEW_CYCLES / cycles) return orLater(WANDERS);
  const half = smoothed.length >> 1;
  const ratio = rms(smoothed, half, smoothed.length) / rms(smoothed, 0, half);
  if (ratio < SUSTAINED) return orLater(DIES_AWAY);
  const frequency = refine(wave, 1 / period) / block;
  const perCycle = 1 / frequency;
  const harmonics = Math.max(1, Math.min(HARMONICS, Math.floor(perCycle / 4)));
  const fitted = peakToPeak(fitWave(rows, frequency, harmonics), rows.length);
  return { peakToPeakRpm: fitted, frequencyHz: frequency / rowS, reason: null };
}
