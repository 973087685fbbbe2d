/** Suites to sweep: short runs of the default engine, read from text as a user's file is. */
import { loadScenarioOrThrow, type Scenario } from '../../src/scenario/index.js';

export const readSuite = (text: string): Promise<readonly Scenario[]> => loadScenarioOrThrow('suite.yaml', { read: () => text });

const SHORT = 'title: short\nrun: { duration: 4, step: 0.001, record: 0.02 }\n';
const LOAD_ON = '{ name: load on, events: [{ do: load, at: 1, torque: 6 }] }';

/** One drill: a load comes on at 1 s. */
export const oneDrill = (): Promise<readonly Scenario[]> => readSuite(`${SHORT}drill: ${LOAD_ON}`);

/** The same, and a drill without events. */
export const twoDrills = (): Promise<readonly Scenario[]> => readSuite(`${SHORT}drills:\n  - ${LOAD_ON}\n  - { name: steady, events: [] }`);

/** One drill with a stepper of 150 steps. */
export const stepper = (): Promise<readonly Scenario[]> => readSuite(`${SHORT}drill: ${LOAD_ON}\nvalve: { kind: stepper, steps: 150 }`);
