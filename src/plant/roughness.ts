/**
 * Roughness: each firing's torque is off by a seeded random share, and stays so until the next.
 *
 * COV of IMEP is the usual measure: below 5 % a good idle, 10 % the limit of drivability (Heywood, Internal Combustion
 * Engine Fundamentals, 1988, sec. 9.4.2; figures from memory). It is defined for one cylinder's cycle. Here one draw
 * stands for one firing, so its spread is the COV itself.
 */
import { createRandom, type Random } from '../numerics/random.js';
import { ANGLE } from './types.js';

export interface Roughness {
  random: Random;
  readonly spread: number;
  /** Crank angle of the next firing, rad. */
  next: number;
  /** What the present firing multiplies the torque by. */
  factor: number;
}

export const createRoughness = (covPct: number, seed: number): Roughness => ({
  random: createRandom(seed),
  spread: covPct / 100,
  next: 0,
  factor: 1,
});

/** Back to crank angle 0 and the first draw. */
export function restartRoughness(roughness: Roughness, seed: number): void {
  roughness.random = createRandom(seed);
  roughness.next = 0;
  roughness.factor = 1;
}

/** Moves on to the firing at the present crank angle; call once a step. */
export function fire(roughness: Roughness, state: Float64Array, interval: number): void {
  if (roughness.spread === 0) return;
  while (state[ANGLE]! >= roughness.next) {
    roughness.next += interval;
    const factor = 1 + roughness.spread * roughness.random.normal();
    roughness.factor = factor > 0 ? factor : 0;
  }
}
