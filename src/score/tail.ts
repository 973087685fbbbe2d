/** The end of a window, where the speed has been left to settle: what hunting and steady running are looked for in. */
import { absence, AT_REST, DIES_AWAY, DRIVER, STALLS } from './reasons.js';
import { findHunting, type Hunting, none } from './hunting.js';
import type { Rows } from './rows.js';
import type { Settling } from './step.js';
import { comesToRest, findSwings } from './swings.js';
import { at, rowAt, type Window } from './windows.js';

/** What hunting and steady running are looked for in. */
export interface Stretch {
  readonly window: Window;
  /** Cycle mean of the error, rpm. */
  readonly mean: Float64Array;
  /** Row from which the speed was left to settle, and whether it did. */
  readonly settleFrom: number;
  readonly settled: boolean;
  /** Row from which hunting may be looked for: settled, or after the speed first came back through the target. */
  readonly tail: number;
}

export function tailStart(rows: Rows, { window, mean, settleFrom }: Omit<Stretch, 'tail' | 'settled'>, settling: Settling, settleS: number): number {
  if (settling.timeS !== null) return Math.max(settleFrom, rowAt(rows.trace, settleS + settling.timeS, window.to));
  let k = settleFrom;
  while (k < window.to && Math.abs(at(mean, k)) <= rows.scoring.settlingBandRpm) k++;
  const side = Math.sign(mean[k] ?? 0);
  while (k < window.to && Math.sign(at(mean, k)) === side) k++;
  return k;
}

export function huntingOf({ trace, scoring }: Rows, { window, mean, settleFrom, settled, tail }: Stretch): Hunting {
  if (window.stalled) return none(STALLS);
  if (settleFrom >= window.to) return none(DRIVER);
  const found = findHunting(trace.columns.speedRpm, tail, window.to, trace.recordS, scoring.leastHuntingRpm);
  if (found.reason === null) return found;
  if (!settled) {
    const swings = findSwings(mean, settleFrom, window.to, trace.recordS, scoring.settlingBandRpm);
    if (swings.reason === null || swings.reason === DIES_AWAY) return swings;
  }
  if (absence(found.reason) !== 'untold' || tail >= window.to) return found;
  return comesToRest(mean, tail, window.to, scoring.leastHuntingRpm) ? none(AT_REST) : found;
}
