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

type Machinery = Pick<Scenario, 'engine' | 'valve'>;

/** An engine that is a fifth off in one thing. */
export interface OffEngine {
  /** `inertia −20 %`. */
  readonly name: string;
  /** A scenario with its own engine put off so: a drill at another height stays there. */
  put(scenario: Scenario): Scenario;
}

/** The engines of the corners: each thing a fifth lower and higher, as far as its range goes. */
export function offEngines(scenario: Scenario): readonly OffEngine[] {
  return VARIED.filter(([, pattern]) => keysOf(scenario, pattern).length > 0).flatMap(([name, pattern]) =>
    [1 - OFF, 1 + OFF].map((factor) => {
      // made once for each engine, so that its plant can be used again
      const made = new WeakMap<Scenario['engine'], Machinery>();
      return {
        name: `${name} ${factor < 1 ? '−' : '+'}${100 * OFF} %`,
        put(each: Scenario): Scenario {
          let off = made.get(each.engine);
          if (off === undefined) {
            const { engine, valve } = withValues(each, new Map(keysOf(each, pattern).map(({ path, value, min, max }): [string, number] => [path, Math.min(max, Math.max(min, value! * factor))])));
            off = { engine, valve };
            made.set(each.engine, off);
          }
          return { ...each, ...off };
        },
      };
    }),
  );
}

const keysOf = (scenario: Scenario, pattern: RegExp) => numericKeys(scenario).filter(({ path, value }) => pattern.test(path) && value !== null);

/** Whether an engine that is off stalls in a drill, or never comes to run in it. */
export const stallsOff = (scenario: Scenario, off: OffEngine, runner: Runner): boolean => runner.run(off.put(scenario)).trace.end.engine !== 'running';

/** Runs every drill in every corner. */
export const cornersOf = (scenarios: readonly Scenario[], engines: readonly OffEngine[], runner: Runner): readonly Corner[] =>
  engines.map((off) => ({ name: off.name, stalls: scenarios.filter((scenario) => stallsOff(scenario, off, runner)).map(({ drill }) => drill.name) }));
