/** How low and how high the speed goes in a window. */
import type { Rows } from './rows.js';
import { at, DRIVERS, IDLES, type Window } from './windows.js';

/** The lowest speed of a window and how far that is below what it should be. */
export interface Lows {
  /** Whether the engine had run up to its idle; nothing is told otherwise. */
  readonly seen: boolean;
  /** rpm; the stall speed where the engine stalls. */
  readonly lowest: number;
  readonly lowestAtS: number;
  readonly sagRpm: number;
}

/**
 * A run-up from below the stall speed has sagged nowhere until the idle has been reached. A target that comes down by itself,
 * as an engine warms up, takes its floor along.
 *
 * @param targets before and after, rpm  @param speedAtStart rpm
 */
export function lowsOf({ trace, error, scoring }: Rows, window: Window, targets: readonly [number, number], speedAtStart: number): Lows {
  const { from, to } = window;
  const { timeS, speedRpm, targetRpm } = trace.columns;
  let runs = from;
  if (!window.stalled && at(speedRpm, from) <= trace.stallRpm) while (runs < to && at(error, runs) < -scoring.settlingBandRpm) runs++;

  let lowestRow = runs;
  for (let k = runs; k < to; k++) if (at(speedRpm, k) < at(speedRpm, lowestRow)) lowestRow = k;
  const seen = runs < to;
  const deeper = window.stalled && trace.stallRpm < at(speedRpm, lowestRow);
  const lowest = deeper ? trace.stallRpm : (speedRpm[lowestRow] ?? 0);

  const floor = runs > from ? Math.min(...targets) : Math.min(...targets, speedAtStart);
  const below = (row: number, speed: number): number => Math.min(floor, at(targetRpm, row)) - speed;
  let sag = deeper && to > from ? below(to - 1, lowest) : 0;
  for (let k = runs; k < to; k++) sag = Math.max(sag, below(k, at(speedRpm, k)));
  return { seen, lowest, lowestAtS: deeper && trace.stallTimeS !== null ? trace.stallTimeS : (timeS[lowestRow] ?? 0), sagRpm: Math.max(0, sag) };
}

/**
 * Highest rise above `ceiling` in rows that are the idle's own; null without such rows. After the driver has acted it is
 * above `target`, for what the speed was before is no measure any more. The rest of the way down, from the edge of the
 * band to where the speed turns, still belongs to the return, or each would flare by the band.
 */
export function flareAbove({ trace, idle, driver }: Rows, { from, to }: Window, ceiling: number, target: number): number | null {
  const { speedRpm } = trace.columns;
  let flare: number | null = null;
  let returning = false;
  let above = ceiling;
  for (let k = from; k < to; k++) {
    if (driver[k] === 1) above = target;
    if (idle[k] === DRIVERS) continue;
    if (k > 0 && idle[k - 1] === DRIVERS) returning = idle[k] === IDLES;
    else if (k > 0 && at(speedRpm, k) >= at(speedRpm, k - 1)) returning = false;
    flare = Math.max(flare ?? 0, returning ? 0 : at(speedRpm, k) - above);
  }
  return flare;
}
