/** Room `score`: metrics of a trace, limits, score of a run and of a suite. */
export { type EventMetrics, eventMeter } from './events.js';
export { findHunting, type Hunting } from './hunting.js';
export { type LimitName, type Missed, missedLimits } from './limits.js';
export { METRICS, type MetricName, type Metrics } from './metrics.js';
export { type Limits, limitsTable, type ScoredMetric, type Scoring, scoringTable } from './parameters.js';
export { eventCost, type Scored, scoreSuite, scoreTrace } from './score.js';
export { type Samples, settle, type Settling, type StepMetric, stepMetrics, type StepMetrics, type StepOptions } from './step.js';
export { verdict } from './verdict.js';
export { worstMetrics } from './worst.js';
