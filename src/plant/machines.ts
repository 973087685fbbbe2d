/**
 * Machines that the crank drives and a drill switches by name: an air-conditioner compressor, a steering pump, an automatic
 * transmission put into drive. SI.
 *
 *     T = s·(T₀ + T₂·(ω/ω₁₀₀₀)² + P/ω)·(1 + k)
 *
 * s rises 0 → 1 in a straight line over the engagement; k falls from `kick` to 0 in a straight line over `kickTime`, both
 * from the moment it takes hold. T₂ is told at 1000 rpm: a torque converter against a stalled turbine takes a torque that
 * goes with the square of the pump's speed (its capacity factor is speed over the root of torque: SAE J643, from memory).
 */
import { group, list, own, si, text, type Values } from '../parameter/table.js';
import type { Machine } from './types.js';

const machineTable = {
  name: text({ default: 'required', meaning: 'name; a drill event `machine` of this name switches it, through the load of the controller so named where there is one' }),
  torque: si({ unit: 'N m', default: 0, min: 0, max: 200, meaning: 'torque at the crank at any speed, T₀', source: 'compressor or steering pump 5 to 15 N·m: common practice, no source' }),
  square: si({ unit: 'N m', default: 0, min: 0, max: 100, as: 'squareAt1000', meaning: 'torque at the crank at 1000 rpm of the part that grows with the square of the speed, T₂', source: 'automatic in drive 15 to 30 N·m at idle: common practice, no source' }),
  power: si({ unit: 'W', default: 0, min: 0, max: 20000, meaning: 'power at the crank at any speed, P' }),
  engage: si({ unit: 's', default: 0, min: 0, max: 10, meaning: 'time to take hold or let go, in a straight line', source: 'assumed: at once' }),
  kick: own({ unit: '1', default: 0, min: 0, max: 5, meaning: 'share of its torque on top as it takes hold: a hot compressor', source: 'assumed: none; 20 to 25 N·m for a machine of 5 to 15 N·m: common practice, no source' }),
  kickTime: si({ unit: 's', default: 0.5, min: 0.01, max: 20, meaning: 'time in which that is gone, in a straight line', source: 'assumed' }),
} as const;

export const machinesTable = list({ of: group({ rows: machineTable, meaning: 'a machine' }), max: 20, meaning: 'machines that the crank drives and a drill switches' });
export type MachinesSettings = Values<{ row: typeof machinesTable }>['row'];

const AT_1000 = (1000 * Math.PI) / 30;

/**
 * The machines ready to be switched.
 *
 * @throws RangeError when a name is empty or given twice
 */
export function machinesOf(settings: MachinesSettings): readonly Machine[] {
  return settings.map(({ squareAt1000, ...rest }, i) => {
    if (rest.name === '') throw new RangeError(`engine.machines.${i}.name: must not be empty`);
    if (settings.findIndex((other) => other.name === rest.name) !== i) throw new RangeError(`engine.machines.${i}.name: ${rest.name} is there already`);
    return { ...rest, square: squareAt1000 / (AT_1000 * AT_1000) };
  });
}
