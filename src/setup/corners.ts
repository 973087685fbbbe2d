/** The engine a fifth off in one thing at a time: nobody knows their engine better than that. */
import { numericKeys, type Scenario, withValues } from '../scenario/index.js';
import type { Runner } from './prove.js';
import type { Corner } from './result.js';

const OFF = 0.2;

/** What is varied: a name, and the keys that belong to it. */
const VARIED: readonly (readonly [string, RegExp])[] = [
  ['inertia', /^engine\.inertia$/],
  ['plenum volume', /^engine\.manifold\.volume$/],
  ['friction', /^engine\.friction\.(fmep|torque|scale)/],
  ['valve flow', /^valve\.size\.(flow|area)$/],
];

/** An engine that is a fifth off in one thing. */
export interface OffEngine {
  /** `inertia −20 %`. */
  readonly name: string;
  readonly engine: Scenario['engine'];
  readonly valve: Scenario['valve'];
}

/** The engines of the corners: each thing a fifth lower and higher, as far as its range goes. */
export function offEngines(scenario: Scenario): readonly OffEngine[] {
  const keys = numericKeys(scenario);
  return VARIED.flatMap(([name, pattern]) => {
    const mine = keys.filter(({ path, value }) => pattern.test(path) && value !== null);
    if (mine.length === 0) return [];
    return [1 - OFF, 1 + OFF].map((factor) => {
      const values = new Map(mine.map(({ path, value, min, max }): [string, number] => [path, Math.min(max, Math.max(min, value! * factor))]));
      const { engine, valve } = withValues(scenario, values);
      return { name: `${name} ${factor < 1 ? '−' : '+'}${100 * OFF} %`, engine, valve };
    });
  });
}

/** Whether the engine stalls in a drill with an engine that is off. */
export const stallsOff = (scenario: Scenario, { engine, valve }: OffEngine, runner: Runner): boolean => runner.run({ ...scenario, engine, valve }).trace.stalled;

/** Runs every drill in every corner. */
export const cornersOf = (scenarios: readonly Scenario[], engines: readonly OffEngine[], runner: Runner): readonly Corner[] =>
  engines.map((off) => ({ name: off.name, stalls: scenarios.filter((scenario) => stallsOff(scenario, off, runner)).map(({ drill }) => drill.name) }));
