/**
 * Which rows of a trace belong to which event, and in which of them the speed is the idle's own.
 *
 * A window runs from the request to the next event at a later time, or to the end; events at the same time share one,
 * since nothing could tell their effects apart. From the stall on, nothing counts.
 */
import type { Trace } from '../loop/trace.js';

/** Pedal above which the driver's foot is on the throttle, %. Common practice, no source: a closed switch has some play. */
export const PEDAL_PCT = 2;
/** Torque at the clutch below which the car drives the engine, N·m; a little below zero, so that rounding does not count. */
const DRIVEN_NM = -1;
/** A speed that has fallen by less than this in so long, left to itself, hangs: assumed, a tenth of what a slow return falls. */
export const HANG_RPM = 50;
export const HANG_S = 1;
/** Values of `idle`: the driver's speed, the idle's, and the idle's because it hangs. */
export const [DRIVERS, IDLES, HANGS] = [0, 1, 2];

export interface Window {
  /** Rows `from` … `to` − 1. */
  readonly from: number;
  readonly to: number;
  readonly startS: number;
  readonly endS: number;
  /** The engine stalled at the end of this window. */
  readonly stalled: boolean;
}

/** A number of a column. */
export const at = (column: Float64Array, row: number): number => column[row] as number;

/** Rows that count: all, or those up to the stall. */
export function usedRows(trace: Trace): number {
  return trace.stallTimeS === null ? trace.rows : Math.min(trace.rows, rowAt(trace, trace.stallTimeS, trace.rows) + 1);
}

/** First row at or after a time, or `rows`. */
export function rowAt(trace: Trace, timeS: number, rows: number): number {
  const t = trace.columns.timeS;
  const slack = 1e-6 * trace.recordS;
  let low = 0;
  let high = rows;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (at(t, middle) < timeS - slack) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The window of an event at `atS`, seen from `startS` (its request or its engagement). */
export function windowFrom(trace: Trace, atS: number, startS: number): Window {
  const rows = usedRows(trace);
  const slack = 1e-6 * trace.recordS;
  const next = trace.events.reduce((soonest, event) => (event.atS > atS + slack ? Math.min(soonest, event.atS) : soonest), Number.POSITIVE_INFINITY);
  const to = rowAt(trace, next, rows);
  const from = Math.min(rowAt(trace, startS, rows), to);
  const lastS = rows > 0 ? at(trace.columns.timeS, rows - 1) : 0;
  return { from, to, startS, endS: Math.max(startS, Math.min(next, lastS)), stalled: trace.stalled && to === rows && from < to };
}

/**
 * In which rows a speed above target is the idle's own doing.
 *
 * With the foot on the throttle, or the car driving the engine, a high speed is the driver's; and it stays the driver's
 * while it runs down afterwards. It becomes the idle's once it has come back to within the band of target, or below, or once
 * it no longer runs down: it hangs then, and stays so until it has come back or the driver acts.
 */
export function idleRows(trace: Trace, bandRpm: number): { readonly idle: Uint8Array; readonly driver: Uint8Array } {
  const { speedRpm, targetRpm, throttlePct, clutchNm } = trace.columns;
  const idle = new Uint8Array(trace.rows);
  const driver = new Uint8Array(trace.rows);
  const waited = Math.ceil(HANG_S / trace.recordS - 1e-6);
  let own = DRIVERS;
  let since = 0;
  for (let k = 0; k < trace.rows; k++) {
    const acts = at(throttlePct, k) > PEDAL_PCT || at(clutchNm, k) < DRIVEN_NM;
    if (acts) [own, since] = [DRIVERS, k + 1];
    else if (at(speedRpm, k) <= at(targetRpm, k) + bandRpm) own = IDLES;
    else if (own === DRIVERS && k - waited >= since && at(speedRpm, k - waited) - at(speedRpm, k) < HANG_RPM) own = HANGS;
    idle[k] = own;
    driver[k] = acts ? 1 : 0;
  }
  return { idle, driver };
}
