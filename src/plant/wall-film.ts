/**
 * Wall film of port injection: part of the fuel wets the port and comes off it later. SI.
 *
 *     dm_f/dt = X·ṁ_inj − m_f/τ          ṁ_cyl = (1 − X)·ṁ_inj + m_f/τ
 *
 * so the mixture goes lean as the air rises and rich as it falls, and in between is what was injected. The fuel of a step
 * is solved exactly for a constant ṁ_inj, and what enters the cylinders is what was injected less what the film gained.
 * Source: C. F. Aquino, Transient A/F control characteristics of the 5 liter central fuel injection engine, SAE 810494, 1981.
 */
import { exp } from '../numerics/elementary.js';
import { own, si, type Values, variant } from '../parameter/table.js';

export const wallFilmTable = variant({
  tag: 'is',
  options: {
    off: {},
    on: {
      fraction: own({ unit: '1', default: 0.3, min: 0, max: 0.95, meaning: 'share of the injected fuel that wets the wall, X', source: 'assumed, warm' }),
      time: si({ unit: 's', default: 0.5, min: 0.02, max: 20, meaning: 'time constant with which it comes off, τ', source: 'assumed, warm' }),
      leanBurning: own({ unit: '1', default: 1.4, min: 1.4, max: 2, meaning: 'lambda up to which all of the mixture burns', source: 'assumed' }),
      leanMisfire: own({ unit: '1', default: 1.7, min: 1.41, max: 3, meaning: 'lambda from which none of it does', source: 'assumed' }),
    },
  },
  default: 'off',
  meaning: 'fuel film on the walls of the ports',
});
export type WallFilmSettings = Values<{ row: typeof wallFilmTable }>['row'];
export type WallFilmOn = Extract<WallFilmSettings, { is: 'on' }>;

export interface WallFilm {
  /** Fuel on the wall, kg. */
  mass: number;
  /** Share of it that stays over a step. */
  readonly keep: number;
  readonly fraction: number;
  readonly time: number;
  readonly step: number;
}

/** @param step s */
export const createWallFilm = ({ fraction, time }: WallFilmOn, step: number): WallFilm => ({ mass: 0, keep: exp(-step / time), fraction, time, step });

/** Film at rest under a steady injection, kg/s. */
export function restWallFilm(film: WallFilm, injected: number): void {
  film.mass = film.fraction * film.time * injected;
}

/** Moves by a step. @param injected kg/s  @returns what enters the cylinders, kg/s, never below zero */
export function moveWallFilm(film: WallFilm, injected: number): number {
  const before = film.mass;
  const rest = film.fraction * film.time * injected;
  film.mass = rest + (before - rest) * film.keep;
  return injected - (film.mass - before) / film.step;
}

/** Share of a lean mixture that burns: 1 to `leanBurning`, 0 from `leanMisfire`, the smooth cubic between. */
export function leanCompleteness({ leanBurning, leanMisfire }: WallFilmOn, lambda: number): number {
  if (lambda <= leanBurning) return 1;
  if (lambda >= leanMisfire) return 0;
  const s = (leanMisfire - lambda) / (leanMisfire - leanBurning);
  return s * s * (3 - 2 * s);
}
