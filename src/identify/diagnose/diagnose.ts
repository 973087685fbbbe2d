/**
 * Symptoms of a recording, the likeliest cause first.
 *
 *     1. sensors       what no engine can do is told and taken out
 *     2. phases        engine off, starter, driver, return, idle; and events
 *     3. detectors     each on its own, so that two causes at once are both found
 *     4. consequences  what one finding explains of another is taken off the list
 *     5. order         by how far beyond its limit, causes that spoil all else first
 */
import { eventsOf, type LogEvent } from './events.js';
import type { Cause, Finding } from './finding.js';
import { findOscillations } from './hunting.js';
import { SYMPTOM_LIMITS, type SymptomLimits } from './limits.js';
import { findLoads } from './loads.js';
import { CRANKING, DRIVER, IDLE, phasesOf } from './phases.js';
import { quantile, type Recording, timeAt } from './recording.js';
import { findReturns } from './returns.js';
import { findSensors, speedSpikes, withoutSpikes } from './sensors.js';
import { findStanding } from './standing.js';
import { findStarts } from './starts.js';
import { subjectOf } from './subject.js';

export interface IdleStretch {
  readonly fromS: number;
  readonly toS: number;
}

export interface Diagnosis {
  readonly name: string;
  readonly findings: readonly Finding[];
  readonly idle: readonly IdleStretch[];
  readonly idleS: number;
  readonly durationS: number;
  /** Middle speed and target of the idling, rpm; null without any. */
  readonly idleRpm: number | null;
  readonly events: readonly { readonly kind: string; readonly name: string; readonly atS: number }[];
  /** What could not be looked for, and why. */
  readonly unseen: readonly string[];
}

/** Causes that spoil what others are judged by: 0 first. */
const RANK: Readonly<Partial<Record<Cause, number>>> = {
  'speed-sensor': 0, 'coolant-sensor': 0, 'map-sensor': 0,
  'clamp-high': 1, 'clamp-low': 1, 'entry-driving': 1, 'entry-never': 1,
  'air-integral-hunting': 2, 'air-proportional-hunting': 2, 'air-derivative-hunting': 2, 'spark-hunting': 2, 'stepper-limit-cycle': 2, 'engine-hunting': 2,
};

const HUNTS = /hunting|limit-cycle/;
const overlap = (a: Finding, b: Finding, slackS: number): boolean => a.fromS <= b.toS + slackS && b.fromS <= a.toS + slackS;

/** Whether `other` explains `finding`: a symptom of the same time, and no more than what the other brings with it. */
function explains(other: Finding, finding: Finding): boolean {
  if (other === finding) return false;
  const [why, what] = [other.cause, finding.cause];
  if (why === 'coolant-sensor') return /dead-band|sluggish|base|after-start|clamp|entry-never/.test(what) && overlap(other, finding, 8);
  if (HUNTS.test(why)) return /sluggish|dead-band|return-air|clamp|engine-hunting/.test(what) || (what === 'entry-never' && why !== 'engine-hunting') || (HUNTS.test(what) && finding.size < other.size) || (/load|return|start/.test(what) && finding.size < 1 + 0.6 * other.size);
  if (why === 'entry-driving') return /return/.test(what);
  if (why === 'entry-never') return other.size > 0 && /load|sluggish|return-hang|dead-band|clamp/.test(what) && overlap(other, finding, 12);
  if (why === 'clamp-high') return /load|sluggish|return-air|base-\w+-small|after-start-small/.test(what) && overlap(other, finding, 12);
  if (why === 'clamp-low') return /return-hang|sluggish|base-\w+-large/.test(what) && overlap(other, finding, 30);
  if (/^base|^after-start/.test(why)) return /sluggish|entry-never|dead-band/.test(what) && overlap(other, finding, 1);
  if (why === 'return-hang') return /sluggish|dead-band/.test(what) && overlap(other, finding, 15);
  if (/^load/.test(why)) return what === 'loop-sluggish' && finding.size < 2;
  if (why === 'loop-sluggish') return what === 'dead-band-wide' || (/load/.test(what) && other.size > 1.4 && finding.size < 1.4);
  return false;
}

/** @param recording e.g. of `recordingsOfLog` or `recordingOfTrace` */
export function diagnose(recording: Recording, limits: SymptomLimits = SYMPTOM_LIMITS): Diagnosis {
  const spike = speedSpikes(recording);
  const clean = withoutSpikes(recording, spike);
  const phases = phasesOf(clean);
  const events = eventsOf(clean, phases);
  const subject = subjectOf(clean, phases, events, limits);
  const all = [
    ...findSensors(clean, phases, spike, recording.speedRpm),
    ...findOscillations(subject), ...findLoads(subject), ...findReturns(subject), ...findStarts(subject), ...findStanding(subject),
  ];
  const left = all.filter((finding) => !all.some((other) => explains(other, finding) && !explains(finding, other)));
  const findings = [...left].sort((a, b) => (RANK[a.cause] ?? 3) - (RANK[b.cause] ?? 3) || b.size * b.confidence - a.size * a.confidence);
  return { name: recording.name, findings, ...about(clean, phases.phase, events), unseen: unseenIn(clean, phases.phase) };
}

function about(recording: Recording, phase: Uint8Array, events: readonly LogEvent[]): Pick<Diagnosis, 'idle' | 'idleS' | 'durationS' | 'idleRpm' | 'events'> {
  const idle: IdleStretch[] = [];
  let from = -1;
  for (let k = 0; k <= recording.rows; k++) {
    const idles = k < recording.rows && phase[k] === IDLE;
    if (idles && from < 0) from = k;
    if (!idles && from >= 0) {
      if ((k - from) * recording.periodS >= 1) idle.push({ fromS: timeAt(recording, from), toS: timeAt(recording, k - 1) });
      from = -1;
    }
  }
  const middle = quantile(recording.speedRpm.map((n, k) => (phase[k] === IDLE ? n : Number.NaN)), 0.5);
  return {
    idle, idleS: idle.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0), durationS: recording.rows * recording.periodS,
    idleRpm: !Number.isNaN(middle) ? middle : null, events: events.map(({ kind, name, row }) => ({ kind, name, atS: timeAt(recording, row) })),
  };
}

function unseenIn(recording: Recording, phase: Uint8Array): string[] {
  const { air, sparkDeg, throttlePct, vehicleKmh, clutch, loads, targetRpm, coolantC, periodS } = recording;
  return [
    ...(periodS > 0.11 ? [`rows every ${periodS.toFixed(2)} s: swings faster than ${(1 / (4 * periodS)).toFixed(1)} Hz, and what a load does in its first moments, cannot be told`] : []),
    ...(targetRpm === null ? ['no target speed: taken as the middle speed of the idling'] : []),
    ...(air === null ? ['no air command: hunting is told by its frequency alone; limits, dead band and an open loop cannot be told'] : []),
    ...(sparkDeg === null ? ['no spark: a spark loop is told by its frequency alone'] : []),
    ...(throttlePct === null ? ['no throttle: a return is told by its speed alone'] : []),
    ...(phase.includes(DRIVER) && vehicleKmh === null ? ['no vehicle speed: coasting and free-revs look alike'] : []),
    ...(vehicleKmh !== null && clutch === null ? ['no clutch: a rolling car above idle is taken to be in gear'] : []),
    ...(loads.length === 0 ? ['no loads: their air and lead cannot be judged'] : []),
    ...(coolantC === null ? ['no coolant: hot and cold cannot be told apart'] : []),
    ...(phase.includes(CRANKING) ? [] : ['no start in it']),
    ...(phase.includes(DRIVER) ? [] : ['no return to idle in it']),
  ];
}
