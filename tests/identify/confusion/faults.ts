/**
 * The faults that are planted. Each is one number of the scenario, moved from healthy (0) towards worse (1), and breaks a stated
 * limit of its drill; how far it must be moved for that is found by search on a smooth engine.
 */
import type { Trace } from '../../../src/loop/trace.js';
import type { Cause, Recording } from '../../../src/identify/diagnose/index.js';
import type { DrillName } from './drills.js';
import type { Healthy } from './engines.js';

export interface Fault {
  readonly name: string;
  readonly cause: Cause;
  readonly drill: DrillName;
  /** A stepper of so many steps in place of the solenoid. */
  steps?(healthy: Healthy, x: number): number;
  /** Searched on a rough engine: a smooth one may rest just outside an entry window. */
  readonly rough?: true;
  /** Settings in place of the healthy ones, `key=value` a line. */
  set(healthy: Healthy, x: number): string;
  /** What is limited, measured on the run; `limit` in the same unit. */
  measure(trace: Trace, healthy: Healthy): number;
  readonly limit: number;
  readonly limitText: string;
  /** A fault of the recorder instead: what it does to a recording, by severity 0, 1, 2. */
  spoil?(recording: Recording, severity: number, seed: number): Recording;
}

const rows = (trace: Trace, fromS: number, toS: number): readonly [number, number] => [Math.round(fromS / trace.recordS), Math.min(trace.rows, Math.round(toS / trace.recordS))];
function error(trace: Trace, fromS: number, toS: number): number[] {
  if (trace.stalled && (trace.stallTimeS ?? 0) < toS) return [-1e4, 1e4];
  const [from, to] = rows(trace, fromS, toS);
  const { speedRpm, targetRpm } = trace.columns;
  const out: number[] = [];
  for (let k = from; k < to; k++) out.push((speedRpm[k] as number) - (targetRpm[k] as number));
  return out;
}
const sag = (trace: Trace, fromS: number, toS: number): number => -Math.min(0, ...error(trace, fromS, toS));
const flare = (trace: Trace, fromS: number, toS: number): number => Math.max(0, ...error(trace, fromS, toS));
const swing = (trace: Trace, fromS: number, toS: number): number => sag(trace, fromS, toS) + flare(trace, fromS, toS);
const offset = (trace: Trace, fromS: number, toS: number): number => {
  const e = error(trace, fromS, toS);
  if (trace.stalled) return 1e4;
  return Math.abs(e.reduce((sum, v) => sum + v, 0) / e.length);
};
function outsideS(trace: Trace, fromS: number, toS: number): number {
  const e = error(trace, fromS, toS);
  let last = e.length - 1;
  while (last >= 0 && Math.abs(e[last] as number) <= 25) last--;
  return e.length === 2 ? 60 : (last + 1) * trace.recordS;
}
function hangs(trace: Trace, fromS: number, toS: number): number {
  const [from, to] = rows(trace, fromS, toS);
  const { speedRpm, targetRpm, throttlePct } = trace.columns;
  const second = Math.round(1 / trace.recordS);
  let [run, most] = [0, 0];
  for (let k = from + second; k < to; k++) {
    const hung = (throttlePct[k - second] as number) < 1 && (speedRpm[k] as number) > (targetRpm[k] as number) + 50 && (speedRpm[k - second] as number) - (speedRpm[k] as number) < 60;
    run = hung ? run + 1 : 0;
    most = Math.max(most, run);
  }
  return most === 0 ? 0 : most * trace.recordS + 1;
}

/** Area above target from 1.5 s after the catch on, rpm·s. */
function aboveS(trace: Trace, toS: number): number {
  const caught = trace.columns.speedRpm.subarray(0, trace.rows).findIndex((n) => n > 420) * trace.recordS;
  return error(trace, caught + 1.5, toS).reduce((sum, e) => sum + Math.max(0, e) * trace.recordS, 0);
}

/** A light crank cycles more on a quicker integral, a heavy one on coarser steps. */
const isLight = ({ name }: Healthy): boolean => name === 'three' || name === 'four';
const stepsOf = (h: Healthy, x: number): number => (isLight(h) ? 70 : Math.round(200 * 0.2 ** x));

const up = (value: number, factor: number, x: number): string => (value * factor ** x).toPrecision(6);
const part = (value: number, least: number, x: number): string => (value + (least - value) * x).toPrecision(6);

const hunting = { drill: 'steady', measure: (trace: Trace) => swing(trace, 22, 34), limit: 40, limitText: 'hunting 40 rpm peak to peak' } as const;

export const FAULTS: readonly Fault[] = [
  { name: 'integral gain too large', cause: 'air-integral-hunting', ...hunting, set: ({ gains }, x) => `controller.pid.ki=${up(gains.ki, 12, x)}` },
  { name: 'proportional gain too large', cause: 'air-proportional-hunting', ...hunting, set: ({ gains }, x) => `controller.pid.kp=${up(gains.kp, 30, x)}` },
  { name: 'derivative gain too large', cause: 'air-derivative-hunting', ...hunting, set: ({ gains }, x) => `controller.pid.kd=${up(gains.kd, 30, x)}` },
  { name: 'spark rate too large', cause: 'spark-hunting', ...hunting, set: (_, x) => `controller.spark.rate=${up(0.02, 250, x)}\ncontroller.spark.authority=25` },
  { name: 'stepper without dead band', cause: 'stepper-limit-cycle', ...hunting, drill: 'long', measure: (trace) => swing(trace, 30, 60), steps: stepsOf, set: (h, x) => `controller.pid.deadBand=0\ncontroller.pid.ki=${h.gains.ki * (stepsOf(h, x) / 84) * (isLight(h) ? 1 + 2.5 * x : 1)}` },
  {
    name: 'load air too small', cause: 'load-air-small', drill: 'loads', limit: 1, limitText: 'sag 120 rpm or flare 150 rpm with the load',
    set: ({ loadAir }, x) => `controller.loads.0.air=${part(loadAir, 0, x)}`, measure: (trace) => Math.max(sag(trace, 5, 13) / 120, flare(trace, 13, 21) / 150),
  },
  {
    name: 'load air too large', cause: 'load-air-large', drill: 'loads', limit: 1, limitText: 'flare 150 rpm or sag 120 rpm with the load',
    set: ({ loadAir }, x) => `controller.loads.0.air=${part(loadAir, loadAir * 4, x)}`, measure: (trace) => Math.max(flare(trace, 5, 13) / 150, sag(trace, 13, 21) / 120),
  },
  {
    name: 'lead missing', cause: 'load-lead-short', drill: 'loads', limit: 120, limitText: 'sag 120 rpm with the load',
    set: ({ torque }, x) => `controller.loads.0.lead=${part(0.2, 0, Math.min(1, 3 * x))}\ndrill.events.0.torque=${torque * (1 + x)}\ncontroller.loads.0.air=LOAD*${1 + x}`,
    measure: (trace) => sag(trace, 5, 13),
  },
  {
    name: 'lead too long', cause: 'load-lead-long', drill: 'loads', limit: 1, limitText: 'flare 150 rpm or sag 120 rpm with the load',
    set: (_, x) => `controller.loads.0.lead=${part(0.2, 2.6, x)}`, measure: (trace) => Math.max(flare(trace, 5, 13) / 150, sag(trace, 5, 13) / 120),
  },
  {
    name: 'gains too low', cause: 'loop-sluggish', drill: 'loads', limit: 6, limitText: 'settled within 6 s of a load',
    set: ({ gains }, x) => `controller.pid.ki=${up(gains.ki, 0.08, x)}\ncontroller.pid.kp=${up(gains.kp, 0.3, x)}`, measure: (trace) => Math.max(outsideS(trace, 21, 32), outsideS(trace, 32, 44)),
  },
  {
    name: 'dead band too wide', cause: 'dead-band-wide', drill: 'loads', limit: 30, limitText: 'within 30 rpm of target before the next event',
    set: (_, x) => `controller.pid.deadBand=${part(0, 160, x)}`, measure: (trace) => Math.max(offset(trace, 10, 13), offset(trace, 18, 21), offset(trace, 28, 32), offset(trace, 40, 44)),
  },
  {
    name: 'entry window too wide', cause: 'return-wind-down', drill: 'free', limit: 150, limitText: 'sag 150 rpm below target on a return',
    set: ({ gains }, x) => `controller.entry.window=${part(150, 2600, Math.min(1, 2 * x))}\ncontroller.pid.ki=${up(gains.ki, 1.8, x)}\ncontroller.clamp.lowest=0`, measure: (trace) => sag(trace, 4, 29),
  },
  {
    name: 'dashpot too long', cause: 'return-hang', drill: 'free', limit: 3, limitText: 'hangs above target no longer than 3 s',
    set: ({ hot }, x) => `controller.openAir.dashpotTime=${up(0.8, 16, x)}\ncontroller.openAir.dashpot=${part(hot * 0.3, hot * 0.6, Math.min(1, 2 * x))}\ncontroller.openAir.fade=8`, measure: (trace) => hangs(trace, 4, 29),
  },
  {
    name: 'loop held open', cause: 'entry-never', drill: 'loads', limit: 30, limitText: 'within 30 rpm of target before the next event',
    set: ({ hot }, x) => `controller.hold=${part(hot, hot * 1.4, x)}`, measure: (trace) => offset(trace, 2, 5),
  },
  {
    name: 'loop open while rolling', cause: 'entry-never', drill: 'rolling', limit: 30, limitText: 'within 30 rpm of target 4 s after a load',
    set: ({ torque }, x) => `controller.entry.driven=stationary\ndrill.events.0.torque=${torque * (0.04 + 1.5 * x)}`, measure: (trace) => offset(trace, 9, 12),
  },
  {
    name: 'loop closes while driving', cause: 'entry-driving', drill: 'overrun', limit: 150, limitText: 'sag 150 rpm below target after the clutch',
    set: ({ hot }, x) => `controller.entry.driven=ignored\ncontroller.entry.window=4000\ncontroller.clamp.lowest=${part(hot, 0, x)}`, measure: (trace) => sag(trace, 7, 20),
  },
  {
    name: 'upper limit too low', cause: 'clamp-high', drill: 'loads', limit: 30, limitText: 'within 30 rpm of target before the next event',
    set: ({ hot, loadAir }, x) => `controller.clamp.highest=${part(hot + loadAir * 1.02, hot + loadAir * 0.25, x)}`, measure: (trace) => offset(trace, 10, 13),
  },
  {
    name: 'lower limit too high', cause: 'clamp-low', drill: 'loads', limit: 30, limitText: 'within 30 rpm of target at rest',
    set: ({ hot }, x) => `controller.clamp.lowest=${part(hot * 0.98, hot * 1.4, x)}`, measure: (trace) => offset(trace, 2, 5),
  },
  { name: 'base too small hot', cause: 'base-hot-small', drill: 'hot', rough: true, limit: 150, limitText: 'sag 150 rpm after the start', set: (h, x) => baseOf(h, 'hot', 1 - 0.6 * x), measure: (trace) => sag(trace, 3.5, 28) },
  { name: 'base too large hot', cause: 'base-hot-large', drill: 'hot', rough: true, limit: 420, limitText: 'area above target no more than 420 rpm·s from 1.5 s after the catch on', set: (h, x) => baseOf(h, 'hot', 1 + 1.2 * x), measure: (trace) => aboveS(trace, 28) },
  { name: 'base too small cold', cause: 'base-cold-small', drill: 'cold', rough: true, limit: 150, limitText: 'sag 150 rpm after the start', set: (h, x) => baseOf(h, 'cold', 1 - 0.6 * x), measure: (trace) => sag(trace, 4, 34) },
  { name: 'base too large cold', cause: 'base-cold-large', drill: 'cold', rough: true, limit: 420, limitText: 'area above target no more than 420 rpm·s from 1.5 s after the catch on', set: (h, x) => baseOf(h, 'cold', 1 + 1.2 * x), measure: (trace) => aboveS(trace, 34) },
  {
    name: 'too much air after start', cause: 'after-start-large', drill: 'hot', rough: true, limit: 420, limitText: 'area above target no more than 420 rpm·s from 1.5 s after the catch on',
    set: ({ hot }, x) => `controller.start.after.0.1=0\ncontroller.start.after.1.1=${part(hot * 0.1, hot * 1.5, x)}\ncontroller.start.duration.1.1=5`, measure: (trace) => aboveS(trace, 28),
  },
];

const never = (): number => 0;
const spoiled = { set: () => '', measure: never, limit: 0 } as const;

/** Faults of the recorder's sensors. */
export const SENSOR_FAULTS: readonly Fault[] = [
  {
    name: 'speed drops out', cause: 'speed-sensor', drill: 'loads', ...spoiled, limitText: 'no jump of the speed beyond 30 % between readings',
    spoil: (recording, severity, seed) => {
      const speedRpm = recording.speedRpm.slice();
      for (let i = 0; i <= 2 * severity; i++) speedRpm[Math.round((3 + ((seed * 2.7 + i * 5.3) % 24)) / recording.periodS)]! *= [0.6, 0.3, 0][severity] as number;
      return { ...recording, speedRpm };
    },
  },
  {
    name: 'coolant jumps', cause: 'coolant-sensor', drill: 'loads', ...spoiled, limitText: 'coolant moves no more than 4 °C in a second',
    spoil: (recording, severity, seed) => {
      const from = Math.round((3 + seed * 3.1) / recording.periodS);
      return { ...recording, coolantC: (recording.coolantC as Float64Array).map((c, k) => (k >= from && k < from + Math.round(4 / recording.periodS) ? c - (5.5 + 10 * severity) : c)) };
    },
  },
  {
    name: 'manifold pressure sticks', cause: 'map-sensor', drill: 'loads', ...spoiled, limitText: 'pressure follows the air',
    spoil: (recording, severity, seed) => {
      const from = Math.round((17.5 + 0.3 * seed) / recording.periodS);
      const stuck = (recording.mapKpa as Float64Array)[from] as number;
      return { ...recording, mapKpa: (recording.mapKpa as Float64Array).map((p, k) => (k >= from && k < from + Math.round((6 + 3 * severity) / recording.periodS) ? stuck : p)) };
    },
  },
];

/** The base table with one end of it wrong. Points of the healthy one: −10, 0, 20, 40, 60, 80 °C. */
function baseOf({ base }: Healthy, end: 'hot' | 'cold', factor: number): string {
  return base.map(([coolant, air], i) => (end === 'hot' ? coolant >= 60 : coolant <= 20) ? `controller.base.${i}.1=${(air * factor).toPrecision(5)}` : '').filter((line) => line !== '').join('\n');
}
