/**
 * Oscillations that are sustained, and which part of the loop makes them.
 *
 * The wave is found by `sustainedWave`. Air, spark and speed are then fitted with that wave. What a controller does
 * to its error e = target − speed at frequency f is its transfer function: a proportional gain answers in phase, an integral
 * a quarter turn behind, a derivative ahead (K. J. Åström and R. M. Murray, Feedback Systems, 2008, ch. 10). Which of air and
 * spark drives is judged by the torque that each swings: a degree of spark is worth about a hundredth of the torque, and air
 * acts through the manifold, whose lag of about a fifth of a second takes the fast part off (assumed, common practice).
 */
import { fitWave } from '../../score/harmonics.js';
import { sustainedWave } from './wave.js';
import { airText, atS, type Cause, type Finding, rpm } from './finding.js';
import { IDLE } from './phases.js';
import { meanOf, quantile } from './recording.js';
import type { Subject } from './subject.js';

const LEAST_S = 5;
/** Left out after an event: its own transient. */
const AFTER_S = 1.5;
const MANIFOLD_S = 0.2;
const PER_DEGREE = 0.011;
/** A command takes part when its wave is this much of its own movement. */
const TAKES_PART = 0.2;
/** Spark activity while idling that no roughness explains, degrees root mean square: twice what costs 1 in the score. */
const BUSY_DEG = 6;
/** Correlation of spark and speed, at least so far below 0. */
const AGAINST = 0.5;
/** Angle of the air's wave against the error's, degrees, beyond which integral or derivative outweigh the proportional part. */
const [BEHIND, AHEAD] = [-25, 28];
/** Most steps, peak to peak, of a limit cycle about one or two of them. */
const MOST_STEPS = 4.5;
/** Turns of the command that are more than chance. */
const LEAST_TURNS = 4;

/** Stretches of plain idling between events. */
export function quietStretches({ phases, events, recording, rowsOf }: Subject, leastS = LEAST_S, afterS = AFTER_S): readonly (readonly [number, number])[] {
  const found: [number, number][] = [];
  const busy = new Uint8Array(recording.rows);
  for (const { row } of events) busy.fill(1, row, Math.min(recording.rows, row + rowsOf(afterS)));
  let from = -1;
  for (let k = 0; k <= recording.rows; k++) {
    const quiet = k < recording.rows && phases.phase[k] === IDLE && busy[k] === 0;
    if (quiet && from < 0) from = k;
    if (!quiet && from >= 0) {
      if (k - from >= rowsOf(leastS)) found.push([from, k]);
      from = -1;
    }
  }
  return found;
}

interface Part {
  /** Amplitude of the wave and its angle against the error's, degrees; share of the signal's movement that goes with the error. */
  readonly amplitude: number;
  readonly angle: number;
  readonly share: number;
}

/** The wave of a few cycles: roughness makes an idle's phase wander, so that a long stretch is no sine. */
function waveOf(values: Float64Array, cyclesPerRow: number): { readonly re: number; readonly im: number; readonly power: number } {
  const drift = fitWave(values, 0, 0).residual;
  const { cos, sin } = fitWave(values, cyclesPerRow, 1);
  return { re: cos[0] as number, im: -(sin[0] as number), power: (2 * drift) / values.length };
}

const CYCLES = 3;

/** A signal's wave against that of the error, over pieces of three cycles each. */
function partOf(values: Float64Array | null, error: Float64Array, cyclesPerRow: number): Part | null {
  if (values === null || values.some((v) => Number.isNaN(v))) return null;
  const piece = Math.min(values.length, Math.max(8, Math.round(CYCLES / cyclesPerRow)));
  let [re, im, ee, cc, power] = [0, 0, 0, 0, 0];
  for (let from = 0; from + piece <= values.length; from += piece) {
    const [own, e] = [waveOf(values.subarray(from, from + piece), cyclesPerRow), waveOf(error.subarray(from, from + piece), cyclesPerRow)];
    // against −error, which is target less speed
    re -= own.re * e.re + own.im * e.im;
    im -= own.im * e.re - own.re * e.im;
    ee += e.re ** 2 + e.im ** 2;
    cc += own.re ** 2 + own.im ** 2;
    power += own.power;
  }
  if (!(ee > 0 && power > 0)) return { amplitude: 0, angle: 0, share: 0 };
  const pieces = Math.floor(values.length / piece);
  return { amplitude: Math.sqrt(cc / pieces), angle: (Math.atan2(im, re) * 180) / Math.PI, share: (re * re + im * im) / (ee * power) };
}

interface Blame {
  readonly cause: Cause;
  readonly confidence: number;
  readonly told: string;
  readonly rivals: readonly Cause[];
}

function blame(subject: Subject, from: number, to: number, hz: number): Blame {
  const { recording, phases } = subject;
  const { air, sparkDeg, airUnit, periodS } = recording;
  const error = phases.error.slice(from, to);
  const cycles = hz * periodS;
  const [airPart, sparkPart] = [partOf(air?.subarray(from, to) ?? null, error, cycles), partOf(sparkDeg?.subarray(from, to) ?? null, error, cycles)];
  const lag = 1 / Math.sqrt(1 + (2 * Math.PI * hz * MANIFOLD_S) ** 2);
  const hold = Number.isFinite(subject.holdAir) && subject.holdAir > 0 ? subject.holdAir : 1;
  const airTorque = airPart === null || airPart.share < TAKES_PART ? 0 : (airPart.amplitude / hold) * lag;
  const sparkTorque = sparkPart === null || sparkPart.share < TAKES_PART ? 0 : sparkPart.amplitude * PER_DEGREE;
  if (air !== null && airUnit === 'step') {
    const part = air.slice(from, to);
    const steps = Math.round(quantile(part, 0.95) - quantile(part, 0.05));
    if (steps >= 1 && steps <= MOST_STEPS && sparkTorque < 0.03) {
      return { cause: 'stepper-limit-cycle', confidence: 0.9, rivals: ['air-integral-hunting'], told: `the command goes to and fro by ${steps} ${steps === 1 ? 'step' : 'steps'}` };
    }
  }
  if (airTorque === 0 && sparkTorque === 0) {
    if (air === null && sparkDeg === null) {
      const fast = hz > 1.2;
      return { cause: fast ? 'spark-hunting' : 'air-integral-hunting', confidence: 0.4, rivals: [fast ? 'air-proportional-hunting' : 'engine-hunting'], told: 'neither air command nor spark is recorded; judged by its frequency alone' };
    }
    return { cause: 'engine-hunting', confidence: 0.6, rivals: [], told: 'neither air nor spark swings with it' };
  }
  if (sparkTorque > airTorque) {
    const against = Math.abs((sparkPart as Part).angle) < 75;
    return { cause: 'spark-hunting', confidence: against ? 0.9 : 0.6, rivals: ['air-proportional-hunting'], told: `spark swings by ±${(sparkPart as Part).amplitude.toFixed(1)}° with it, worth more torque than the air` };
  }
  const { angle, amplitude } = airPart as Part;
  const told = `air swings by ±${airText(amplitude, airUnit)}, ${Math.abs(Math.round(angle))}° ${angle < 0 ? 'behind' : 'ahead of'} the speed error`;
  if (angle < BEHIND) return { cause: 'air-integral-hunting', confidence: angle < -45 ? 0.9 : 0.7, rivals: ['air-proportional-hunting'], told };
  if (angle > AHEAD) return { cause: 'air-derivative-hunting', confidence: angle > 45 ? 0.85 : 0.65, rivals: ['air-proportional-hunting'], told };
  return { cause: 'air-proportional-hunting', confidence: Math.abs(angle) < 20 ? 0.85 : 0.65, rivals: ['air-integral-hunting', 'air-derivative-hunting'], told };
}

/** Every oscillation that is sustained and larger than the limit, the largest of each cause; and a spark that is too busy for the rows to show why. */
export function findOscillations(subject: Subject): readonly Finding[] {
  const { recording, limits, timeOf } = subject;
  const best = new Map<Cause, Finding>();
  for (const [from, to] of quietStretches(subject)) {
    const wave = sustainedWave(subject.phases.error.slice(from, to), recording.periodS, 3 * limits.huntingRpm);
    if (wave === null) {
      const cycle = stepCycle(subject, from, to);
      if (cycle !== null && cycle.size > (best.get('stepper-limit-cycle')?.size ?? 0)) best.set('stepper-limit-cycle', cycle);
      continue;
    }
    const { peakToPeakRpm: size, hz } = wave;
    const ratio = size / limits.huntingRpm;
    if (ratio < 1) continue;
    const { cause, confidence, told, rivals } = blame(subject, from, to, hz);
    if ((best.get(cause)?.size ?? 0) >= ratio) continue;
    const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
    best.set(cause, {
      cause, load: null, fromS, toS, size: ratio, confidence, rivals,
      evidence: [`${rpm(size)} peak to peak at ${hz.toFixed(2)} Hz from ${atS(fromS)} to ${atS(toS)}`, told],
    });
  }
  if (best.size === 0) {
    const busy = busySpark(subject);
    if (busy !== null) return [busy];
  }
  return [...best.values()];
}

/** A stepper that turns back again and again within a few steps, however uneven its rhythm: roughness sets off each turn. */
function stepCycle({ recording: { air, airUnit }, phases: { error }, limits, rowsOf, timeOf }: Subject, from: number, to: number): Finding | null {
  if (air === null || airUnit !== 'step') return null;
  const part = air.slice(from, to);
  const steps = Math.round(quantile(part, 0.98) - quantile(part, 0.02));
  if (steps < 1 || steps > MOST_STEPS) return null;
  const turns: number[] = [];
  let way = 0;
  for (let k = from + 1; k < to; k++) {
    const now = Math.sign((air[k] as number) - (air[k - 1] as number));
    if (now === 0) continue;
    if (way !== 0 && now !== way) turns.push(k);
    way = now;
  }
  if (turns.length < LEAST_TURNS) return null;
  const half = rowsOf(0.2);
  const swings = turns.slice(1).map((k, i) => {
    let [low, high] = [Infinity, -Infinity];
    for (let row = turns[i] as number; row <= k; row++) {
      const e = meanOf(error, row - half, row + half + 1);
      [low, high] = [Math.min(low, e), Math.max(high, e)];
    }
    return high - low;
  });
  const swing = quantile(Float64Array.from(swings), 0.5);
  if (swing < limits.huntingRpm) return null;
  const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
  return {
    cause: 'stepper-limit-cycle', load: null, fromS, toS, size: swing / limits.huntingRpm, confidence: 0.8, rivals: ['air-integral-hunting'],
    evidence: [`${rpm(swing)} peak to peak, from ${atS(fromS)} to ${atS(toS)}`, `the command turns back ${turns.length} times within ${steps} ${steps === 1 ? 'step' : 'steps'}, every ${((toS - fromS) / turns.length).toFixed(1)} s or so`],
  };
}

/** Spark that swings against the speed, however small the swing of the speed that is left. */
function busySpark(subject: Subject): Finding | null {
  const { recording: { sparkDeg }, phases: { error }, timeOf } = subject;
  if (sparkDeg === null) return null;
  let worst: Finding | null = null;
  for (const [from, to] of quietStretches(subject)) {
    const [s, e] = [sparkDeg.slice(from, to), error.slice(from, to)];
    const [ms, me] = [meanOf(s, 0, s.length), meanOf(e, 0, e.length)];
    let [ss, se, ee] = [0, 0, 0];
    s.forEach((v, k) => {
      const [a, b] = [v - ms, (e[k] as number) - me];
      if (!Number.isNaN(a)) [ss, se, ee] = [ss + a * a, se + a * b, ee + b * b];
    });
    const rms = Math.sqrt(ss / s.length);
    const size = rms / BUSY_DEG;
    if (size < 1 || se > -AGAINST * Math.sqrt(ss * ee) || (worst !== null && worst.size >= size)) continue;
    const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
    worst = {
      cause: 'spark-hunting', load: null, fromS, toS, size, confidence: 0.7, rivals: ['air-proportional-hunting'],
      evidence: [`spark goes to and fro by ${rms.toFixed(1)}° root mean square from ${atS(fromS)} to ${atS(toS)}, against the speed`, `the speed by ${rpm(Math.sqrt(ee / s.length))} root mean square; its rhythm is too fast or too rough for these rows`],
    };
  }
  return worst;
}
