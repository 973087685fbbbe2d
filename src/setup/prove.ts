/** Running drills, and what counts as passing one. */
import { simulate } from '../loop/simulate.js';
import type { Trace } from '../loop/trace.js';
import type { Scenario } from '../scenario/index.js';
import { scoreTrace } from '../score/index.js';
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

/** Scores a run and says whether it passes: runs to the end, keeps its limits and a margin, settles, does not hunt. */
export function judge(scenario: Scenario, trace: Trace): DrillResult {
  const scored = scoreTrace(trace, scenario.limits, scenario.scoring);
  const { metrics, missed, verdict, stalled } = scored;
  const bad = (): string | null => {
    if (stalled || trace.end.engine !== 'running' || missed.length > 0) return verdict;
    if (metrics.settlingTimeS === null && (scored.events.length === 0 || scored.events.some(unsettled))) return verdict;
    if ((metrics.huntingRpm ?? 0) > scenario.scoring.scales.huntingRpm) return verdict;
    const room = Math.min(...trace.columns.targetRpm.subarray(0, trace.rows)) - trace.stallRpm;
    const margin = metrics.stallMarginRpm;
    if (scenario.limits.stallMarginRpm === null && margin !== null && margin < LEAST_MARGIN * room) {
      return `Too near a stall: ${margin.toFixed(0)} rpm left, ${(LEAST_MARGIN * room).toFixed(0)} wanted. ${verdict}`;
    }
    return null;
  };
  const why = bad();
  return { score: scored.score, passes: why === null, verdict: why ?? verdict, scored };
}
