/**
 * What the engine is doing: off, cranking, running or stalled, with thresholds apart so that it does not flutter.
 *
 *     off ──starter──▶ cranking ──ω ≥ catch──▶ running ──ω ≤ stall──▶ stalled      cranking ──starter let go──▶ off
 *
 * An engine that never caught has not stalled.
 */
import { si, type Values } from '../parameter/table.js';
import { type EngineState, OMEGA } from './types.js';

export const crankTable = {
  stall: si({ unit: 'rpm', default: 300, min: 50, max: 1000, meaning: 'speed at and below which a running engine has stalled', source: 'assumed: below the speed at which the next compression can be passed' }),
  catch: si({ unit: 'rpm', default: 450, min: 100, max: 1500, meaning: 'speed from which a cranked engine runs', source: 'assumed' }),
  starterTorque: si({ unit: 'N m', default: 90, min: 5, max: 500, meaning: 'starter at the crank, at no speed', source: 'assumed' }),
  starterSpeed: si({ unit: 'rpm', default: 350, min: 100, max: 1000, meaning: 'speed at which the starter gives nothing', source: 'assumed' }),
} as const;
export type CrankSettings = Values<typeof crankTable>;

/** @param state the plant's, of which the crank speed counts. Settings with catch ≤ stall are refused by `createPlant`. */
export function nextEngineState(settings: CrankSettings, engine: EngineState, state: Float64Array, starter: boolean): EngineState {
  const omega = state[OMEGA]!;
  switch (engine) {
    case 'off':
      return starter ? 'cranking' : 'off';
    case 'cranking':
      if (omega >= settings.catch) return 'running';
      return starter ? 'cranking' : 'off';
    case 'running':
      return omega <= settings.stall ? 'stalled' : 'running';
    case 'stalled':
      return 'stalled';
  }
}

/** Torque of the starter, N·m: falls in a straight line from its stall torque; it cannot be driven. */
export function starterTorque(settings: CrankSettings, omega: number): number {
  const torque = settings.starterTorque * (1 - omega / settings.starterSpeed);
  return torque > 0 ? torque : 0;
}
