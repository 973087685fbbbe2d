/** How a window leaves the engine: hanging above its idle, or with the foot still down. */
import type { Trace, TraceEvent } from '../loop/trace.js';
import type { Rows } from './rows.js';
import { spread } from './swings.js';
import { at, HANG_RPM, HANG_S, HANGS, PEDAL_PCT, rowAt, usedRows, type Window } from './windows.js';

/**
 * Where the speed hangs at the end of a window, and what keeps it there: `hangs at 1383 rpm: …`; null when it does not.
 *
 * It hangs after the driver let go (`idleRows`), or when nothing that the driver did put it there: above the band for the
 * last `HANG_S`, by much the same speed, with the loop open. With the loop closed that could be the crest of a slow swing.
 */
export function hanging({ trace, error, idle, driver, scoring }: Rows, window: Window): string | null {
  const last = window.to - 1;
  if (window.stalled || last < window.from) return null;
  const { timeS, speedRpm, closed, air } = trace.columns;
  const first = Math.max(window.from, rowAt(trace, at(timeS, last) - HANG_S, window.to));
  const leftAlone = (): boolean => {
    for (let k = first; k <= last; k++) if (driver[k] === 1 || at(closed, k) > 0 || at(error, k) <= scoring.settlingBandRpm) return false;
    return at(timeS, last) - at(timeS, first) >= HANG_S - trace.recordS && spread(speedRpm, first, last + 1) < HANG_RPM;
  };
  if (idle[last] !== HANGS && !leftAlone()) return null;
  let sum = 0;
  for (let k = first; k <= last; k++) sum += at(speedRpm, k);
  const endS = at(timeS, last);
  const open = trace.open.find(({ fromS, toS }) => fromS <= endS && toS >= endS);
  const why =
    open !== undefined ? `the loop stays open (${open.because})`
    : at(closed, last) === 0 ? 'the loop stays open'
    : at(air, last) <= trace.airLimits[0] ? 'the air command is at its lower limit'
    : 'the loop is closed and does not bring it down';
  return `hangs at ${(sum / (last - first + 1)).toFixed(0)} rpm: ${why}`;
}

/** That the foot stays down to the end of the run, waiting for a speed that does not come; null when it does not. */
export function pedalLeft(trace: Trace, event: TraceEvent, window: Window): string | null {
  const wanted = /until ([\d.,]+ rpm)/.exec(event.what)?.[1];
  const rows = usedRows(trace);
  if (wanted === undefined || window.stalled || window.to <= window.from) return null;
  for (let k = window.to - 1; k < rows; k++) if (at(trace.columns.throttlePct, k) <= PEDAL_PCT) return null;
  return `the pedal was never let go: ${wanted} not reached`;
}
