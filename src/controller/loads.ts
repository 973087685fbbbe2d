/**
 * Loads that the controller knows of: air and speed-up from the request on, the load itself after its lead. One that cycles
 * (a compressor) is asked for and let go by turns while the request lasts.
 */
import type { ControllerSettings } from './parameters.js';
import type { Measured } from './types.js';

export interface LoadsState {
  /** Ticks since each load was asked for; −1 when it is not. */
  readonly asked: Int32Array;
  /** Ticks since each request began, for those that cycle. */
  readonly turn: Int32Array;
  readonly on: boolean[];
  air: number;
  speedUpRpm: number;
}

export const createLoadsState = (count: number): LoadsState => ({
  asked: new Int32Array(count).fill(-1),
  turn: new Int32Array(count),
  on: new Array<boolean>(count).fill(false),
  air: 0,
  speedUpRpm: 0,
});

/** One tick: sums air and speed-up of what is asked for and switches each load on once its lead has passed. */
export function stepLoads(settings: ControllerSettings, state: LoadsState, measured: Measured): void {
  state.air = 0;
  state.speedUpRpm = 0;
  for (let i = 0; i < settings.loads.length; i++) {
    const load = settings.loads[i]!;
    if (wanted(load, state, i, settings.periodS, measured.loadRequests[i] === true)) {
      state.asked[i]! += 1;
      state.air += load.air;
      state.speedUpRpm += load.speedUpRpm;
      state.on[i] = state.asked[i]! * settings.periodS >= load.leadS;
    } else {
      state.asked[i] = -1;
      state.on[i] = false;
    }
  }
}

/** Whether a load is wanted now: requested, and in the on-part of its cycle. */
function wanted(load: ControllerSettings['loads'][number], state: LoadsState, i: number, periodS: number, requested: boolean): boolean {
  if (!requested) {
    state.turn[i] = 0;
    return false;
  }
  if (load.cycleOffS === null) return true;
  const whole = Math.round((load.cycleOnS + load.cycleOffS) / periodS);
  const place = state.turn[i]!;
  state.turn[i] = place + 1 === whole ? 0 : place + 1;
  return place * periodS < load.cycleOnS;
}
