/** Air and lead of each load. */
import { interpolate } from '../numerics/curve.js';
import type { ControllerSettings } from '../controller/parameters.js';
import type { DrillEvent } from '../loop/parameters.js';
import { fromSI } from '../parameter/unit.js';
import type { Scenario } from '../scenario/index.js';
import { clip, fine, say, sayAir, toNearest, unitName } from './apply.js';
import { type Bench, type Demand, NO_DEMAND } from './bench.js';
import { COLD_C, HOT_C } from './drills.js';
import type { SetupRow } from './result.js';

export type LoadSettings = ControllerSettings['loads'][number];

/** What a load event asks of the engine once it has settled, or null when it is none or takes the load off. */
function demandOf(event: DrillEvent, bench: Bench): Demand | null {
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
export function demandNamed(name: string, scenarios: readonly Scenario[], bench: Bench, rpm: number): Demand | null {
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

/** Difference between hot and cold that is worth saying, as a share. */
const WORTH_SAYING = 0.1;

/** Air that a load costs: settled command with it less without it, hot and cold. */
export function loadAir(
  scenario: Scenario, bench: Bench, load: LoadSettings, demand: Demand | null, index: number,
): { readonly air: number; readonly row: SetupRow } {
  const { unit, full } = bench.range;
  const key = `controller.loads.${index}.air`;
  const name = load.name;
  if (demand === null) {
    return {
      air: load.air,
      row: {
        key, text: say(load.air), unit: unitName(unit), why: `${name}: kept as the file says; no drill switches it, so that nothing is known of its size`,
        provenBy: 'none', flag: `${name}: no drill switches this load; give it a drill, or take its air from the car`, tried: null,
      },
    };
  }
  const cost = (coolantC: number): number => {
    const rpm = interpolate(scenario.controller.targetRpm, coolantC);
    return bench.airAt(coolantC, rpm + load.speedUpRpm, demand) - bench.airAt(coolantC, rpm);
  };
  const [hot, cold] = [cost(HOT_C), cost(COLD_C)];
  const air = clip(toNearest(hot, fine(unit)), 0, full);
  const rpm = interpolate(scenario.controller.targetRpm, HOT_C) + load.speedUpRpm;
  const without = bench.airAt(HOT_C, rpm - load.speedUpRpm);
  const differs = Math.abs(cold - hot) > WORTH_SAYING * Math.abs(hot) && Math.abs(cold - hot) >= fine(unit);
  return {
    air,
    row: {
      key, text: say(air), unit: unitName(unit),
      why:
        `${name}: settled command with it ${sayAir(without + hot, unit)}, without ${sayAir(without, unit)}, hot at ${say(rpm, 4)} rpm` +
        (load.speedUpRpm > 0 ? ` (${say(load.speedUpRpm)} of them its speed-up)` : '') +
        `; at ${say(COLD_C)} °C it would be ${sayAir(cold, unit)}` + (differs ? ', so the loop makes up the difference while cold' : ''),
      provenBy: `${name} on and off, hot`,
      flag: without + hot > full ? `${name}: hot it needs ${sayAir(without + hot, unit)} and the valve ends at ${sayAir(full, unit)}` : null,
      tried: null,
    },
  };
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
