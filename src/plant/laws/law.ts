/**
 * Laws: the small functions that a plant is composed of. SI.
 *
 * A named law is a file that exports a table and a `create`; it is registered by one line in `laws/index.ts` and can then
 * be chosen in a scenario file. Anyone may also pass a bare function to `createPlant(engine, valve, { laws })`.
 * A law must be a pure function of its arguments and must not allocate: it runs four times a step.
 * Keep it small: what V8 inlines costs nothing, what it does not costs an allocated number a call. Keep its constants in
 * one record, `k`: a number that a closure holds by itself costs a check of what it is at each reading.
 */
import type { Table, Values } from '../../parameter/table.js';
import type { Ambient } from '../ambient.js';

/**
 * Square of the flow function Ψ of a restriction, against the pressure ratio downstream/upstream (0 … 1).
 * Its square, because that is smooth where Ψ itself is not: Ψ² → 2(1 − ratio) as the ratio nears 1.
 */
export type FlowLaw = (ratio: number) => number;

/** Effective area C_d·A, m², of the throttle plate against its opening 0 … 1 (the leak past its stop apart). */
export type PlateLaw = (opening: number) => number;

/** Effective area C_d·A, m², of the idle valve against its travel 0 … 1; it must not fall. */
export type ValveLaw = (travel: number) => number;

/** Air trapped in all cylinders over one engine cycle (4π rad), kg, at crank speed (rad/s) and manifold pressure (Pa). */
export type ChargeLaw = (omega: number, pressure: number) => number;

/**
 * Indicated torque, N·m, of a charge (kg of air a cycle, as it was when it was drawn in) fired at a spark angle (rad
 * before top dead centre, as it was when it was set), at crank speed (rad/s) and manifold pressure (Pa), at lambda 1.
 */
export type TorqueLaw = (charge: number, spark: number, omega: number, pressure: number) => number;

/** What the mixture makes of that torque with the same air, 1 at lambda 1. Asked when the coolant changes, not every step. */
export type MixtureLaw = (lambda: number) => number;

/** Torque that pumping costs, N·m, at manifold pressure (Pa) and crank speed (rad/s). */
export type PumpingLaw = (pressure: number, omega: number) => number;

/** Torque that friction costs, N·m, at crank speed (rad/s); `thickness` is what the oil makes of it, 1 when hot. */
export type FrictionLaw = (omega: number, thickness: number) => number;

export interface Laws {
  readonly flow: FlowLaw;
  readonly plate: PlateLaw;
  readonly valve: ValveLaw;
  readonly charge: ChargeLaw;
  readonly torque: TorqueLaw;
  readonly mixture: MixtureLaw;
  readonly pumping: PumpingLaw;
  readonly friction: FrictionLaw;
}

/** What every law may know of the engine it serves. */
export interface Basics {
  readonly cylinders: number;
  /** Swept volume of all cylinders, m³. */
  readonly displacement: number;
  readonly compressionRatio: number;
  readonly manifoldTemperature: number;
  readonly exhaustPressure: number;
  readonly ambient: Ambient;
  /** kg of air to burn 1 kg of fuel, and the fuel's lower heating value, J/kg. */
  readonly stoichiometric: number;
  readonly heatingValue: number;
}

/** A law that scenario files can choose: its table, and how it is made from settings and the engine's basics. */
export interface LawDefinition<L, T extends Table> {
  readonly parameters: T;
  create(settings: Values<T>, basics: Basics): L;
}

/** Types a definition: `defineLaw<FrictionLaw>()({ parameters, create })`. */
export const defineLaw =
  <L>() =>
  <const T extends Table>(definition: LawDefinition<L, T>): LawDefinition<L, T> =>
    definition;

/**
 * A law must make sense from standstill to this crank speed, rad/s: 3000 rpm. A fit to an idle tells little of what lies beyond,
 * and may well fall there.
 */
const FASTEST = 100 * Math.PI;

/** Least of c₀ + c₁ω + c₂ω² over that range, and the crank speed that has it. */
function leastOf(c0: number, c1: number, c2: number): { readonly value: number; readonly omega: number } {
  const at = (omega: number) => ({ value: c0 + omega * (c1 + omega * c2), omega });
  const turn = c2 === 0 ? 0 : Math.min(FASTEST, Math.max(0, -c1 / (2 * c2)));
  return [at(0), at(FASTEST), at(turn)].reduce((least, other) => (other.value < least.value ? other : least));
}

/**
 * Refuses a friction that somewhere drives the crank, or a filling that somewhere draws nothing.
 *
 * @param c the three coefficients of a polynomial in the crank speed   @param zero whether it may be zero
 * @throws RangeError that names the key
 */
export function checkPolynomial(key: string, c: readonly [number, number, number], zero: boolean): void {
  const { value, omega } = leastOf(...c);
  if (zero ? value >= 0 : value > 0) return;
  throw new RangeError(`${key}: its polynomial comes to ${Number(value.toPrecision(3))} at ${Math.round((omega * 30) / Math.PI)} rpm; it must ${zero ? 'not fall below zero' : 'stay above zero'} from 0 to 3000 rpm`);
}
