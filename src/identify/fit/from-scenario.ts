/** Where a fit starts: the engine and valve of a scenario, and each load of the log at the torque of the machine of its name. */
import { machinesOf } from '../../plant/machines.js';
import type { Scenario } from '../../scenario/index.js';
import type { Fitted, FittedLoad } from './knobs.js';

/** A load of which nothing is known. Common practice, no source: fans and lamps take 3 to 6, compressors and pumps 5 to 15. */
const UNKNOWN = { torque: 5, square: 0, power: 0, engage: 0.15 } as const;

/** @throws RangeError for an engine that is no mean-value one */
export function fittedFrom({ engine, valve }: Pick<Scenario, 'engine' | 'valve'>, loadNames: readonly string[]): Fitted {
  if (engine.model === 'regression') throw new RangeError('engine.model: the regression has no inertia, plenum or friction of its own to fit; give a mean-value engine');
  const machines = machinesOf(engine.machines);
  const loads = loadNames.map((name): FittedLoad => {
    const machine = machines.find((m) => m.name === name);
    return machine === undefined ? { name, ...UNKNOWN } : { name, torque: machine.torque, square: machine.square, power: machine.power, engage: machine.engage };
  });
  return { engine, valve, loads };
}
