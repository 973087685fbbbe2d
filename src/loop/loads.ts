/**
 * The timed loads of a drill: each is asked for, takes hold (at once, or when the controller lets it), and rises in a
 * straight line. SI; times are counts of steps.
 */
import type { PlantInputs } from '../plant/types.js';

export interface TimedLoad {
  readonly name: string;
  /** Place among the controller's loads, −1 where the controller does not know it. */
  readonly index: number;
  asked: boolean;
  held: boolean;
  torque: number;
  power: number;
  fromTorque: number;
  fromPower: number;
  nowTorque: number;
  nowPower: number;
  riseSteps: number;
  since: number;
  /** Called with the step at which it takes hold. */
  engaged: ((k: number) => void) | null;
}

export const createTimedLoad = (name: string, index: number): TimedLoad => ({
  name, index, asked: false, held: true, torque: 0, power: 0, fromTorque: 0, fromPower: 0, nowTorque: 0, nowPower: 0,
  riseSteps: 0, since: 0, engaged: null,
});

/** Asks for a new torque and power from step k on. */
export function askLoad(load: TimedLoad, torque: number, power: number, riseSteps: number, engaged: (k: number) => void): void {
  load.asked = torque !== 0 || power !== 0;
  load.torque = torque;
  load.power = power;
  load.riseSteps = riseSteps;
  load.held = false;
  load.engaged = engaged;
}

/** Moves every load to step k and sums them into the plant's inputs. @returns whether any is still on its way */
export function moveLoads(loads: readonly TimedLoad[], loadsOn: readonly boolean[], inputs: PlantInputs, k: number): boolean {
  let moving = false;
  inputs.load = 0;
  inputs.loadPower = 0;
  for (const load of loads) {
    if (!load.held && (load.index < 0 || loadsOn[load.index] === load.asked)) {
      load.held = true;
      load.since = k;
      load.fromTorque = load.nowTorque;
      load.fromPower = load.nowPower;
      load.engaged?.(k);
    }
    if (load.held) {
      const share = k - load.since >= load.riseSteps ? 1 : (k - load.since) / load.riseSteps;
      load.nowTorque = load.fromTorque + share * (load.torque - load.fromTorque);
      load.nowPower = load.fromPower + share * (load.power - load.fromPower);
      if (share < 1) moving = true;
    } else {
      moving = true;
    }
    inputs.load += load.nowTorque;
    inputs.loadPower += load.nowPower;
  }
  return moving;
}
