/** Torque at the crank of each load that drills switch or the engine declares, at an idle that is held still. */
import { fromSI } from '../parameter/unit.js';
import { OMEGA, type Plant } from '../plant/types.js';
import type { Scenario } from '../scenario/index.js';
import { demandNamed } from './loads.js';
import { type Demand, NO_DEMAND } from './bench.js';

export interface LoadTorque {
  readonly name: string;
  /** N·m at the crank once it has settled. */
  readonly torqueNm: number;
}

/** @param settle puts the plant at its idle under the inputs as they stand */
export function loadsOf(scenarios: readonly Scenario[], plant: Plant, settle: () => Plant): readonly LoadTorque[] {
  const machines = plant.accessories?.machines ?? [];
  const rpm = fromSI(settle().state[OMEGA]!, 'rpm');
  const loadNow = (demand: Demand): number => {
    Object.assign(plant.inputs, { load: demand.torque, loadSquare: demand.square, loadPower: demand.power, electrical: demand.electrical });
    return settle().observe().load;
  };
  const without = loadNow(NO_DEMAND);
  const names = [...new Set([...scenarios.flatMap(({ drill }) => drill.events.map(({ name }) => name)), ...machines.map(({ name }) => name)])];
  const found = names.flatMap((name): readonly LoadTorque[] => {
    const machine = machines.find((each) => each.name === name);
    const asked = demandNamed(name, scenarios, { machines }, rpm);
    const demand = asked ?? (machine === undefined ? null : { ...NO_DEMAND, torque: machine.torque, square: machine.square, power: machine.power });
    return demand === null ? [] : [{ name, torqueNm: loadNow(demand) - without }];
  });
  loadNow(NO_DEMAND);
  return found;
}
