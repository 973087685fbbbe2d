/**
 * Which part of the loop makes an oscillation. Air, spark and speed are fitted with its wave. What a controller does to its
 * error e = target − speed at frequency f is its transfer function: a proportional gain answers in phase, an integral a quarter
 * turn behind, a derivative ahead (K. J. Åström and R. M. Murray, Feedback Systems, 2008, ch. 10). Which of air and spark
 * drives is judged by the torque that each swings: a degree of spark is worth about a hundredth of the torque, and air acts
 * through the manifold, whose lag of about a fifth of a second takes the fast part off (assumed, common practice).
 */
import { airText, type Cause } from './finding.js';
import { quantile } from './recording.js';
import type { Subject } from './subject.js';
import { type Part, partOf } from './wave-parts.js';

const MANIFOLD_S = 0.2;
const PER_DEGREE = 0.011;
/** A command takes part when its wave is this much of its own movement. */
const TAKES_PART = 0.2;
/** Angle of the air's wave against the error's, degrees, beyond which integral or derivative outweigh the proportional part. */
const [BEHIND, AHEAD] = [-25, 28];
/** Most steps, peak to peak, of a limit cycle about one or two of them. */
export const MOST_STEPS = 4.5;

export interface Blame {
  readonly cause: Cause;
  readonly confidence: number;
  readonly told: string;
  readonly rivals: readonly Cause[];
}

/** @param from, to rows of plain idling  @param hz frequency of the wave in them */
export function blame(subject: Subject, from: number, to: number, hz: number): Blame {
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
