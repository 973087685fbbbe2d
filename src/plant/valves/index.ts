/** The valves that a scenario can name. A new one is one file and one line here. */
import { type Values, variant } from '../../parameter/table.js';
import type { FlowLaw, ValveLaw } from '../laws/law.js';
import { solenoidValve } from './solenoid.js';
import { stepperValve } from './stepper.js';
import { throttleMotorValve } from './throttle-motor.js';
import { type Valve, valveLaw } from './valve.js';

const VALVES = {
  solenoid: solenoidValve,
  stepper: stepperValve,
  'throttle-motor': throttleMotorValve,
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

/** Effective area of a valve against its travel. @throws RangeError if its curve falls or never rises */
export function areaOf(settings: ValveSettings, flow: FlowLaw): ValveLaw {
  return valveLaw(settings, flow, settings.kind === 'throttle-motor' ? (throttleMotorValve.share?.(settings) ?? null) : null);
}
