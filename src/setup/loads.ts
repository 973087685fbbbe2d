/** What loads ask of the engine, the air that each costs, and how long the air path takes to bring it. */
import { interpolate } from '../numerics/curve.js';
import type { ControllerSettings } from '../controller/parameters.js';
import type { DrillEvent } from '../loop/parameters.js';
import { fromSI } from '../parameter/unit.js';
import type { Scenario } from '../scenario/index.js';
import { clip, fine, toNearest } from './apply.js';
import { type Bench, type Demand, NO_DEMAND } from './bench.js';
import { COLD_C, HOT_C } from './drills.js';

export type LoadSettings = ControllerSettings['loads'][number];

/** What a load event asks of the engine once it has settled, or null when it is none or takes the load off. */
function demandOf(event: DrillEvent, bench: Pick<Bench, 'machines'>): Demand | null {
  if (event.do === 'load') return event.torque === 0 && event.power === 0 ? null : { ...NO_DEMAND, torque: event.torque, power: event.power };
  if (event.do === 'electrical') return event.power === 0 ? null : { ...NO_DEMAND, electrical: event.power };
  if (event.do !== 'machine' || !event.on) return null;
  const machine = bench.machines.find(({ name }) => name === event.name);
  return machine === undefined ? null : { ...NO_DEMAND, torque: machine.torque, square: machine.square, power: machine.power };
}

/** Torque at a crank speed, N·m; electricity apart, which the alternator turns into torque in its own way. */
export const torqueAt = ({ torque, square, power }: Demand, rpm: number): number => {
  const omega = (rpm * Math.PI) / 30;
  return torque + square * omega * omega + power / omega;
};

/** The largest of what the drills ask under a name, or null when none does. */
export function demandNamed(name: string, scenarios: readonly Scenario[], bench: Pick<Bench, 'machines'>, rpm: number): Demand | null {
  let most: Demand | null = null;
  const size = (demand: Demand): number => torqueAt(demand, rpm) + demand.electrical / ((rpm * Math.PI) / 30);
  for (const event of scenarios.flatMap(({ drill }) => drill.events)) {
    if (event.name !== name) continue;
    const demand = demandOf(event, bench);
    if (demand !== null && (most === null || size(demand) > size(most))) most = demand;
  }
  return most;
}

/** Hardest hit of all drills, N·m, whether it has a name or not. */
export function hardestHit(scenarios: readonly Scenario[], bench: Bench, rpm: number): number {
  const hits = scenarios.flatMap(({ drill }) => drill.events).flatMap((event) => {
    const demand = demandOf(event, bench);
    return demand === null ? [] : [torqueAt(demand, rpm)];
  });
  return Math.max(0, ...hits);
}

/** Air that a load costs: settled command with it less without it; one number for hot and cold. */
export interface LoadAir {
  readonly load: LoadSettings;
  /** As it is typed in. */
  readonly air: number;
  /** Settled command without it, and what it costs, hot and cold; null where no drill says how large the load is. */
  readonly hot: LoadCost | null;
  readonly cold: LoadCost | null;
}
export interface LoadCost {
  /** With its speed-up. */
  readonly rpm: number;
  readonly without: number;
  readonly cost: number;
}

/** Air for a load, from the hot engine; what the cold one would take beside it. */
export function loadAir(scenario: Scenario, bench: Bench, load: LoadSettings, demand: Demand | null): LoadAir {
  if (demand === null) return { load, air: load.air, hot: null, cold: null };
  const at = (coolantC: number): LoadCost => {
    const target = interpolate(scenario.controller.targetRpm, coolantC);
    const without = bench.airAt(coolantC, target);
    const rpm = target + load.speedUpRpm;
    return { rpm, without, cost: bench.airAt(coolantC, rpm, demand) - without };
  };
  const [hot, cold] = [at(HOT_C), at(COLD_C)];
  return { load, air: clip(toNearest(hot.cost, fine(bench.range.unit)), 0, bench.range.full), hot, cold };
}

/** Share of its swept volume that a cylinder draws, at manifold density. */
const FILLING = 0.85;

/** The air path's own lag, s: the valve, the manifold filling, and the crank angle from charge to torque. */
export interface AirLag {
  readonly valveS: number;
  readonly manifoldS: number;
  readonly delayS: number;
}

/**
 * The valve: its lag, or the time that a stepper takes for `air`. The manifold empties through its cylinders,
 * τ = 4π·V_m/(λ·V_d·ω), with λ near 0.85 (Guzzella and Onder 2010, ch. 2).
 */
export function airLag(scenario: Scenario, rpm: number, air: number): AirLag {
  const { engine, valve } = scenario;
  const omega = (rpm * Math.PI) / 30;
  const valveS = valve.kind === 'stepper' ? air / valve.rate : 'lag' in valve && typeof valve.lag === 'number' ? valve.lag : 0;
  if (engine.model !== 'mean-value') return { valveS, manifoldS: 0, delayS: (2 * Math.PI) / omega };
  const manifoldS = (4 * Math.PI * engine.manifold.volume) / (FILLING * engine.displacement * omega);
  return { valveS, manifoldS, delayS: engine.delays.charge / omega };
}

export const lagS = ({ valveS, manifoldS, delayS }: AirLag): number => valveS + manifoldS + delayS;

/** Whether the controller switches a load itself: the file gives it a lead, or lets it cycle. */
export const isCommanded = (load: LoadSettings, index: number, given: (path: string) => boolean): boolean =>
  load.cycleOffS !== null || given(`controller.loads.${index}.lead`);

/** Event that switches a load on, if a drill has one. */
export const switchesOn = (scenario: Scenario, name: string, bench: Bench): boolean =>
  scenario.drill.events.some((event) => event.name === name && demandOf(event, bench) !== null);

export const coolantOf = ({ drill }: Scenario): number => fromSI(drill.start.coolant, 'degC');
