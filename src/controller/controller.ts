/**
 * The idle controller. One tick:
 *
 *     1. loads      what is asked for, after its lead
 *     2. target     target(coolant) + speed-ups + the calibrator's offset
 *     3. entry      may the loop close?
 *     4. air        base(coolant) + load air + PID (closed) or the integral it last held (open), clamped; or the held command
 *     5. spark      base + slope + trim
 *
 * `stepController` is pure over (settings, state, measured, out) and allocates nothing.
 */
import { checkCurve, interpolate } from '../numerics/curve.js';
import { createEntryState, type EntryState, OPEN, stepEntry } from './entry.js';
import { createLoadsState, type LoadsState, stepLoads } from './loads.js';
import type { ControllerSettings } from './parameters.js';
import { createPidState, type PidState, primePid, stepPid } from './pid.js';
import { sparkCommand } from './spark.js';
import type { Command, Controller, Measured } from './types.js';

export interface ControllerState {
  readonly pid: PidState;
  readonly entry: EntryState;
  readonly loads: LoadsState;
  /** Added to the target by hand, rpm. */
  targetOffsetRpm: number;
}

export const createControllerState = (settings: ControllerSettings): ControllerState => ({
  pid: createPidState(),
  entry: createEntryState(),
  loads: createLoadsState(settings.loads.length),
  targetOffsetRpm: 0,
});

const clip = (value: number, low: number, high: number): number => (value > high ? high : value < low ? low : value);

/** Air command before the loop adds to it. */
const feedForward = (settings: ControllerSettings, state: ControllerState, measured: Measured): number =>
  interpolate(settings.base, measured.coolantC) + state.loads.air;

/** One tick of the controller; fills `out`. */
export function stepController(settings: ControllerSettings, state: ControllerState, measured: Measured, out: Command): void {
  const { clamp, hold, periodS } = settings;
  const { pid, entry, loads } = state;
  stepLoads(settings, loads, measured);
  const target = interpolate(settings.targetRpm, measured.coolantC) + loads.speedUpRpm + state.targetOffsetRpm;

  const wasClosed = entry.closed;
  const closed = stepEntry(settings.entry, entry, periodS, measured, target) && hold === null;
  if (closed && !wasClosed) primePid(pid, measured.speedRpm);

  const base = feedForward(settings, state, measured);
  const loop = closed
    ? stepPid(settings.pid, pid, periodS, target, measured.speedRpm, clamp.lowest - base, clamp.highest - base)
    : pid.integral;
  out.air = hold ?? clip(base + loop, clamp.lowest, clamp.highest);
  out.airFraction = out.air / (settings.airFull ?? 100);
  out.sparkDeg = sparkCommand(settings.spark, measured.coolantC, measured.speedRpm, target, closed);
  out.targetRpm = target;
  out.loopClosed = closed;
  out.loopOpenBecause = closed ? null : hold !== null ? OPEN.held : entry.because;
}

/**
 * A controller to tick every `settings.periodS` against any plant.
 *
 * @param settings from `fill(controllerTable, …)` or a scenario; `airFull` null counts as 100 (%)
 * @throws RangeError if the clamp is upside down or a curve is not one
 */
export function createController(settings: ControllerSettings): Controller {
  if (settings.clamp.lowest > settings.clamp.highest) throw new RangeError('controller.clamp.lowest: must not lie above controller.clamp.highest');
  checkCurve(settings.base, 'controller.base');
  checkCurve(settings.targetRpm, 'controller.target');
  checkCurve(settings.spark.baseDeg, 'controller.spark.base');
  checkCurve(settings.spark.slopeDeg, 'controller.spark.slope');
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
