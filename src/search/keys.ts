/** The numeric keys that a sweep may vary, as a whole suite of scenarios sees them. */
import { type NumericKey, numericKeys, type Scenario } from '../scenario/index.js';
import { nearestName } from '../scenario/problem.js';

/** Sections that a sweep may vary. What a run is made of, allowed and charged stays: else scores could not be compared. */
const VARIED = ['engine', 'valve', 'controller', 'drill'];
const FIXED = ['run', 'limits', 'scoring'];

/** A key that every scenario of a suite has, in one unit. */
export interface SweptKey {
  readonly path: string;
  /** Documented unit; '' for a plain number. */
  readonly unit: string;
  /** Range allowed in every scenario, in `unit`. */
  readonly min: number;
  readonly max: number;
  readonly integer: boolean;
  /** What it is now, in `unit`; null when absent, or not the same in every scenario. */
  readonly value: number | null;
}

/** What a scenario is called in messages. */
export const scenarioLabel = (scenario: Scenario): string => [scenario.title, scenario.drill.name].filter((part) => part !== '').join(', ');

const section = (path: string): string => path.split('.', 1)[0] ?? '';

function unknown(path: string, known: readonly string[]): string {
  const within = section(path);
  if (FIXED.includes(within)) return `a sweep varies keys of ${VARIED.join(', ')}; ${within} must stay, or scores could not be compared`;
  const ends = known.filter((key) => key.toLowerCase().endsWith(`.${path.toLowerCase()}`)).slice(0, 3);
  const nearest = nearestName(path, known);
  const meant = ends.length > 0 ? ends.join(' or ') : nearest;
  return `no numeric key of ${VARIED.join(', ')}${meant === null ? '' : `; did you mean ${meant}?`}`;
}

/** Finds a key in every scenario of a suite, or says why a sweep cannot vary it. */
export function createKeyFinder(scenarios: readonly Scenario[]): (path: string) => SweptKey | string {
  const tables = scenarios.map((scenario) => {
    const keys = numericKeys(scenario).filter((key) => VARIED.includes(section(key.path)));
    return new Map(keys.map((key): [string, NumericKey] => [key.path, key]));
  });
  const known = [...new Set(tables.flatMap((table) => [...table.keys()]))];
  return (path) => {
    const found = tables.map((table) => table.get(path));
    const [first] = found.filter((key) => key !== undefined);
    if (first === undefined) return unknown(path, known);
    let { min, max } = first;
    let value: number | null = first.value;
    for (const [i, key] of found.entries()) {
      const label = scenarioLabel(scenarios[i] as Scenario);
      if (key === undefined) return `not in every scenario of the suite: ${label} has none`;
      if (key.unit !== first.unit) return `in ${first.unit} in one scenario of the suite and in ${key.unit} in another (${label})`;
      min = Math.max(min, key.min);
      max = Math.min(max, key.max);
      if (key.value !== value) value = null;
    }
    return { path, unit: first.unit, min, max, integer: first.integer, value };
  };
}
