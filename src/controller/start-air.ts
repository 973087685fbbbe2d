/**
 * Air around the start: its own while cranking, and air after start, which is full as the engine catches and fades in a
 * straight line to nothing at the end of its duration. Common practice, no source.
 */
import { interpolate } from '../numerics/curve.js';
import { curve, type Values } from '../parameter/table.js';
import type { Measured } from './types.js';

const coolant = { name: 'coolant', unit: 'degC', min: -40, max: 130 } as const;

export const startTable = {
  cranking: curve({
    x: coolant, y: { name: 'air', unit: 'air', min: 0, max: 100 }, default: [[-20, 85], [20, 60], [80, 45]], stored: 'unit',
    meaning: 'air command while the engine is off or cranking, in place of the base', source: 'common practice, no source',
  }),
  after: curve({
    x: coolant, y: { name: 'air', unit: 'air', min: 0, max: 100 }, default: [[-20, 20], [20, 10], [80, 4]], stored: 'unit',
    meaning: 'air after start: added from the catch on, fading in a straight line to nothing', source: 'common practice, no source',
  }),
  duration: curve({
    x: coolant, y: { name: 'time', unit: 's', min: 0, max: 600 }, default: [[-20, 30], [20, 15], [80, 6]], stored: 'unit',
    as: 'durationS', meaning: 'how long air after start lasts', source: 'common practice, no source',
  }),
} as const;
export type StartAirSettings = Values<typeof startTable>;

export interface StartState {
  /** Ticks since the engine caught; −1 when it was running all along or has not caught. */
  sinceCatch: number;
  /** Whether it has been off or cranking since the last reset. */
  awaited: boolean;
  /** Air and duration as they were for the coolant at the catch. */
  air: number;
  durationS: number;
}

export const createStartState = (): StartState => ({ sinceCatch: -1, awaited: false, air: 0.5, durationS: 0.5 });

/** One tick. Coolant is read at the catch: what follows is one fade, not a walk along the curve. */
export function stepStart(settings: StartAirSettings, state: StartState, measured: Measured): void {
  if (measured.engine !== 'running') {
    state.awaited = measured.engine === 'off' || measured.engine === 'cranking';
    state.sinceCatch = -1;
    return;
  }
  if (state.sinceCatch >= 0) state.sinceCatch += 1;
  if (!state.awaited) return;
  state.awaited = false;
  state.sinceCatch = 0;
  state.air = interpolate(settings.after, measured.coolantC);
  state.durationS = interpolate(settings.durationS, measured.coolantC);
}

/** Air after start, now. */
export function afterStartAir(state: StartState, periodS: number): number {
  if (state.sinceCatch < 0 || state.durationS <= 0) return 0;
  const left = 1 - (state.sinceCatch * periodS) / state.durationS;
  return left > 0 ? state.air * left : 0;
}

/** Seconds since the engine caught, or null. */
export const sinceCatchS = (state: StartState, periodS: number): number | null => (state.sinceCatch < 0 ? null : state.sinceCatch * periodS);
