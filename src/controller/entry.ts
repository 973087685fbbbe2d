/**
 * Entry: when the loop may close, and when it opens again.
 *
 *     others = the engine runs · the throttle is shut · the car is not driving the engine
 *     closes: others, and speed below target + window            or, forced: others have held, the speed above the
 *                                                                window, for the forced-entry time
 *     opens:  any of the others ends, or speed above target + window + hysteresis (never after a forced entry)
 *
 * Why it matters: a loop that closes while the speed is still far above its target winds the air down to nothing, and
 * there is none left when the speed arrives. Common practice, no source.
 */
import { choice, own, type Values } from '../parameter/table.js';
import type { Measured } from './types.js';

export const entryTable = {
  window: own({ as: 'windowRpm', unit: 'rpm', default: 150, min: 0, max: 8000, meaning: 'the loop closes below target plus this' }),
  hysteresis: own({ as: 'hysteresisRpm', unit: 'rpm', default: 100, min: 0, max: 3000, meaning: 'it opens above target plus window plus this' }),
  forcedAfter: own({ as: 'forcedAfterS', unit: 's', default: null, min: 0.1, max: 120, meaning: 'forced entry: it closes all the same when the speed has stayed above the window this long; never when not given' }),
  driven: choice({
    options: ['clutch-or-neutral', 'stationary', 'ignored'],
    default: 'clutch-or-neutral',
    meaning: 'how it is known that the car is not driving the engine: a switch on clutch or neutral, the vehicle standing, or not looked at',
  }),
  stationaryBelow: own({ as: 'stationaryBelowKmh', unit: 'km/h', default: 3, min: 0, max: 30, meaning: 'vehicle speed below which it stands' }),
  throttleShut: own({ as: 'throttleShutPct', unit: '%', default: 1, min: 0.1, max: 30, meaning: 'throttle reading below which it is shut' }),
} as const;
export type EntrySettings = Values<typeof entryTable>;

export interface EntryState {
  closed: boolean;
  forced: boolean;
  /** Ticks for which the others have held with the speed above the window. */
  waited: number;
  because: string | null;
}

export const OPEN = {
  engine: 'the engine is not running',
  throttle: 'the throttle is open',
  driven: 'the car may be driving the engine',
  window: 'the speed is above the entry window',
  held: 'the command is held',
} as const;

export const createEntryState = (): EntryState => ({ closed: false, forced: false, waited: 0, because: OPEN.engine });

/** Which of the other conditions is missing, or null. */
function missing(settings: EntrySettings, measured: Measured): string | null {
  if (measured.engine !== 'running') return OPEN.engine;
  if (measured.throttlePct >= settings.throttleShutPct) return OPEN.throttle;
  if (settings.driven === 'clutch-or-neutral' && !measured.clutchPressed && !measured.inNeutral) return OPEN.driven;
  if (settings.driven === 'stationary' && measured.vehicleSpeedKmh >= settings.stationaryBelowKmh) return OPEN.driven;
  return null;
}

/** One tick. @returns whether the loop is closed; `state.because` says why not */
export function stepEntry(settings: EntrySettings, state: EntryState, periodS: number, measured: Measured, targetRpm: number): boolean {
  const { windowRpm, hysteresisRpm, forcedAfterS } = settings;
  state.because = missing(settings, measured);
  if (state.because !== null) {
    state.closed = false;
    state.forced = false;
    state.waited = 0;
    return false;
  }
  if (state.closed && !state.forced && measured.speedRpm > targetRpm + windowRpm + hysteresisRpm) {
    state.closed = false;
    state.waited = 0;
  }
  if (!state.closed) {
    if (measured.speedRpm < targetRpm + windowRpm) {
      state.closed = true;
      state.forced = false;
    } else {
      state.closed = state.forced = forcedAfterS !== null && state.waited * periodS >= forcedAfterS;
      state.waited += 1;
    }
  }
  if (!state.closed) state.because = OPEN.window;
  return state.closed;
}
