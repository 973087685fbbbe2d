/**
 * Long-term learning of the base: while the loop is closed and the engine settled, what the integral holds moves slowly
 * into an offset that stays. Off by default: it hides a wrong base table from whoever reads the car.
 *
 *     move = integral·h/τ        offset ← offset + move, within ± limit        integral ← integral − move
 */
import { flag, own, type Values } from '../parameter/table.js';

export const learnTable = {
  on: flag({ default: false, meaning: 'learn the base' }),
  time: own({ as: 'timeS', unit: 's', default: 60, min: 1, max: 10000, meaning: 'time constant of the learning', source: 'assumed' }),
  limit: own({ unit: 'air', default: 8, min: 0, max: 100, meaning: 'most that may be learned either way', source: 'assumed' }),
  settled: own({ as: 'settledRpm', unit: 'rpm', default: 30, min: 1, max: 500, meaning: 'error within which the engine counts as settled', source: 'assumed' }),
} as const;
export type LearnSettings = Values<typeof learnTable>;

export interface LearnState {
  offset: number;
}

/** One tick. @returns the integral, less what was learned from it */
export function stepLearn(settings: LearnSettings, state: LearnState, periodS: number, errorRpm: number, integral: number): number {
  if (!settings.on || errorRpm > settings.settledRpm || errorRpm < -settings.settledRpm) return integral;
  const wanted = state.offset + (integral * periodS) / settings.timeS;
  const bounded = wanted > settings.limit ? settings.limit : wanted < -settings.limit ? -settings.limit : wanted;
  const move = bounded - state.offset;
  state.offset = bounded;
  return integral - move;
}
