/**
 * The limit cycle of a stepper, however uneven its rhythm: roughness sets off each turn.
 *
 * On a rough engine a good stepper turns back now and then as well, for the integral follows the roughness; but then a step moves
 * the speed by less than its dead band. What tells them apart is how much of the speed's movement goes with the steps. Were
 * the command a square wave of half height a, its fundamental would be 4a/π, and a speed that follows it as a sine would have
 * a covariance of A·(4a/π)/2 with it, so that the speed's swing is 2A = π·cov/a, with a the command's own scatter.
 */
import { atS, type Finding, rpm } from './finding.js';
import { MOST_STEPS } from './blame.js';
import { quietStretches } from './quiet.js';
import { meanOf, quantile } from './recording.js';
import type { Subject } from './subject.js';

/** Plain idling of this length is wanted, so long after an event, s: a stepper goes on stepping after one. */
const [LEAST_S, AFTER_S] = [8, 4];
/** Turns of the command that are more than chance, and how long one lasts at most, s. */
const LEAST_TURNS = 4;
const TURN_S = 5;
/** The speed follows a step after a time between these, s: manifold and inertia. Common practice, no source. */
const [SOONEST_S, LATEST_S] = [0.3, 1.3];
/** Beyond the limit by so much: a few steps are few to judge by. */
const PLAIN = 1.1;

/** Swing of the speed that goes with the steps of the command, rpm peak to peak; 0 where it does not follow them. */
function steppedSwing(air: Float64Array, error: Float64Array, rowsOf: (s: number) => number): number {
  const [middle, level] = [meanOf(air, 0, air.length), meanOf(error, 0, error.length)];
  const power = air.reduce((sum, a) => sum + (a - middle) ** 2, 0) / air.length;
  let [best, at] = [0, 0];
  for (let lag = 0; lag <= rowsOf(LATEST_S + 0.3); lag++) {
    let sum = 0;
    for (let k = 0; k + lag < air.length; k++) sum += ((air[k] as number) - middle) * ((error[k + lag] as number) - level);
    if (sum > best) [best, at] = [sum, lag];
  }
  return power > 0 && at >= rowsOf(SOONEST_S) && at <= rowsOf(LATEST_S) ? (Math.PI * best) / (air.length - at) / Math.sqrt(power) : 0;
}

function turnsOf(air: Float64Array): number {
  let [way, turns] = [0, 0];
  for (let k = 1; k < air.length; k++) {
    const now = Math.sign((air[k] as number) - (air[k - 1] as number));
    if (now === 0 || Number.isNaN(now)) continue;
    if (way !== 0 && now !== way) turns++;
    way = now;
  }
  return turns;
}

/** The largest that there is, or null. */
export function stepCycle(subject: Subject): Finding | null {
  const { recording: { air, airUnit, periodS }, phases: { error }, limits, rowsOf, timeOf } = subject;
  if (air === null || airUnit !== 'step') return null;
  let worst: Finding | null = null;
  for (const [from, to] of quietStretches(subject, LEAST_S, AFTER_S)) {
    const part = air.slice(from, to);
    const steps = Math.round(quantile(part, 0.98) - quantile(part, 0.02));
    const turns = turnsOf(part);
    const lastsS = (to - from) * periodS;
    if (steps < 1 || steps > MOST_STEPS || turns < Math.max(LEAST_TURNS, lastsS / TURN_S)) continue;
    const swing = steppedSwing(part, error.slice(from, to), rowsOf);
    const size = swing / limits.huntingRpm;
    if (size < PLAIN || (worst !== null && worst.size >= size)) continue;
    const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
    worst = {
      cause: 'stepper-limit-cycle', load: null, fromS, toS, size, confidence: 0.8, rivals: ['air-integral-hunting'],
      evidence: [`${rpm(swing)} peak to peak with the steps, from ${atS(fromS)} to ${atS(toS)}`, `the command turns back ${turns} times within ${steps} ${steps === 1 ? 'step' : 'steps'}, every ${(lastsS / turns).toFixed(1)} s or so`],
    };
  }
  return worst;
}
