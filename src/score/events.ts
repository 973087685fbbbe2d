/** Metrics of each event of a drill, in its window from the request and, where it differs, from the engagement. */
import type { Trace, TraceEvent } from '../loop/trace.js';
import { hanging, pedalLeft } from './left.js';
import { measure, nothing, type Measured, type Metrics } from './metrics.js';
import type { Rows } from './rows.js';
import type { Scoring } from './parameters.js';
import { at, idleRows, rowAt, windowFrom, type Window } from './windows.js';

export interface EventMetrics extends Metrics {
  readonly atS: number;
  readonly engagedS: number;
  readonly name: string;
  readonly what: string;
  /** The same, seen from the engagement; null where that is the request. */
  readonly fromEngagement: Metrics | null;
  /** What the numbers were taken from. */
  readonly window: Window;
  /** When settling starts to count (the driver has let go), and the last time known to be outside the band after that, s. */
  readonly settlesFromS: number;
  readonly outsideUntilS: number;
  /** No hunting can be larger than this, rpm. */
  readonly mostHuntingRpm: number;
  /** Where and why the speed hangs above the idle at the end, or that the pedal was never let go; null where neither. */
  readonly hangs: string | null;
  readonly pedal: string | null;
}

/** Time after request and engagement at which the target has taken its new value, s: a few ticks of any controller. */
const TARGET_S = 0.5;

/**
 * What measures the events of a trace.
 *
 * @returns a function of one event; a stretch that is none can be measured as if it were
 */
export function eventMeter(trace: Trace, scoring: Scoring): (event: TraceEvent) => EventMetrics {
  const { speedRpm, targetRpm, timeS } = trace.columns;
  const error = Float64Array.from({ length: trace.rows }, (_, k) => at(speedRpm, k) - at(targetRpm, k));
  const rows: Rows = { trace, error, ...idleRows(trace, scoring.settlingBandRpm), scoring };

  const measureFrom = (event: TraceEvent, window: Window): Measured => {
    if (window.to - window.from < 2) return nothing('the run ends, or the next event comes, before anything could be seen', window.startS);
    const before = Math.max(0, rowAt(trace, event.atS, window.to) - 1);
    const after = Math.min(window.to - 1, rowAt(trace, Math.max(event.atS, event.engagedS) + TARGET_S, window.to));
    const previous = Math.max(0, window.from - 1);
    const gapS = at(timeS, window.from) - at(timeS, previous);
    const share = gapS > 0 ? Math.min(1, Math.max(0, (window.startS - at(timeS, previous)) / gapS)) : 1;
    const speedAtStart = at(speedRpm, previous) + share * (at(speedRpm, window.from) - at(speedRpm, previous));
    return measure(rows, window, [at(targetRpm, before), at(targetRpm, after)], speedAtStart);
  };

  return (event) => {
    const window = windowFrom(trace, event.atS, event.atS);
    const { metrics, settlesFromS, outsideUntilS, mostHuntingRpm } = measureFrom(event, window);
    const later = event.engagedS > event.atS + 1e-6 * trace.recordS;
    const fromEngagement = later ? measureFrom(event, windowFrom(trace, event.atS, event.engagedS)).metrics : null;
    const { atS, engagedS, name, what } = event;
    const [hangs, pedal] = [hanging(rows, window), pedalLeft(trace, event, window)];
    return { atS, engagedS, name, what, ...metrics, fromEngagement, window, settlesFromS, outsideUntilS, mostHuntingRpm, hangs, pedal };
  };
}
