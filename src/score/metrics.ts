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
import { cycleMean, halfCycle, settleOnMean } from './cycle-mean.js';
import { flareAbove, lowsOf } from './extremes.js';
import { DRIVER, NEVER_IDLE, NO_STEP, NOT_HELD, SHORT, STALLS, STILL_FALLS } from './reasons.js';
import { deviation, errorIntegral, type Rows, timeAtStop, travel } from './rows.js';
import { stepMetrics, type Settling } from './step.js';
import { spread } from './swings.js';
import { huntingOf, tailStart } from './tail.js';
import { at, DRIVERS, type Window } from './windows.js';

export const METRICS = [
  'sagRpm', 'flareRpm', 'settlingTimeS', 'overshootPct', 'stallMarginRpm', 'stallMarginPct', 'lowestRpm', 'lowestAtS', 'iaeRpmS',
  'huntingRpm', 'huntingHz', 'valveTravelPctPerS', 'sparkActivityDeg', 'saturatedS',
] as const;
export type MetricName = (typeof METRICS)[number];

/** Metrics of a window; what does not exist is null, and `reasons` says why. */
export interface Metrics extends Readonly<Record<MetricName, number | null>> {
  readonly reasons: Readonly<Partial<Record<MetricName, string>>>;
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

  const { seen, lowest, lowestAtS, sagRpm } = lowsOf(rows, window, targets, speedAtStart);
  const marginRpm = lowest - trace.stallRpm;
  const reference = targets[1];
  const ceiling = idle[from] !== DRIVERS ? Math.max(...targets, speedAtStart) : Math.max(...targets);
  const notUp = 'the engine has not run up to its idle';
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
      sagRpm: seen ? sagRpm : absent('sagRpm', notUp),
      flareRpm: flareAbove(rows, window, ceiling, Math.max(...targets)) ?? absent('flareRpm', settleFrom >= to ? DRIVER : STILL_FALLS),
      settlingTimeS: window.stalled ? null : settling.timeS,
      overshootPct: overshoot,
      stallMarginRpm: seen ? marginRpm : absent('stallMarginRpm', notUp),
      stallMarginPct: seen && reference > 0 ? (100 * marginRpm) / reference : absent('stallMarginPct', seen ? 'the target is 0' : notUp),
      lowestRpm: seen ? lowest : absent('lowestRpm', notUp),
      lowestAtS: seen ? lowestAtS : absent('lowestAtS', notUp),
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

