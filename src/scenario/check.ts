/** What single rows cannot see: settings that contradict each other. */
import { fromSI } from '../parameter/unit.js';
import { refuseSlips, refuseStalledTargets } from './check-drill.js';
import type { ScenarioValues } from './table.js';
import { type Refuse, refuseUnread } from './unread.js';

/** A contradiction. `paths` are the keys that take part; the first that a file says is the one to point at. */
export interface Contradiction {
  readonly paths: readonly [string, ...string[]];
  readonly message: string;
}

/** Rows of a trace: at 19 columns of eight bytes, 300 MB. */
const MOST_ROWS = 2_000_000;

const tidy = (value: number): number => Number(value.toPrecision(12));

const isMultiple = (value: number, of: number): boolean => {
  const ratio = value / of;
  return Math.round(ratio) >= 1 && Math.abs(ratio - Math.round(ratio)) <= 1e-9 * Math.max(1, ratio);
};

/** All contradictions within a resolved scenario. */
export function contradictions(scenario: ScenarioValues): readonly Contradiction[] {
  const { engine, controller, drill, run } = scenario;
  const found: Contradiction[] = [];
  const refuse: Refuse = (bad, message, ...paths) => {
    if (bad) found.push({ paths, message: message() });
  };
  const rpm = (omega: number): number => tidy(fromSI(omega, 'rpm'));
  if (engine.model === 'mean-value') {
    const { crank, oil } = engine;
    refuse(
      crank.catch <= crank.stall,
      () => `catch ${rpm(crank.catch)} rpm must lie above stall ${rpm(crank.stall)} rpm`,
      'engine.crank.catch',
      'engine.crank.stall',
    );
    refuse(
      oil.viscosity40 <= oil.viscosity100,
      () =>
        `an oil is thicker at 40 °C (${tidy(oil.viscosity40 * 1e6)} mm^2/s given) than at 100 °C (${tidy(oil.viscosity100 * 1e6)} mm^2/s)`,
      'engine.oil.viscosity40',
      'engine.oil.viscosity100',
    );
  }

  refuse(
    run.duration / run.record > MOST_ROWS,
    () => `${tidy(run.duration)} s in rows of ${tidy(run.record)} s are ${Math.round(run.duration / run.record)} rows; at most ${MOST_ROWS}`,
    'run.record',
    'run.duration',
  );

  const { clamp, hold, airFull, loads } = controller;
  refuse(
    clamp.lowest > clamp.highest,
    () => `lowest ${clamp.lowest} must not lie above highest ${clamp.highest}`,
    'controller.clamp.lowest',
    'controller.clamp.highest',
  );
  refuse(
    hold !== null && airFull !== null && hold > airFull,
    () => `${hold} is beyond the range ${airFull}`,
    'controller.hold',
    'controller.range',
  );
  loads.forEach((load, i) => {
    const earlier = loads.findIndex((other) => other.name === load.name);
    refuse(earlier < i, () => `${load.name} is the name of load ${earlier} too`, `controller.loads.${i}.name`);
  });

  const steps = (s: number): string => `${tidy(s)} s is not a whole number of run.step (${tidy(run.step)} s)`;
  refuse(!isMultiple(run.record, run.step), () => steps(run.record), 'run.record', 'run.step');
  refuse(!isMultiple(controller.periodS, run.step), () => steps(controller.periodS), 'controller.period', 'run.step');

  const gears = engine.model === 'mean-value' ? engine.driveline.gears.length : 0;
  const gear = (wanted: number, path: string): void =>
    refuse(wanted > gears && engine.model === 'mean-value', () => `there is no gear ${wanted}; engine.driveline.gears has ${gears === 0 ? 'none' : gears}`, path);
  gear(drill.start.gear, 'drill.start.gear');
  drill.events.forEach((event, i) => {
    const path = `drill.events.${i}`;
    const before = drill.events[i - 1];
    refuse(
      event.at > run.duration,
      () => `${tidy(event.at)} s is after the end of the run at ${tidy(run.duration)} s`,
      `${path}.at`,
    );
    refuse(
      before !== undefined && event.at < before.at,
      () => `${tidy(event.at)} s is before the event above it at ${tidy(before?.at ?? 0)} s`,
      `${path}.at`,
    );
    if (event.do === 'gear') gear(event.gear, `${path}.gear`);
  });
  refuseUnread(scenario, refuse);
  refuseSlips(scenario, refuse);
  refuseStalledTargets(scenario, refuse);
  return found;
}
