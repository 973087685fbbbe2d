/** Engines to set up: the shipped ones, with nothing of the controller said but its loads. Computed once for all tests of a file. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { loadScenario, type Scenario } from '../../src/scenario/index.js';
import { formatProblem } from '../../src/scenario/index.js';
import { givenIn, setup, type SetupResult } from '../../src/setup/index.js';

const SCENARIOS = fileURLToPath(new URL('../../scenarios/', import.meta.url));

const file = (title: string, engine: string, valve: string, torque: number): string => `
title: ${title}
engine: {from: engines/${engine}.yaml}
valve: ${valve}
controller:
  loads: [{name: compressor, lead: 0 s}]
drill:
  name: compressor on and off
  events: [{do: load, at: 2, name: compressor, torque: ${torque}, rise: 0.1}, {do: load, at: 12, name: compressor}]
run: {duration: 22}
`;
const stepper = (flow: number): string => `{from: valves/stepper.yaml, size: {by: flow, flow: ${flow}}}`;
const solenoid = (flow: number): string => `{from: valves/solenoid.yaml, size: {by: flow, flow: ${flow}}}`;

export const FILES = {
  'four, solenoid': file('1.8 L four, solenoid', 'four-1.8', '{from: valves/solenoid.yaml}', 8),
  'four, stepper': file('1.8 L four, stepper', 'four-1.8', '{from: valves/stepper.yaml}', 8),
  three: file('1.0 L three', 'three-1.0', solenoid(5.5), 4.5),
  six: file('3.5 L six', 'six-3.5', solenoid(16), 8),
  eight: file('5.7 L eight', 'eight-5.7', solenoid(25), 8),
} as const;
/** The other engines with a stepper. */
export const STEPPERS = {
  three: file('1.0 L three', 'three-1.0', stepper(5.5), 4.5),
  six: file('3.5 L six', 'six-3.5', stepper(16), 8),
  eight: file('5.7 L eight', 'eight-5.7', stepper(25), 8),
} as const;
export type Name = keyof typeof FILES;
export const NAMES = Object.keys(FILES) as readonly Name[];

export interface Case {
  readonly scenarios: readonly Scenario[];
  readonly given: (path: string) => boolean;
}

/** Reads a scenario text as if it lay beside the shipped ones. */
export async function read(text: string, set: readonly string[] = [], files: Readonly<Record<string, string>> = {}): Promise<Case> {
  const loaded = await loadScenario('test.yaml', { set, read: (path) => files[path] ?? (path === 'test.yaml' ? text : readFileSync(join(SCENARIOS, path), 'utf8')) });
  if (loaded.scenarios === null) throw new Error(loaded.problems.map(formatProblem).join('\n'));
  return { scenarios: loaded.scenarios, given: givenIn(loaded.entries) };
}

export const compute = async (text: string, set: readonly string[] = []): Promise<SetupResult> => {
  const { scenarios, given } = await read(text, set);
  return setup(scenarios, { given });
};

const results = new Map<Name, Promise<SetupResult>>();

/** The settings of one of the engines. */
export function resultOf(name: Name): Promise<SetupResult> {
  let result = results.get(name);
  if (result === undefined) results.set(name, (result = compute(FILES[name])));
  return result;
}
