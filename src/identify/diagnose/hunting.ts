/** Oscillations that are sustained: `sustainedWave` finds them, `blame` says which part of the loop makes them. */
import { blame } from './blame.js';
import { busySpark } from './busy-spark.js';
import { atS, type Cause, type Finding, rpm } from './finding.js';
import { quietStretches } from './quiet.js';
import { stepCycle } from './step-cycle.js';
import type { Subject } from './subject.js';
import { sustainedWave } from './wave.js';
import { thirdHarmonic } from './wave-parts.js';

/** Third harmonic over the fundamental from which on a load comes and goes: loops that hunt have 0.06 at the most, loads 0.45 and more. */
const KICKED = 0.25;
/** Rows to a period from which on a third harmonic shows. */
const LEAST_ROWS = 10;

/** Whether a load that comes and goes makes the swing: then it is no fault of the loop. */
const comesAndGoes = ({ recording: { periodS }, phases: { error } }: Subject, from: number, to: number, hz: number): boolean =>
  hz * periodS * LEAST_ROWS < 1 && thirdHarmonic(error.slice(from, to), hz * periodS) > KICKED;

/** Every oscillation that is sustained and larger than the limit, the largest of each cause; and a spark that is too busy for the rows to show why. */
export function findOscillations(subject: Subject): readonly Finding[] {
  const { recording, limits, timeOf } = subject;
  const best = new Map<Cause, Finding>();
  for (const [from, to] of quietStretches(subject)) {
    const wave = sustainedWave(subject.phases.error.slice(from, to), recording.periodS, 3 * limits.huntingRpm);
    if (wave === null) continue;
    const { peakToPeakRpm: size, hz } = wave;
    const ratio = size / limits.huntingRpm;
    if (ratio < 1 || comesAndGoes(subject, from, to, hz)) continue;
    const { cause, confidence, told, rivals } = blame(subject, from, to, hz);
    if ((best.get(cause)?.size ?? 0) >= ratio) continue;
    const [fromS, toS] = [timeOf(from), timeOf(to - 1)];
    best.set(cause, {
      cause, load: null, fromS, toS, size: ratio, confidence, rivals,
      evidence: [`${rpm(size)} peak to peak at ${hz.toFixed(2)} Hz from ${atS(fromS)} to ${atS(toS)}`, told],
    });
  }
  const cycle = stepCycle(subject);
  if (cycle !== null && cycle.size > (best.get('stepper-limit-cycle')?.size ?? 0)) best.set('stepper-limit-cycle', cycle);
  if (best.size === 0) {
    const busy = busySpark(subject);
    if (busy !== null) return [busy];
  }
  return [...best.values()];
}
