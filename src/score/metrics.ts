/**
 * What one window of a trace says about the idle, in numbers that a calibrator would read off it.
 *
 * **Load on, supply dip**: sag, settling, stall margin. **Load off**: flare. **Target step**: overshoot of the step.
 * **Free-rev return, clutch in after coasting**: the speed comes down from far above, by the driver's doing. That is no
 * flare; flare counts from when the speed has come back to the band, or hangs above it (`idleRows`), against the target
 * alone, since the speed at the event was the driver's. Sag and stall margin count all through: the dip below target after a return is what stalls
 * cars. Settling counts from when the driver lets go (foot off, or the clutch open): before that nothing could settle.
 * The integral of error leaves out what is the driver's, or one blip would outweigh everything.
 * **Settling** is judged on the speed's mean over an engine cycle (`settleOnMean`); sag, flare and lowest speed are the
 * speed's own, since that is what stalls.
 * **Valve travel and spark activity** are those of the settled or hunting stretch; where there is none, of the second half of
 * the window since the driver let go: an unsettled speed is no reason not to see how busy valve and spark are.
 * **Cranking**: an engine that starts from below its stall speed has no sag or stall margin until it has run up to the band.
 */
import type { Trace } from '../loop/trace.js';
import { cycleMean, halfCycle, settleOnMean } from './cycle-mean.js';
import { findHunting, type Hunting, none } from './hunting.js';
import type { Scoring } from './parameters.js';
import { absence, AT_REST, DIES_AWAY, DRIVER, NEVER_IDLE, NO_STEP, NOT_HELD, SHORT, STALLS, STILL_FALLS } from './reasons.js';
import { stepMetrics, type Settling } from './step.js';
import { comesToRest, findSwings, spread } from './swings.js';
import { at, DRIVERS, IDLES, rowAt, type Window } from './windows.js';

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
  /** Highest less lowest cycle mean where hunting was looked for, rpm: hunting is no more than that, found or not. */
  readonly mostHuntingRpm: number;
}

/** Every metric absent, for one reason. */
export const nothing = (reason: string, startS: number): Measured => ({
  metrics: {
    ...(Object.fromEntries(METRICS.map((name) => [name, null])) as Record<MetricName, null>),
    reasons: Object.fromEntries(METRICS.map((name) => [name, reason])),
  },
  settlesFromS: startS,
  outsideUntilS: 0,
  mostHuntingRpm: 0,
});

/**
 * Highest rise above `ceiling` in rows that are the idle's own; null without such rows. After the driver has acted it is
 * above `target`, for what the speed was before is no measure any more. The rest of the way down, from the edge of the
 * band to where the speed turns, still belongs to the return, or each would flare by the band.
 */
function flareAbove({ trace, idle, driver }: Rows, { from, to }: Window, ceiling: number, target: number): number | null {
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

/** Integral of absolute error (trapezoids) over rows that are the idle's own or, the driver aside, below target. */
function errorIntegral({ trace, error, idle, driver }: Rows, { from, to }: Window): number | null {
  const { timeS } = trace.columns;
  const counts = (k: number): boolean => idle[k] !== DRIVERS || (driver[k] === 0 && at(error, k) < 0);
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

/** What hunting and steady running are looked for in. */
interface Stretch {
  readonly window: Window;
  /** Cycle mean of the error, rpm. */
  readonly mean: Float64Array;
  /** Row from which the speed was left to settle, and whether it did. */
  readonly settleFrom: number;
  readonly settled: boolean;
  /** Row from which hunting may be looked for: settled, or after the speed first came back through the target. */
  readonly tail: number;
}

function tailStart(rows: Rows, { window, mean, settleFrom }: Omit<Stretch, 'tail' | 'settled'>, settling: Settling, settleS: number): number {
  if (settling.timeS !== null) return Math.max(settleFrom, rowAt(rows.trace, settleS + settling.timeS, window.to));
  let k = settleFrom;
  while (k < window.to && Math.abs(at(mean, k)) <= rows.scoring.settlingBandRpm) k++;
  const side = Math.sign(mean[k] ?? 0);
  while (k < window.to && Math.sign(at(mean, k)) === side) k++;
  return k;
}

function huntingOf({ trace, scoring }: Rows, { window, mean, settleFrom, settled, tail }: Stretch): Hunting {
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
  const ceiling = idle[from] !== DRIVERS ? Math.max(...targets, speedAtStart) : Math.max(...targets);
  let settleFrom = from;
  for (let k = from; k < to; k++) if (driver[k] === 1) settleFrom = k + 1;
  const settleS = settleFrom === from ? startS : settleFrom < to ? at(timeS, settleFrom) : window.endS;
  const half = halfCycle(targets[1], trace.recordS);
  const mean = cycleMean(error, settleFrom, to, half);
  const settling: Settling =
    settleFrom >= to
      ? { timeS: null, outsideUntilS: 0, reason: DRIVER }
      : settleOnMean(timeS, error, mean, half, settleFrom, to, band, holdS, settleS);
  if (window.stalled) reasons.settlingTimeS = STALLS;
  else if (settling.reason !== null) reasons.settlingTimeS = settling.reason;

  const step = targets[1] - targets[0];
  let overshoot: number | null = null;
  if (Math.abs(step) < band) absent('overshootPct', NO_STEP);
  else if (settleFrom > from || idle[from] === DRIVERS) absent('overshootPct', NOT_HELD);
  else overshoot = stepMetrics(timeS, speedRpm, { initial: targets[0], final: targets[1], band, holdS, from, to }).overshootPct;

  const tail = tailStart(rows, { window, mean, settleFrom }, settling, settleS);
  const hunting = huntingOf(rows, { window, mean, settleFrom, settled: settling.timeS !== null, tail });
  if (hunting.reason !== null) reasons.huntingRpm = reasons.huntingHz = hunting.reason;
  const steadyFrom = settling.timeS !== null || (hunting.reason === null && tail < to) ? tail : settleFrom + ((to - settleFrom) >> 1);
  const steadyS = steadyFrom < to - 1 ? at(timeS, to - 1) - at(timeS, steadyFrom) : 0;
  const steady = !window.stalled && steadyS > 0;
  const notSteady = window.stalled ? STALLS : settleFrom >= to ? DRIVER : SHORT;

  return {
    metrics: {
      sagRpm: seen ? Math.max(0, floor - lowest) : absent('sagRpm', notUp),
      flareRpm: flareAbove(rows, window, ceiling, Math.max(...targets)) ?? absent('flareRpm', settleFrom >= to ? DRIVER : STILL_FALLS),
      settlingTimeS: window.stalled ? null : settling.timeS,
      overshootPct: overshoot,
      stallMarginRpm: seen ? marginRpm : absent('stallMarginRpm', notUp),
      stallMarginPct: seen && reference > 0 ? (100 * marginRpm) / reference : absent('stallMarginPct', seen ? 'the target is 0' : notUp),
      lowestRpm: seen ? lowest : absent('lowestRpm', notUp),
      lowestAtS: seen ? (deeper && trace.stallTimeS !== null ? trace.stallTimeS : at(timeS, lowestRow)) : absent('lowestAtS', notUp),
      iaeRpmS: errorIntegral(rows, window) ?? absent('iaeRpmS', NEVER_IDLE),
      huntingRpm: hunting.peakToPeakRpm,
      huntingHz: hunting.frequencyHz,
      valveTravelPctPerS: steady ? travel(openingPct, steadyFrom, to) / steadyS : absent('valveTravelPctPerS', notSteady),
      sparkActivityDeg: steady ? deviation(sparkDeg, steadyFrom, to) : absent('sparkActivityDeg', notSteady),
      saturatedS: timeAtStop(rows, window),
      reasons,
    },
    settlesFromS: settleS,
    outsideUntilS: settling.outsideUntilS,
    mostHuntingRpm: spread(mean, tail, to),
  };
}

