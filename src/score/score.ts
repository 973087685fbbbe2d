/**
 * The score of a run: what its worst event costs, plus what limits and a stall add. Lower is better.
 *
 * An event costs the root mean square, weighted, of its terms over their scales. A term that does not exist costs nothing
 * and stays in the mean: were it left out, hunting that has only just become visible would make an event *cheaper*. So that
 * a search has a slope to follow,
 * - an event that does not settle is charged the length of its window, from when settling counts, as settling time;
 * - one that stalls is charged `stalledSettlingS` less the time survived, and no integral of error, which would reward an
 *   early end: among runs that stall, the later stall costs less.
 */
import type { Trace } from '../loop/trace.js';
import { eventMeter, type EventMetrics } from './events.js';
import { missedLimits, type Missed } from './limits.js';
import type { Metrics } from './metrics.js';
import type { Limits, ScoredMetric, Scoring } from './parameters.js';
import { verdict } from './verdict.js';
import { at } from './windows.js';
import { rough, worstMetrics } from './worst.js';

export interface Scored {
  /** What the verdict is about: the events seen, after the stretch before them where that is rough; the whole run without any. */
  readonly judged: readonly EventMetrics[];
  /** One each of the trace. */
  readonly events: readonly EventMetrics[];
  /** Worst values of the run. */
  readonly metrics: Metrics;
  readonly missed: readonly Missed[];
  readonly score: number;
  readonly stalled: boolean;
  readonly stallTimeS: number | null;
  readonly verdict: string;
}

/** What a term is charged; see the top of this module. */
function charged(event: EventMetrics, name: ScoredMetric, scoring: Scoring): number {
  const { window, settlesFromS } = event;
  if (name === 'iaeRpmS' && window.stalled) return 0;
  if (name === 'settlingTimeS') {
    if (window.stalled) return Math.max(0, scoring.stalledSettlingS - (window.endS - window.startS));
    return event.settlingTimeS ?? Math.max(0, window.endS - settlesFromS);
  }
  return event[name] ?? 0;
}

/** What one event costs, limits and stall aside. */
export function eventCost(event: EventMetrics, scoring: Scoring): number {
  let squares = 0;
  let weights = 0;
  for (const name of Object.keys(scoring.scales) as ScoredMetric[]) {
    const weight = scoring.weights[name];
    squares += weight * (charged(event, name, scoring) / scoring.scales[name]) ** 2;
    weights += weight;
  }
  return weights > 0 ? Math.sqrt(squares / weights) : 0;
}

function checkTrace(trace: Trace): void {
  if (trace.rows < 1) throw new RangeError('score: the trace has no rows');
  for (const name of ['timeS', 'speedRpm', 'targetRpm', 'openingPct', 'sparkDeg', 'throttlePct', 'clutchNm', 'atStop'] as const) {
    for (let k = 0; k < trace.rows; k++) {
      const value = at(trace.columns[name], k);
      if (!Number.isFinite(value)) throw new RangeError(`score: column ${name}, row ${k}: ${value} is no number`);
    }
  }
}

/**
 * Measures and scores a run.
 *
 * A drill without events, or one that ends before the first, is judged on all of it as one event. The stretch before the
 * first event is judged as an event too where it is rough (`rough`); where it is quiet, its numbers count against limits.
 *
 * @throws RangeError if the trace has no rows, or one that is not finite
 */
export function scoreTrace(trace: Trace, limits: Limits, scoring: Scoring): Scored {
  checkTrace(trace);
  const meter = eventMeter(trace, scoring);
  const events = trace.events.map((event) => meter(event));
  const seen = events.filter(({ window }) => window.to - window.from > 1);
  const startS = at(trace.columns.timeS, 0);
  const leadIn = meter({ atS: startS, engagedS: startS, name: seen.length > 0 ? 'before the first event' : 'whole run', what: '' });
  const apart = seen.length > 0 && seen.every(({ window }) => window.from > leadIn.window.from) && leadIn.window.to - leadIn.window.from > 1;
  const judged = seen.length === 0 ? [leadIn] : apart && rough(leadIn, scoring.settlingBandRpm) ? [leadIn, ...seen] : seen;
  const quiet = apart && !judged.includes(leadIn) ? leadIn : null;

  const metrics = worstMetrics(judged, quiet);
  const missed = missedLimits(judged, limits, scoring, quiet);
  const worst = Math.max(...judged.map((event) => eventCost(event, scoring)));
  const score = worst + scoring.limitBroken * missed.length + (trace.stalled ? scoring.stall : 0);
  const { stalled, stallTimeS } = trace;
  return { judged, events, metrics, missed, score, stalled, stallTimeS, verdict: verdict(trace, judged, metrics, missed, scoring) };
}

/**
 * Score of a suite: the mean of its drills.
 *
 * @throws RangeError if there are none
 */
export function scoreSuite(scores: readonly number[]): number {
  if (scores.length === 0) throw new RangeError('score: a suite needs at least one drill');
  return scores.reduce((sum, score) => sum + score, 0) / scores.length;
}
