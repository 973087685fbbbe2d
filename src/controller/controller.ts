/**
 * The idle controller. One tick:
 *
 *     1. loads      what is asked for, after its lead
 *     2. target     target(coolant) + speed-ups + the calibrator's offset
 *     3. entry      may the loop close?
 *     4. air        off or cranking: cranking(coolant)
 *                   running: base(coolant) + intake air + loads + after start + open-loop airs + learned
 *                            + PID (closed) or the integral it last held (open)
 *                   clamped; or the held command
 *     5. learn      a little of the integral moves into what is learned
 *     6. spark      base − catalyst retard + slope + trim
 *
 * `stepController` is pure over (settings, state, measured, out) and allocates nothing.
 */
import { checkCurve, interpolate } from '../numerics/curve.js';
import { createEntryState, type EntryState, OPEN, stepEntry } from './entry.js';
import { type LearnState, stepLearn } from './learn.js';
import { createLoadsState, type LoadsState, stepLoads } from './loads.js';
import { createOpenAirState, type OpenAirState, stepOpenAir } from './open-air.js';
import type { ControllerSettings } from './parameters.js';
import { createPidState, type PidState, primePid, stepPid } from './pid.js';
import { createSparkState, type SparkState, stepSpark } from './spark.js';
import { afterStartAir, createStartState, sinceCatchS, type StartState, stepStart } from './start-air.js';
import type { Command, Controller, Measured } from './types.js';

export interface ControllerState {
  readonly pid: PidState;
  readonly entry: EntryState;
  readonly loads: LoadsState;
  readonly start: StartState;
  readonly openAir: OpenAirState;
  readonly learn: LearnState;
  readonly spark: SparkState;
  /** Added to the target by hand, rpm. */
  targetOffsetRpm: number;
}

export const createControllerState = (settings: ControllerSettings): ControllerState => ({
  pid: createPidState(),
  entry: createEntryState(),
  loads: createLoadsState(settings.loads.length),
  start: createStartState(),
  openAir: createOpenAirState(),
  learn: { offset: 0 },
  spark: createSparkState(),
  targetOffsetRpm: 0,
});

const clip = (value: number, low: number, high: number): number => (value > high ? high : value < low ? low : value);

/** Air command of a running engine before the loop adds to it, the open-loop airs apart. */
const feedForward = (settings: ControllerSettings, state: ControllerState, measured: Measured): number =>
  interpolate(settings.base, measured.coolantC) + interpolate(settings.intakeAir, measured.intakeAirC) +
  state.loads.air + afterStartAir(state.start, settings.periodS) + state.learn.offset;

/** Air command of a running engine, moving the integral and what is learned. */
function runningAir(settings: ControllerSettings, state: ControllerState, measured: Measured, target: number, closed: boolean): number {
  const { clamp, periodS, entry } = settings;
  const { pid, openAir, learn } = state;
  const base =
    feedForward(settings, state, measured) +
    stepOpenAir(settings.openAir, openAir, periodS, measured, closed, entry.throttleShutPct, entry.stationaryBelowKmh);
  if (!closed) return base + pid.integral;
  const loop = stepPid(settings.pid, pid, periodS, target, measured.speedRpm, clamp.lowest - base, clamp.highest - base);
  pid.integral = stepLearn(settings.learn, learn, periodS, target - measured.speedRpm, pid.integral);
  return base + loop;
}

/** One tick of the controller; fills `out`. */
export function stepController(settings: ControllerSettings, state: ControllerState, measured: Measured, out: Command): void {
  const { clamp, hold, periodS } = settings;
  const { pid, entry, loads, start } = state;
  stepLoads(settings, loads, measured);
  stepStart(settings.start, start, measured);
  const target = interpolate(settings.targetRpm, measured.coolantC) + loads.speedUpRpm + state.targetOffsetRpm;

  const wasClosed = entry.closed;
  const closed = stepEntry(settings.entry, entry, periodS, measured, target) && hold === null;
  if (closed && !wasClosed) primePid(pid, measured.speedRpm);

  const starting = measured.engine === 'off' || measured.engine === 'cranking';
  const air = starting ? interpolate(settings.start.cranking, measured.coolantC) : runningAir(settings, state, measured, target, closed);
  out.air = hold ?? clip(air, clamp.lowest, clamp.highest);
  out.airFraction = out.air / (settings.airFull ?? 100);
  out.sparkDeg = stepSpark(settings.spark, state.spark, periodS, measured, target, closed, sinceCatchS(start, periodS));
  out.targetRpm = target;
  out.loopClosed = closed;
  out.loopOpenBecause = closed ? null : hold !== null ? OPEN.held : entry.because;
}

/** Curves of the settings, by the key that errors call them. */
const curvesOf = (settings: ControllerSettings): readonly (readonly [string, Parameters<typeof checkCurve>[0]])[] => [
  ['controller.base', settings.base],
  ['controller.target', settings.targetRpm],
  ['controller.intakeAir', settings.intakeAir],
  ['controller.start.cranking', settings.start.cranking],
  ['controller.start.after', settings.start.after],
  ['controller.start.duration', settings.start.durationS],
  ['controller.spark.base', settings.spark.baseDeg],
  ['controller.spark.slope', settings.spark.slopeDeg],
  ['controller.spark.catalyst.retard', settings.spark.catalyst.retardDeg],
];

/**
 * A controller to tick every `settings.periodS` against any plant.
 *
 * @param settings from `fill(controllerTable, …)` or a scenario; `airFull` null counts as 100 (%)
 * @throws RangeError if the clamp is upside down or a curve is not one
 */
export function createController(settings: ControllerSettings): Controller {
  if (!(settings.periodS > 0)) throw new RangeError(`controller.period: ${settings.periodS} s; more than 0 is wanted`);
  if (settings.clamp.lowest > settings.clamp.highest) throw new RangeError('controller.clamp.lowest: must not lie above controller.clamp.highest');
  for (const [name, curve] of curvesOf(settings)) checkCurve(curve, name);
  let state = createControllerState(settings);
  const out: Command = { air: 0, airFraction: 0, sparkDeg: 0, targetRpm: 0, loopClosed: false, loopOpenBecause: null, loadsOn: state.loads.on };
  return {
    step(measured) {
      stepController(settings, state, measured, out);
      return out;
    },
    reset() {
      state = createControllerState(settings);
      out.loopClosed = false;
      out.loadsOn = state.loads.on;
    },
    seed(air, measured) {
      const base = feedForward(settings, state, measured);
      state.pid.integral = clip(air, settings.clamp.lowest, settings.clamp.highest) - base;
    },
    setTargetOffset(offsetRpm) {
      state.targetOffsetRpm = offsetRpm;
    },
  };
}
