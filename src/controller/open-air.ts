/**
 * Air that is there only while the loop is open: for a moving car, and after the throttle shuts. Both fade as the loop
 * closes instead of stepping. Common practice, no source.
 *
 *     moving    while the loop is open and the vehicle moves
 *     dashpot   charged while the throttle is open; from then on d ← d·τ/(τ + h)
 */
import { own, type Values } from '../parameter/table.js';
import type { Measured } from './types.js';

export const openAirTable = {
  moving: own({ unit: 'air', default: 0, min: 0, max: 100, meaning: 'air added while the loop is open and the vehicle moves' }),
  dashpot: own({ unit: 'air', default: 0, min: 0, max: 100, meaning: 'air added as the throttle shuts, decaying' }),
  dashpotTime: own({ as: 'dashpotTimeS', unit: 's', default: 0.6, min: 0.02, max: 20, meaning: 'time constant of that decay', source: 'assumed' }),
  fade: own({ as: 'fadeS', unit: 's', default: 1, min: 0, max: 20, meaning: 'time over which both fade once the loop closes', source: 'common practice, no source' }),
} as const;
export type OpenAirSettings = Values<typeof openAirTable>;

export interface OpenAirState {
  dashpot: number;
  /** Share still added after the loop has closed, 0 … 1. */
  share: number;
  moving: number;
}

export const createOpenAirState = (): OpenAirState => ({ dashpot: 0.0, share: 0, moving: 0 });

/** One tick. @returns air to add */
export function stepOpenAir(
  settings: OpenAirSettings, state: OpenAirState, periodS: number, measured: Measured, closed: boolean, throttleShutPct: number, movingAboveKmh: number,
): number {
  const { moving, dashpot, dashpotTimeS, fadeS } = settings;
  if (measured.throttlePct >= throttleShutPct) state.dashpot = dashpot;
  else state.dashpot *= dashpotTimeS / (dashpotTimeS + periodS);
  if (!closed) {
    state.share = 1;
    state.moving = measured.engine === 'running' && measured.vehicleSpeedKmh >= movingAboveKmh ? moving : 0;
  } else {
    const less = fadeS > 0 ? state.share - periodS / fadeS : 0;
    state.share = less > 0 ? less : 0;
  }
  return state.share * (state.moving + state.dashpot);
}
