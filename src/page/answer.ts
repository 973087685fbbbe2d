/** The worker's side: questions in, answers out. Nothing here knows that it runs in a browser. */
import { simulate } from '../loop/simulate.js';
import type { Scenario } from '../scenario/table.js';
import { METRIC_ROWS } from '../report/metric-names.js';
import { withUnit } from '../report/numbers.js';
import type { MetricName, Metrics } from '../score/metrics.js';
import { scoreTrace } from '../score/score.js';
import { whyMissed } from '../score/why-missed.js';
import { frequencyOf } from './frequency.js';
import { createLive, type Live, MOST_UNDRAINED } from './live.js';
import type { Answer, DrawnRun, LiveStretch, Question } from './messages.js';
import { thin } from './thin.js';
import { traceBits } from './trace-bits.js';

/** Longest stretch of a live run in one answer, s of the engine's time: a change must not wait behind more. */
const LONGEST_S = 2;

/** Told of an event beside its pin. */
const TOLD: readonly MetricName[] = ['sagRpm', 'flareRpm', 'settlingTimeS', 'stallMarginRpm'];

const eventWords = (metrics: Metrics): string =>
  METRIC_ROWS.filter(({ name }) => TOLD.includes(name))
    .flatMap(({ name, label, unit }) => {
      const value = metrics[name];
      return value === null ? [] : [`${label} ${withUnit(value, unit)}`];
    })
    .join(', ');

/** Runs a scenario as `run` does. @throws RangeError when its settings contradict each other */
export function runDrawn(scenario: Scenario): DrawnRun {
  const trace = simulate(scenario);
  const scored = scoreTrace(trace, scenario.limits, scenario.scoring);
  const { verdict, events: metrics } = scored;
  const { rows, airUnit, airLimits, events, open, stalled, stallRpm, end } = trace;
  return { drawn: thin(trace.columns, rows), rows, airUnit, airLimits, events, open, stalled, stallRpm, endS: end.atS, bits: traceBits(trace), verdict, failed: stalled || scored.missed.length > 0, why: whyMissed(trace, scored), told: metrics.map(eventWords) };
}

function stretchOf(live: Live): LiveStretch {
  return { ...live.drain(), timeS: live.timeS(), events: [...live.events], open: live.open(), stalled: live.stalled() };
}

/** Answers questions one after the other; keeps the live run between them. */
export function createAnswerer(): (question: Question) => Answer {
  let live: Live | null = null;
  let step = 0;
  let record = 0;
  const running = (): Live => {
    if (live === null) throw new RangeError('nothing is running');
    return live;
  };
  const answer = (question: Question): Answer => {
    const { id } = question;
    switch (question.kind) {
      case 'run':
        return { kind: 'ran', id, run: runDrawn(question.scenario) };
      case 'frequency':
        return { kind: 'frequency', id, frequency: frequencyOf(question.scenario) };
      case 'start':
        live = createLive(question.scenario);
        ({ step, record } = question.scenario.run);
        break;
      case 'change':
        running().change(question.scenario);
        break;
      case 'press':
        running().press(question.event);
        break;
      case 'advance':
        running().advance(Math.round(Math.min(question.seconds, LONGEST_S, record * (MOST_UNDRAINED - 2)) / step));
    }
    return { kind: 'live', id, stretch: stretchOf(running()) };
  };
  return (question) => {
    try {
      return answer(question);
    } catch (error) {
      return { kind: 'refused', id: question.id, because: error instanceof Error ? error.message : String(error) };
    }
  };
}
