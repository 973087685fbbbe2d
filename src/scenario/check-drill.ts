/** Events that a drill's other settings do not bear: names that miss a load by a letter, and targets at the stall. */
import { distance } from 'fastest-levenshtein';
import { createControllerState, stepController } from '../controller/controller.js';
import type { Command, Measured } from '../controller/types.js';
import { fromSI } from '../parameter/unit.js';
import type { ScenarioValues } from './table.js';
import type { Refuse } from './unread.js';

/** Letters and digits alone, in lower case. */
const folded = (name: string): string => name.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');
const digits = (name: string): string => name.replace(/\D/g, '');
/** One letter in so many may differ. Numbers may not: "fan 2" beside "fan 1" is another fan. */
const LETTERS_A_SLIP = 4;

function isSlip(given: string, known: string): boolean {
  const [a, b] = [folded(given), folded(known)];
  if (a === '' || b === '' || digits(a) !== digits(b)) return false;
  return distance(a, b) <= Math.floor(Math.min(a.length, b.length) / LETTERS_A_SLIP);
}

/** An event goes through the load of the controller of its very name; one that nearly has it would go past it unnoticed. */
export function refuseSlips({ controller, drill }: ScenarioValues, refuse: Refuse): void {
  const known = controller.loads.map(({ name }) => name);
  for (const [i, event] of drill.events.entries()) {
    if (event.do !== 'load' && event.do !== 'machine' && event.do !== 'electrical') continue;
    if (event.name === '' || known.includes(event.name)) continue;
    const meant = known.find((name) => isSlip(event.name, name));
    refuse(
      meant !== undefined,
      () => `no load of the controller is called ${event.name}; did you mean ${meant}?`,
      `drill.events.${i}.name`,
    );
  }
}

const tidy = (value: number): string => String(Number(value.toPrecision(6)));

/** The target that the controller itself makes of a coolant temperature, °C, with no load asked for: rpm. */
function targetOf(settings: ScenarioValues['controller']): (coolantC: number) => number {
  const plain = { ...settings, loads: [] };
  const measured: Measured = {
    speedRpm: 0, throttlePct: 0, coolantC: 0, intakeAirC: 20, vehicleSpeedKmh: 0, supplyV: 14,
    clutchPressed: false, inNeutral: true, loadRequests: [], engine: 'running',
  };
  const out: Command = { air: 0, airFraction: 0, sparkDeg: 0, targetRpm: 0, loopClosed: false, loopOpenBecause: null, loadsOn: [] };
  return (coolantC) => {
    measured.coolantC = coolantC;
    stepController(plain, createControllerState(plain), measured, out);
    return out.targetRpm;
  };
}

/** A target at or below the speed at which the engine counts as stalled. Speed-ups are left out: they need not be asked for. */
export function refuseStalledTargets({ engine, controller, drill }: ScenarioValues, refuse: Refuse): void {
  if (controller.hold !== null) return; // no loop, no target
  const meanValue = engine.model === 'mean-value';
  const stall = fromSI(meanValue ? engine.crank.stall : engine.stall, 'rpm');
  const stallPath = meanValue ? 'engine.crank.stall' : 'engine.stall';
  const warms = meanValue && engine.warmUp.is === 'on';
  const { x } = controller.targetRpm;
  const targetAt = targetOf(controller);
  const lowest = (coolantC: number): number =>
    Math.min(...[coolantC, ...(warms ? x.filter((at) => at > coolantC) : [])].map(targetAt));
  const message = (target: number, when: string) => () =>
    `a target of ${tidy(target)} rpm ${when} does not lie above the stall speed of ${tidy(stall)} rpm`;

  const now = { target: lowest(fromSI(drill.start.coolant, 'degC')), offset: 0 };
  if (now.target <= stall) {
    refuse(true, message(now.target, warms ? 'at the start or as it warms up' : 'at the start'), 'controller.target', stallPath, 'drill.start.coolant');
    return;
  }
  for (const [i, event] of drill.events.entries()) {
    if (event.do === 'target') now.offset = event.addRpm;
    else if (event.do === 'coolant') now.target = lowest(fromSI(event.temperature, 'degC'));
    else continue;
    const target = now.target + now.offset;
    const of = now.offset === 0 ? '' : ` (${tidy(now.target)} ${now.offset < 0 ? '−' : '+'} ${tidy(Math.abs(now.offset))})`;
    refuse(
      target <= stall,
      message(target, `from ${tidy(event.at)} s on${of}`),
      `drill.events.${i}.${event.do === 'target' ? 'add' : 'temperature'}`,
    );
  }
}
