/**
 * Gains tuned on the project's engine, driven on one of another kind: what wins only on its own plant is no answer. The foreign engine
 * is invented (foreign-engine.ts); the controller is the project's, ticked as a user ticks it.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { loadScenarioOrThrow, type Scenario, withValues } from '../../src/scenario/index.js';
import { scoreSuite, scoreTrace } from '../../src/score/index.js';
import { rulesOf } from '../../src/search/tune/rules.js';
import { createForeignEngine, type ForeignSettings } from './foreign-engine.js';

const FILE = fileURLToPath(new URL('../../scenarios/gains.yaml', import.meta.url));
const VARIANTS: readonly Partial<ForeignSettings>[] = [{}, { inertia: 0.12 }, { inertia: 0.18 }, { volume: 4e-3 }, { valveFlow: 11e-3 }, { roughness: 0.05 }];

/** Worst mean score over the variants, and the drills in which an engine stalls. */
function driven(scenarios: readonly Scenario[], values: ReadonlyMap<string, number>): { readonly score: number; readonly settlingS: number; readonly stalls: readonly string[] } {
  const stalls: string[] = [];
  let [score, settlingS] = [0, 0];
  for (const variant of VARIANTS) {
    const scored = scenarios.map((each) => {
      const scenario = withValues(each, values);
      const trace = simulate(scenario, { plant: createForeignEngine({ step: scenario.run.step, ...variant }) });
      if (trace.stalled) stalls.push(`${scenario.drill.name}, ${JSON.stringify(variant)}`);
      const result = scoreTrace(trace, scenario.limits, scenario.scoring);
      settlingS = Math.max(settlingS, result.metrics.settlingTimeS ?? Number.POSITIVE_INFINITY);
      return result;
    });
    score = Math.max(score, scoreSuite(scored.map((each) => each.score)));
  }
  return { score, settlingS, stalls };
}

/** What `tickover tune scenarios/gains.yaml --settling 4` answers (docs/tuning.md). */
const TUNED = new Map([['controller.pid.kp', 0.0114], ['controller.pid.ki', 0.0538], ['controller.pid.kd', 0.000602], ['controller.spark.rate', 0.193]]);

test('on an engine of another kind tuned gains stall nothing, settle, and cost at most 0.7 of the best published rule on the same file', async () => {
  const scenarios = await loadScenarioOrThrow(FILE, { read: (path) => readFileSync(path, 'utf8') });
  const tuned = driven(scenarios, TUNED);
  expect(tuned.stalls).toEqual([]);
  expect(tuned.settlingS).toBeLessThan(4);
  const rules = rulesOf(scenarios).tried.flatMap(({ row }) => (row.gains === null ? [] : [driven(scenarios, new Map([['controller.pid.kp', row.gains.kp], ['controller.pid.ki', row.gains.ki], ['controller.pid.kd', row.gains.kd]])).score]));
  expect(rules.length).toBeGreaterThan(8);
  expect(tuned.score).toBeLessThan(0.7 * Math.min(...rules));
});
