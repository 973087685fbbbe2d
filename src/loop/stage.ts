/** What the events of a drill act on, and how they ask for loads. */
import type { Controller } from '../controller/types.js';
import type { Plant } from '../plant/types.js';
import { askLoad, createTimedLoad, type Demand, NO_DEMAND, type TimedLoad } from './loads.js';

/** What an event may touch. */
export interface Stage {
  readonly plant: Plant;
  readonly controller: Controller;
  readonly loads: TimedLoad[];
  readonly requests: boolean[];
  readonly loadNames: readonly string[];
  /** Air that nobody commands, by name, kg/s; the turn tells a later asking from an earlier. */
  readonly airs: Map<string, { flow: number; turn: number }>;
  readonly ramps: { clutchFrom: number; clutchTo: number; clutchSince: number; clutchSteps: number };
  /** Pedal let go at this crank speed; Infinity for no. */
  readonly pedal: { until: number };
  /** How often supply and starter were asked for: the end of an earlier asking does not end a later one. */
  readonly turns: { supply: number; starter: number };
  steps(seconds: number): number;
  /** Does something at step k. */
  at(k: number, action: (k: number) => void): void;
}

/** Asks for a load by name, and for its end after a hold unless something else was asked of it since. */
export function switchLoad(stage: Stage, name: string, demand: Demand, hold: number | null, k: number, engaged: (k: number) => void): void {
  const load = loadNamed(stage, name);
  const ask = (wanted: Demand, tell: (k: number) => void): number => {
    if (load.index >= 0) stage.requests[load.index] = wanted.on;
    return askLoad(load, wanted, tell);
  };
  const turn = ask(demand, engaged);
  if (hold === null) return;
  stage.at(k + stage.steps(hold), () => {
    if (load.turn === turn) ask({ ...NO_DEMAND, riseSteps: demand.riseSteps }, () => undefined);
  });
}

function loadNamed(stage: Stage, name: string): TimedLoad {
  const known = stage.loads.find((load) => load.name === name);
  if (known !== undefined) return known;
  const load = createTimedLoad(name, stage.loadNames.indexOf(name));
  stage.loads.push(load);
  return load;
}
