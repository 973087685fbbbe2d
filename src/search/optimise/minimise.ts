/** Both searches driven to their end on a function at hand; where costs come from workers, ask and tell are called instead. */
import type { Best } from './box.js';
import { askCmaEs, type CmaSettings, type CmaState, createCmaEs, tellCmaEs } from './cma-es.js';
import { askNelderMead, createNelderMead, type NelderMeadSettings, type NelderMeadState, tellNelderMead } from './nelder-mead.js';

export type Cost = (point: readonly number[]) => number;

/** Runs CMA-ES to its end. @throws RangeError as `createCmaEs` */
export function minimiseCmaEs(cost: Cost, settings: CmaSettings): CmaState {
  const state = createCmaEs(settings);
  while (state.finished === null) tellCmaEs(state, askCmaEs(state).map(cost));
  return state;
}

/** Runs a simplex search to its end. @throws RangeError as `createNelderMead` */
export function minimiseNelderMead(cost: Cost, settings: NelderMeadSettings): NelderMeadState {
  const state = createNelderMead(settings);
  while (state.finished === null) tellNelderMead(state, askNelderMead(state).map(cost));
  return state;
}

/**
 * The least cost in a box: CMA-ES first, then a simplex from the best point it met.
 *
 * @returns null when no cost was finite
 * @throws RangeError as `createCmaEs`
 */
export function minimise(cost: Cost, settings: CmaSettings): Best | null {
  const { best } = minimiseCmaEs(cost, settings);
  if (best === null) return null;
  const local = minimiseNelderMead(cost, { lower: settings.lower, upper: settings.upper, start: best.point, edge: 0.01 }).best;
  return local !== null && local.cost < best.cost ? local : best;
}
