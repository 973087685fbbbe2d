/** Running drills, and what counts as passing one. */
import { simulate } from '../loop/simulate.js';
import type { Trace } from '../loop/trace.js';
import type { Scenario } from '../scenario/index.js';
import { type Scored, scoreTrace } from '../score/index.js';
import { unsettled } from '../score/worst.js';
import { createPlants, type Plants } from '../search/plants.js';
import type { DrillResult } from './result.js';

/**
 * Share of the room between target and stall that must be left at the lowest speed, where the file states no stall margin.
 * Assumed: an engine that has used three quarters of it stalls on the next bump.
 */
const LEAST_MARGIN = 0.25;

/** Runs drills one after the other; plants are used again. */
export interface Runner {
  run(scenario: Scenario): { readonly trace: Trace; readonly result: DrillResult };
  plants: Plants;
}

export function createRunner(): Runner {
  const plants = createPlants();
  return {
    plants,
    run(scenario) {
      const trace = simulate(scenario, { plant: plants.of(scenario) });
      return { trace, result: judge(scenario, trace) };
    },
  };
}

/** What is dangerous in a run: it does not run to its end, or comes too near a stall; null where nothing is. */
function danger(scenario: Scenario, trace: Trace, { metrics, verdict, stalled }: Scored): string | null {
  if (stalled || trace.end.engine !== 'running') return verdict;
  const room = Math.min(...trace.columns.targetRpm.subarray(0, trace.rows)) - trace.stallRpm;
  const margin = metrics.stallMarginRpm;
  if (scenario.limits.stallMarginRpm !== null || margin === null || margin >= LEAST_MARGIN * room) return null;
  return `Too near a stall: ${margin.toFixed(0)} rpm left, ${(LEAST_MARGIN * room).toFixed(0)} wanted. ${verdict}`;
}

/** What is not good in a run that is safe: a limit missed, a speed that does not settle or hunts. */
function poor({ scoring }: Scenario, { metrics, missed, verdict, events }: Scored): string | null {
  const unsettledRun = metrics.settlingTimeS === null && (events.length === 0 || events.some(unsettled));
  return missed.length > 0 || unsettledRun || (metrics.huntingRpm ?? 0) > scoring.scales.huntingRpm ? verdict : null;
}

/** Scores a run and says whether it passes: runs to the end, keeps its limits and a margin, settles, does not hunt. */
export function judge(scenario: Scenario, trace: Trace): DrillResult {
  const scored = scoreTrace(trace, scenario.limits, scenario.scoring);
  const unsafe = danger(scenario, trace, scored);
  const why = unsafe ?? poor(scenario, scored);
  return { score: scored.score, passes: why === null, safe: unsafe === null, verdict: why ?? scored.verdict, scored };
}
