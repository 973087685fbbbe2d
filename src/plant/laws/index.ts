/** The laws that a scenario can name. A new one is one file and one line here. */
import { variant } from '../../parameter/table.js';
import { residualCharge } from './charge.js';
import { isentropicFlow, parabolicFlow } from './flow.js';
import { barnesMossFriction, polynomialFriction, rubbingFriction } from './friction.js';
import type { Basics } from './law.js';
import { energyTorque } from './torque.js';

export const FLOWS = { isentropic: isentropicFlow, parabolic: parabolicFlow } as const;
export const CHARGES = { residual: residualCharge } as const;
export const TORQUES = { energy: energyTorque } as const;
export const FRICTIONS = { rubbing: rubbingFriction, polynomial: polynomialFriction, 'barnes-moss': barnesMossFriction } as const;

type ParametersOf<T> = { readonly [K in keyof T]: T[K] extends { parameters: infer P } ? P : never };
const parametersOf = <T extends Record<string, { parameters: object }>>(laws: T): ParametersOf<T> =>
  Object.fromEntries(Object.entries(laws).map(([name, law]) => [name, law.parameters])) as ParametersOf<T>;

export const flowTable = variant({ tag: 'law', options: parametersOf(FLOWS), default: 'isentropic', meaning: 'flow function of every restriction' });
export const chargeTable = variant({ tag: 'law', options: parametersOf(CHARGES), default: 'residual', meaning: 'air drawn in' });
export const torqueTable = variant({ tag: 'law', options: parametersOf(TORQUES), default: 'energy', meaning: 'indicated torque' });
export const frictionTable = variant({ tag: 'law', options: parametersOf(FRICTIONS), default: 'rubbing', meaning: 'friction' });

/** The law that settings name. */
export function createLaw<L>(laws: Readonly<Record<string, unknown>>, settings: { readonly law: string }, basics: Basics): L {
  const { create } = laws[settings.law] as { create: (s: unknown, b: Basics) => L };
  return create(settings, basics);
}
