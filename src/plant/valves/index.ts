/** The valves that a scenario can name. A new one is one file and one line here. */
import { type Values, variant } from '../../parameter/table.js';
import { solenoidValve } from './solenoid.js';
import { stepperValve } from './stepper.js';
import type { Valve } from './valve.js';

const VALVES = {
  solenoid: solenoidValve,
  stepper: stepperValve,
} as const;

type ParametersOf<T> = { readonly [K in keyof T]: T[K] extends { parameters: infer P } ? P : never };
const options = Object.fromEntries(Object.entries(VALVES).map(([kind, valve]) => [kind, valve.parameters])) as ParametersOf<typeof VALVES>;

export const valveTable = variant({ tag: 'kind', options, default: 'solenoid', meaning: 'the actuator of the idle air' });
export type ValveSettings = Values<{ row: typeof valveTable }>['row'];

/** @param step integration step, s */
export function createValve(settings: ValveSettings, step: number): Valve {
  const create = VALVES[settings.kind].create as (s: ValveSettings, step: number) => Valve;
  return create(settings, step);
}
