/**
 * The relay experiment: the command jumps between two values as the output crosses its target, and the swing that sets in
 * tells ultimate gain and period, nearly.
 *
 * Source: K. J. Åström and T. Hägglund, Automatic tuning of simple regulators with specifications on phase and amplitude
 * margins, Automatica 20 (1984) 645. The describing function takes the swing for a sine: its gain is some 19 % low on an
 * integrator with delay, and 13 % high on a delay with little lag (see the tests).
 */
import type { Stepper } from './stepper.js';

export interface RelayOptions {
  /** Seconds between two calls of the plant. */
  readonly periodS: number;
  /** Half of the jump of the command, in its unit. */
  readonly amplitude: number;
  /** How far the output must pass its target before the command jumps; 0 when not given. */
  readonly hysteresis?: number;
  /** Command in the middle, and output aimed at; 0 when not given. */
  readonly bias?: number;
  readonly target?: number;
  /** Longest time allowed, s. */
  readonly longestS: number;
  /** Change from one swing to the next, relative, below which the swing counts as steady; 1e-3 when not given. */
  readonly steady?: number;
  /** +1 where more command gives more output, −1 where less does. */
  readonly sign?: 1 | -1;
}

export interface RelayResult {
  /** Half of the swing's peak to peak, in the unit of the output, and its period, s; null when it did not become steady. */
  readonly swing: number | null;
  readonly swingPeriodS: number | null;
  /** Describing-function estimates of ultimate gain (command per output) and period. */
  readonly gain: number | null;
  readonly periodS: number | null;
  /** Part of the time that the command is high; far from 0.5 the estimate is poor: the bias is off. */
  readonly share: number | null;
  readonly swings: number;
  readonly reason: string | null;
}

/** 4 d/(π √(a² − ε²)): the gain of a relay of amplitude d and hysteresis ε to a sine of amplitude a. */
export function describingGain(amplitude: number, swing: number, hysteresis = 0): number {
  return (4 * amplitude) / (Math.PI * Math.sqrt(swing * swing - hysteresis * hysteresis));
}

interface Swing {
  readonly lengthS: number;
  readonly highS: number;
  readonly low: number;
  readonly high: number;
  /** Largest change of the output from one sample to the next: how well its peaks can be seen at all. */
  readonly jump: number;
}

const STEADY_SWINGS = 4;

/** The last swings, when all have nearly the length and height of the first of them, but for what a sample blurs. */
function steadyOnes(swings: readonly Swing[], within: number, periodS: number): readonly Swing[] | null {
  if (swings.length < STEADY_SWINGS + 1) return null;
  const last = swings.slice(-STEADY_SWINGS);
  const first = last[0] as Swing;
  const alike = last.every(
    (swing) =>
      Math.abs(swing.lengthS - first.lengthS) <= within * first.lengthS + 1.5 * periodS &&
      Math.abs(swing.high - swing.low - (first.high - first.low)) <= within * (first.high - first.low) + first.jump,
  );
  return alike ? last : null;
}

/**
 * Runs the experiment on a plant at rest at its bias.
 *
 * The command jumps at sampled instants only, so everything comes out up to a period late.
 * @param plant one call a period: command in, output at the end of that period out
 * @throws RangeError when the amplitude or a time is not above 0
 */
export function relayExperiment(plant: Stepper, options: RelayOptions): RelayResult {
  const { periodS, amplitude, hysteresis = 0, bias = 0, target = 0, longestS, steady = 1e-3, sign = 1 } = options;
  if (!(periodS > 0 && amplitude > 0 && hysteresis >= 0 && longestS > periodS))
    throw new RangeError('relay: needs a period, an amplitude and a longest time above 0, and a hysteresis of 0 or more');
  const swings: Swing[] = [];
  const none = (reason: string): RelayResult => ({
    swing: null, swingPeriodS: null, gain: null, periodS: null, share: null, swings: swings.length, reason,
  });
  let high = true;
  let [startK, highSteps] = [-1, 0];
  let [low, top, jump] = [Infinity, -Infinity, 0];
  let last = 0;
  const most = Math.round(longestS / periodS);
  for (let k = 0; k < most; k++) {
    const y = plant(bias + (high ? sign : -sign) * amplitude) - target;
    if (!Number.isFinite(y)) return none('the output is not finite');
    low = Math.min(low, y);
    top = Math.max(top, y);
    if (k > 0) jump = Math.max(jump, Math.abs(y - last));
    last = y;
    if (high) highSteps++;
    const before = high;
    if (y > hysteresis) high = false;
    else if (y < -hysteresis) high = true;
    if (!high || before) continue;
    // Back to high: a swing is complete.
    if (startK >= 0) swings.push({ lengthS: (k - startK) * periodS, highS: highSteps * periodS, low, high: top, jump });
    [startK, highSteps, low, top, jump] = [k, 0, Infinity, -Infinity, 0];
    const found = steadyOnes(swings, steady, periodS);
    if (found === null) continue;
    const mean = (of: (swing: Swing) => number): number => found.reduce((sum, swing) => sum + of(swing), 0) / found.length;
    const swing = mean((one) => (one.high - one.low) / 2);
    const swingPeriodS = mean((one) => one.lengthS);
    if (!(swing > hysteresis)) return none('the swing is no larger than the hysteresis');
    return {
      swing,
      swingPeriodS,
      gain: sign * describingGain(amplitude, swing, hysteresis),
      periodS: swingPeriodS,
      share: mean((one) => one.highS) / swingPeriodS,
      swings: swings.length,
      reason: null,
    };
  }
  return none(swings.length === 0 ? `the output did not swing about its target in ${longestS} s` : `the swing was not steady after ${longestS} s`);
}
