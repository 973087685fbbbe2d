/**
 * Throttle plate: area against travel, and the time that it takes to move. SI.
 *
 *     A = C_d·(π/4)·D²·(1 − cos α / cos α₀)        α = α₀ + travel·(α₁ − α₀)
 *
 * the projected open area of a thin plate of bore D that shuts at α₀ (Heywood, Internal Combustion Engine Fundamentals,
 * 1988, eq. 7.18, shaft left out); what leaks past it when shut is told apart.
 */
import { cos } from '../numerics/elementary.js';
import { createTable } from '../numerics/table.js';
import { own, si, type Values } from '../parameter/table.js';
import type { PlateLaw } from './laws/law.js';
import { restriction } from './restriction.js';

export const throttleTable = {
  bore: si({ unit: 'mm', default: 50, min: 15, max: 120, meaning: 'bore', source: 'assumed' }),
  closedAngle: si({ unit: 'deg', default: 7, min: 0, max: 30, meaning: 'angle of the plate at its stop, α₀', source: 'assumed, beside 7.9° (Guzzella and Onder 2010, app. B)' }),
  openAngle: si({ unit: 'deg', default: 88, min: 40, max: 90, meaning: 'angle of the plate wide open, α₁', source: 'assumed' }),
  discharge: own({ unit: '1', default: 0.75, min: 0.3, max: 1, meaning: 'discharge coefficient', source: '0.7 to 0.8: from memory' }),
  leak: restriction({ flow: 0.6, area: 3.5, meaning: 'leak past the plate at its stop: the floor of a wind-down and part of the authority', source: 'assumed' }),
  openingTime: si({ unit: 's', default: 0.15, min: 0, max: 3, meaning: 'time for the whole travel, opening', source: 'assumed: a foot' }),
  closingTime: si({ unit: 's', default: 0.15, min: 0, max: 3, meaning: 'time for the whole travel, closing', source: 'assumed: a return spring' }),
} as const;
export type ThrottleSettings = Values<typeof throttleTable>;

/** Effective area of the plate against its travel 0 … 1, the leak apart. */
export function plateLaw(settings: ThrottleSettings): PlateLaw {
  const { bore, closedAngle, openAngle, discharge } = settings;
  const full = discharge * (Math.PI / 4) * bore * bore;
  const range = openAngle - closedAngle;
  const perCos = 1 / cos(closedAngle);
  return createTable(
    (travel) => full * (1 - perCos * cos(closedAngle + range * travel)),
    (travel) => full * perCos * range * cos(closedAngle + range * travel - Math.PI / 2),
    0,
    1,
    256,
  );
}

/**
 * A position that follows its command at a limited rate; `track` holds it at the start, the middle and the end of the
 * present step. A rate is full travels a second; 0 seconds for the travel means at once.
 */
export interface Slew {
  readonly track: Float64Array;
  readonly rising: number;
  readonly falling: number;
}

export function createSlew(risingTime: number, fallingTime: number, step: number): Slew {
  const perHalf = (time: number): number => (time > 0 ? step / (2 * time) : 1);
  return { track: new Float64Array(3), rising: perHalf(risingTime), falling: perHalf(fallingTime) };
}

export function moveSlew(slew: Slew, command: number): void {
  const { track } = slew;
  const start = track[2]!;
  track[0] = start;
  track[1] = approach(start, command, slew.rising, slew.falling);
  track[2] = approach(track[1]!, command, slew.rising, slew.falling);
}

function approach(from: number, to: number, rising: number, falling: number): number {
  if (to > from) return to - from > rising ? from + rising : to;
  return from - to > falling ? from - falling : to;
}
