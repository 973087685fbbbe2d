/**
 * What every idle valve has in common. A new valve is a file that exports `parameters` and `create`, and one line in
 * `valves/index.ts`.
 */
import { curve, type Table, type Values } from '../../parameter/table.js';
import { packCurve, readPacked } from '../../numerics/curve.js';
import { checkRising, fraction } from '../curves.js';
import type { FlowLaw, ValveLaw } from '../laws/law.js';
import { effectiveArea, restriction } from '../restriction.js';
import type { PlantInputs, ValveRange } from '../types.js';

/** A valve in motion. It is moved once a step and then says where it is at the step's start, middle and end. */
export interface Valve {
  readonly range: ValveRange;
  /** Opening, 0 … 1 of its travel, at the start, the middle and the end of the present step. */
  readonly track: Float64Array;
  /** Command (0 … 1 of the range) that holds the valve at an opening under a supply voltage. */
  commandFor(opening: number, supply: number): number;
  /**
   * Puts it at rest where a command under a supply voltage would have brought it.
   * @param keyOn the run starts with the engine off: a valve that keeps its place without current starts where it was left
   */
  rest(command: number, supply: number, keyOn?: boolean): void;
  /** Moves it through one step under the inputs' air command (0 … 1) and supply (V). */
  move(inputs: PlantInputs): void;
}

/** Rows that every valve has: how much it flows, and how that grows with its travel. */
export const flowRows = {
  size: restriction({ flow: 9, area: 60, meaning: 'the valve wide open', source: 'assumed: three to four times the air of a warm idle' }),
  flow: curve({
    x: { name: 'travel', unit: '%', min: 0, max: 100 },
    y: { name: 'flow', unit: '%', min: 0, max: 100 },
    default: [[0, 0], [100, 100]],
    stored: 'unit',
    meaning: 'effective area against travel, of that wide open',
    source: 'assumed: straight',
  }),
} as const;

/**
 * Effective area against travel, as `flowRows` tell it.
 * @param shape in place of the curve: area against travel, of that wide open
 * @throws RangeError if the curve falls or never rises
 */
export function valveLaw(settings: Values<typeof flowRows>, flow: FlowLaw, shape: ValveLaw | null = null): ValveLaw {
  const k = { area: effectiveArea(settings.size, flow) };
  if (shape !== null) return (travel) => k.area * shape(travel);
  const share = packCurve(checkRising(fraction(settings.flow), 'valve.flow'));
  return (travel) => k.area * readPacked(share, travel);
}

/** A valve that scenario files can choose: its table, and how it is made for an integration step, s. */
export interface ValveDefinition<T extends Table> {
  readonly parameters: T;
  /** Area against travel, of that wide open, where it is not the curve `flow`. */
  share?(settings: Values<T>): ValveLaw | null;
  create(settings: Values<T>, step: number): Valve;
}

/** Types a definition. */
export const defineValve = <const T extends Table>(definition: ValveDefinition<T>): ValveDefinition<T> => definition;
