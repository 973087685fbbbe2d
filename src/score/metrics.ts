/**
 * What one window of a trace says about the idle, in numbers that a calibrator would read off it.
 *
 * **Load on, supply dip**: sag, settling, stall margin. **Load off**: flare. **Target step**: overshoot of the step.
 * **Free-rev return, clutch in after coasting**: the speed comes down from far above, by the driver's doing. That is no
 * flare; flare counts from when the speed has come back to the band (`idleRows`), against the target alone, since the speed
 * at the event was the driver's. Sag and stall margin count all through: the dip below target after a return is what stalls
 * cars. Settling counts from when the driver lets go (foot off, or the clutch open): before that nothing could settle.
 * The integral of error leaves out what is the driver's, or one blip would outweigh everything.
 * **Cranking**: an engine that starts from below its stall speed has no sag or stall margin until it has run up to the band.
 */
import type { Trace } from '../loop/trace.js';
import { findHunting } from './hunting.js';
import type { Scoring } from './parameters.js';
import { settle, stepMetrics, type Settling } from './step.js';
import { at, rowAt, type Window } from './windows.js';

export const METRICS = [
  'sagRpm', 'flareRpm', 'settlingTimeS', 'overshootPct', 'stallMarginRpm', 'stallMarginPct', 'lowestRpm', 'lowestAtS', 'iaeRpmS',
  'huntingRpm', 'huntingHz', 'valveTravelPctPerS', 'sparkActivityDeg', 'saturatedS',
] as const;
export type MetricName = (typeof METRICS)[number];

/** Metrics of a window; what does not exist is null, and `reasons` says why. */
export interface Metrics extends Readonly<Record<MetricName, number | null>> {
  readonly reasons: Readonly<Partial<Record<MetricName, string>>>;
}

/** Root mean square of a column about its mean. */
function deviation(column: Float64Array, from: number, to: number): number {
  const rows = column.subarray(from, to);
  const mean = rows.reduce((sum, value) => sum + value, 0) / rows.length;
  return Math.sqrt(rows.reduce((sum, value) => sum + (value - mean) ** 2, 0) / rows.length);
}

function travel(column: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let k = from + 1; k < to; k++) sum += Math.abs(at(column, k) - at(column, k - 1));
  return sum;
}

/** A trace made ready for measuring. */
export interface Rows {
  readonly trace: Trace;
  readonly error: Float64Array;
  readonly idle: Uint8Array;
  readonly driver: Uint8Array;
  readonly scoring: Scoring;
}

/** What was measured in a window, and what the score needs beside it. */
export interface Measured {
  readonly metrics: Metrics;
  /** When settling starts to count (the driver has let go), and the last time known to be outside the band after that, s. */
  readonly settlesFromS: number;
  readonly outsideUntilS: number;
}

/** Every metric absent, for one reason. */
export const nothing = (reason: string, startS: number): Measured => ({
  metrics: {
    ...(Object.fromEntries(METRICS.map((name) => [name, null])) as Record<MetricName, null>),
    reasons: Object.fromEntries(METRICS.map((name) => [name, reason])),
  },
  settlesFromS: startS,
  outsideUntilS: 0,
});

/**
 * Highest rise above `ceiling` in rows that are the idle's own; null without such rows. The rest of the way down, from the
 * edge of the band to where the speed turns, still belongs to the return, or each would flare by the band.
 */
function flareAbove({ trace, idle }: Rows, { from, to }: Window, ceiling: number): number | null {
  const { speedRpm } = trace.columns;
  let flare: number | null = null;
  let returning = false;
  for (let k = from; k < to; k++) {
    if (idle[k] === 0) continue;
    if (k > 0 && idle[k - 1] === 0) returning = true;
    else if (k > 0 && at(speedRpm, k) >= at(speedRpm, k - 1)) returning = false;
    flare = Math.max(flare ?? 0, returning ? 0 : at(speedRpm, k) - ceiling);
  }
  return flare;
}

/** Integral of absolute error (trapezoids) over rows that are the idle's own or, the driver aside, below target. */
function errorIntegral({ trace, error, idle, driver }: Rows, { from, to }: Window): number | null {
  const { timeS } = trace.columns;
  const counts = (k: number): boolean => idle[k] === 1 || (driver[k] === 0 && at(error, k) < 0);
  let sum: number | null = null;
  for (let k = from; k + 1 < to; k++) {
    if (!counts(k) || !counts(k + 1)) continue;
    sum = (sum ?? 0) + ((Math.abs(at(error, k)) + Math.abs(at(error, k + 1))) / 2) * (at(timeS, k + 1) - at(timeS, k));
  }
  return sum;
}

/** Time with the air command at a limit of its clamp, s: each row holds until the next. */
function timeAtStop({ trace }: Rows, { from, to }: Window): number {
  const { timeS, atStop } = trace.columns;
  let sum = 0;
  for (let k = from; k + 1 < to; k++) if (at(atStop, k) > 0) sum += at(timeS, k + 1) - at(timeS, k);
  return sum;
}

/** Row from which hunting may be looked for: settled, or after the speed first came back through the target. */
function tailStart(rows: Rows, window: Window, settling: Settling, settleFrom: number, settleS: number): number {
  if (settling.timeS !== null) return Math.max(settleFrom, rowAt(rows.trace, settleS + settling.timeS, window.to));
  let k = settleFrom;
  while (k < window.to && Math.abs(at(rows.error, k)) <= rows.scoring.settlingBandRpm) k++;
  const side = Math.sign(rows.error[k] ?? 0);
  while (k < window.to && Math.sign(at(rows.error, k)) === side) k++;
  return k;
}

/**
 * Measures one window of at least two rows.
 *
 * @param targets before and after, rpm  @param speedAtStart rpm
 */
export function measure(rows: Rows, window: Window, targets: readonly [number, number], speedAtStart: number): Measured {
  const { trace, error, idle, driver, scoring } = rows;
  const { from, to, startS } = window;
  const { timeS, speedRpm, openingPct, sparkDeg } = trace.columns;
  const { settlingBandRpm: band, settlingHoldS: holdS } = scoring;
  const reasons: Partial<Record<MetricName, string>> = {};
  const absent = (name: MetricName, reason: string): null => {
    reasons[name] = reason;
    return null;
  };

  // Run-up: from below the stall speed, nothing has sagged until the idle has been reached.
  let runs = from;
  if (!window.stalled && at(speedRpm, from) <= trace.stallRpm) while (runs < to && at(error, runs) < -band) runs++;
  const notUp = 'the engine has not run up to its idle';

  let lowestRow = runs;
  for (let k = runs; k < to; k++) if (at(speedRpm, k) < at(speedRpm, lowestRow)) lowestRow = k;
  const seen = runs < to;
  const deeper = window.stalled && trace.stallRpm < at(speedRpm, lowestRow);
  const lowest = deeper ? trace.stallRpm : (speedRpm[lowestRow] ?? 0);
  const marginRpm = lowest - trace.stallRpm;
  const reference = targets[1];

  const floor = runs > from ? Math.min(...targets) : Math.min(...targets, speedAtStart);
  const ceiling = idle[from] === 1 ? Math.max(...targets, speedAtStart) : Math.max(...targets);
  let settleFrom = from;
  for (let k = from; k < to; k++) if (driver[k] === 1) settleFrom = k + 1;
  const settleS = settleFrom === from ? startS : settleFrom < to ? at(timeS, settleFrom) : window.endS;
  const settling: Settling =
    settleFrom >= to
      ? { timeS: null, outsideUntilS: 0, reason: 'the driver acts to the end of the window' }
      : settle(timeS, error, settleFrom, to, band, holdS, settleS);
  if (window.stalled) reasons.settlingTimeS = 'the engine stalls';
  else if (settling.reason !== null) reasons.settlingTimeS = settling.reason;

  const step = targets[1] - targets[0];
  let overshoot: number | null = null;
  if (Math.abs(step) < band) absent('overshootPct', 'the target moved by less than the settling band');
  else if (settleFrom > from || idle[from] === 0) absent('overshootPct', 'the driver held the speed, not the target');
  else overshoot = stepMetrics(timeS, speedRpm, { initial: targets[0], final: targets[1], band, holdS, from, to }).overshootPct;

  const tail = tailStart(rows, window, settling, settleFrom, settleS);
  const hunting = window.stalled
    ? { peakToPeakRpm: null, frequencyHz: null, reason: 'the engine stalls' }
    : findHunting(speedRpm, tail, to, trace.recordS, scoring.leastHuntingRpm);
  if (hunting.reason !== null) reasons.huntingRpm = reasons.huntingHz = hunting.reason;
  const steadyS = tail < to - 1 ? at(timeS, to - 1) - at(timeS, tail) : 0;
  const steady = !window.stalled && steadyS > 0 && (settling.timeS !== null || hunting.reason === null);
  const notSteady = window.stalled ? 'the engine stalls' : 'no steady stretch: the speed neither settles nor hunts';

  return {
    metrics: {
      sagRpm: seen ? Math.max(0, floor - lowest) : absent('sagRpm', notUp),
      flareRpm: flareAbove(rows, window, ceiling) ?? absent('flareRpm', 'the speed never came back to the idle from where the driver had put it'),
      settlingTimeS: window.stalled ? null : settling.timeS,
      overshootPct: overshoot,
      stallMarginRpm: seen ? marginRpm : absent('stallMarginRpm', notUp),
      stallMarginPct: seen && reference > 0 ? (100 * marginRpm) / reference : absent('stallMarginPct', seen ? 'the target is 0' : notUp),
      lowestRpm: seen ? lowest : absent('lowestRpm', notUp),
      lowestAtS: seen ? (deeper && trace.stallTimeS !== null ? trace.stallTimeS : at(timeS, lowestRow)) : absent('lowestAtS', notUp),
      iaeRpmS: errorIntegral(rows, window) ?? absent('iaeRpmS', 'the speed was never the idle’s own'),
      huntingRpm: hunting.peakToPeakRpm,
      huntingHz: hunting.frequencyHz,
      valveTravelPctPerS: steady ? travel(openingPct, tail, to) / steadyS : absent('valveTravelPctPerS', notSteady),
      sparkActivityDeg: steady ? deviation(sparkDeg, tail, to) : absent('sparkActivityDeg', notSteady),
      saturatedS: timeAtStop(rows, window),
      reasons,
    },
    settlesFromS: settleS,
    outsideUntilS: settling.outsideUntilS,
  };
}

