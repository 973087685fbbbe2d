/** Loads that the controller knows of: air and speed-up from the request on, the load itself after its lead. */
import type { ControllerSettings } from './parameters.js';
import type { Measured } from './types.js';

export interface LoadsState {
  /** Ticks since each load was asked for; −1 when it is not. */
  readonly asked: Int32Array;
  readonly on: boolean[];
  air: number;
  speedUpRpm: number;
}

export const createLoadsState = (count: number): LoadsState => ({
  asked: new Int32Array(count).fill(-1),
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
    if (measured.loadRequests[i] === true) {
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
