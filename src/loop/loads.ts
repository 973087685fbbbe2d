/**
 * The timed loads of a drill: each is asked for, takes hold (at once, or when the controller lets it), and rises in a
 * straight line; a machine may kick as it takes hold. SI; times are counts of steps.
 */
import type { PlantInputs } from '../plant/types.js';

/** What a load asks for: N·m, W and N·m·s²/rad² at the crank, and W of electricity. */
export interface Demand {
  readonly on: boolean;
  readonly torque: number;
  readonly power: number;
  readonly square: number;
  readonly electrical: number;
  readonly riseSteps: number;
  /** Share on top as it takes hold, gone in a straight line after `kickSteps`. */
  readonly kick: number;
  readonly kickSteps: number;
}

/** Nothing, at once. */
export const NO_DEMAND: Demand = { on: false, torque: 0, power: 0, square: 0, electrical: 0, riseSteps: 0, kick: 0, kickSteps: 0 };

export interface TimedLoad {
  readonly name: string;
  /** Place among the controller's loads, −1 where the controller does not know it. */
  readonly index: number;
  /** Counts what was asked, so that the end of an earlier hold does not end a later one. */
  turn: number;
  held: boolean;
  /** Taken off again by the controller while it is still asked for: a compressor that cycles. */
  cut: boolean;
  demand: Demand;
  readonly from: Float64Array;
  readonly now: Float64Array;
  since: number;
  /** Called with the step at which it takes hold. */
  engaged: ((k: number) => void) | null;
}

export const createTimedLoad = (name: string, index: number): TimedLoad => ({
  name, index, turn: 0, held: true, cut: false, demand: NO_DEMAND, from: new Float64Array(4), now: new Float64Array(4), since: 0, engaged: null,
});

/** Asks for something else. @returns the turn of this asking */
export function askLoad(load: TimedLoad, demand: Demand, engaged: (k: number) => void): number {
  load.demand = demand;
  load.held = false;
  load.engaged = engaged;
  load.turn += 1;
  return load.turn;
}

/** Moves every load to step k and sums them into the plant's inputs. @returns whether any is still on its way */
export function moveLoads(loads: readonly TimedLoad[], loadsOn: readonly boolean[], inputs: PlantInputs, k: number): boolean {
  let moving = false;
  inputs.load = 0;
  inputs.loadPower = 0;
  inputs.loadSquare = 0;
  inputs.electrical = 0;
  for (const load of loads) {
    const { demand, from, now } = load;
    if (!load.held && (load.index < 0 || loadsOn[load.index] === demand.on)) {
      load.held = true;
      load.cut = false;
      load.since = k;
      from.set(now);
      load.engaged?.(k);
    } else if (load.held && load.index >= 0 && demand.on && loadsOn[load.index] === load.cut) {
      load.cut = !load.cut;
      load.since = k;
      from.set(now);
    }
    if (load.index >= 0 && demand.on) moving = true; // the controller may take it off at any time
    let kick = 1;
    if (load.held) {
      const on = load.cut ? NO_DEMAND : demand;
      const age = k - load.since;
      const share = age >= demand.riseSteps ? 1 : age / demand.riseSteps;
      now[0] = from[0]! + share * (on.torque - from[0]!);
      now[1] = from[1]! + share * (on.power - from[1]!);
      now[2] = from[2]! + share * (on.square - from[2]!);
      now[3] = from[3]! + share * (on.electrical - from[3]!);
      if (!load.cut && age < demand.kickSteps) kick += demand.kick * (1 - age / demand.kickSteps);
      if (share < 1 || age < demand.kickSteps) moving = true;
    } else {
      moving = true;
    }
    inputs.load += now[0]! * kick;
    inputs.loadPower += now[1]! * kick;
    inputs.loadSquare += now[2]! * kick;
    inputs.electrical += now[3]! * kick;
  }
  return moving;
}
