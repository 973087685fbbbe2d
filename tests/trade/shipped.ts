/** The shipped scenarios, run as they are or with numbers put in. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { ColumnName, Trace } from '../../src/loop/trace.js';
import { simulate } from '../../src/loop/simulate.js';
import { loadScenarioOrThrow, type Scenario, withValues } from '../../src/scenario/index.js';
import { type Scored, scoreTrace } from '../../src/score/index.js';

const folder = fileURLToPath(new URL('../../scenarios/', import.meta.url));

/** The drills of a shipped file. */
export const suite = (file: string, set: readonly string[] = []): Promise<readonly Scenario[]> =>
  loadScenarioOrThrow(`${folder}${file}`, { read: (path) => readFileSync(path, 'utf8'), set });

/** The only drill of a shipped file. */
export async function shipped(file: string, set: readonly string[] = []): Promise<Scenario> {
  const [scenario, another] = await suite(file, set);
  if (scenario === undefined || another !== undefined) throw new Error(`${file}: one drill is wanted`);
  return scenario;
}

/** A scenario with a shipped drill in place of its own, and without its limits, which were stated for its own. */
export async function withDrill(scenario: Scenario, drill: string): Promise<Scenario> {
  const found = (await suite('studies/solenoid-pid.yaml')).find((each) => each.drill.name === drill);
  if (found === undefined) throw new Error(`${drill}: no such drill`);
  return { ...scenario, drill: found.drill, limits: found.limits };
}

export interface Run {
  readonly trace: Trace;
  readonly scored: Scored;
}

/** @param values keys to numbers in documented units */
export function run(scenario: Scenario, values: Readonly<Record<string, number>> = {}): Run {
  const changed = withValues(scenario, new Map(Object.entries(values)));
  const trace = simulate(changed);
  return { trace, scored: scoreTrace(trace, changed.limits, changed.scoring) };
}

/** Rows of a column between two times, the first counted. */
export function between({ rows, recordS, columns }: Trace, name: ColumnName, fromS: number, toS: number): Float64Array {
  const row = (timeS: number): number => Math.min(rows, Math.round(timeS / recordS));
  return columns[name].subarray(row(fromS), row(toS));
}

/** The last row of a column. */
export const lastOf = (trace: Trace, name: ColumnName): number => trace.columns[name][trace.rows - 1] as number;

export const lowest = (values: Float64Array): number => values.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY);
export const highest = (values: Float64Array): number => values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
