/** What a scenario may say and a reader should still be told: the run is not quite what it reads like. */
import { createController } from '../controller/controller.js';
import { startTable } from '../loop/parameters.js';
import { firstMeasured, startAt } from '../loop/start.js';
import { toSI } from '../parameter/unit.js';
import { createModel } from '../plant/models.js';
import type { Scenario } from './table.js';

/** Where a run would have to hold the valve to be at rest at its target. */
export interface Rest {
  readonly targetRpm: number;
  /** In the valve's unit; beyond 0 … full where no position of the valve does. */
  readonly air: number;
  /** Least and most that the valve gives within the controller's clamp, in the same unit. */
  readonly least: number;
  readonly most: number;
  readonly full: number;
  readonly unit: '%' | 'step';
}

/** The steady point at the target and the coolant of the start, the foot off the pedal. @throws RangeError as a run does */
export function restOf(scenario: Scenario): Rest {
  const { engine, valve, run, controller: settings } = scenario;
  const plant = createModel(engine, valve, { step: run.step, seed: run.seed });
  const { full, unit } = plant.valve;
  const controller = createController({ ...settings, airFull: settings.airFull ?? full });
  const measured = firstMeasured(scenario, plant, settings.loads.map(() => false));
  startAt(scenario, plant, controller, measured);
  plant.inputs.pedal = 0;
  const { targetRpm } = controller.step(measured);
  const share = (air: number): number => Math.min(1, air / (settings.airFull ?? full));
  return {
    targetRpm,
    air: plant.trimAt(toSI(targetRpm, 'rpm')).air * full,
    least: share(settings.clamp.lowest) * full,
    most: share(settings.clamp.highest) * full,
    full,
    unit,
  };
}

/** Beyond so many times its range a number of the valve says no more than that. */
const MOST_TIMES = 10;
/** Of the full range: nothing that a valve could be told. */
const SLACK = 1e-6;

/** Why the engine cannot be at rest at its target, or null when it can. */
function restWarning(rest: Rest): string | null {
  const { air, least, most, full, unit } = rest;
  const amount = (value: number): string => `${Number(value.toPrecision(3))} ${unit === '%' ? '%' : value === 1 ? 'step' : 'steps'}`;
  const target = `${Math.round(rest.targetRpm)} rpm`;
  const start = 'the run does not start at rest';
  if (air > most + SLACK * full) {
    const needs = air > MOST_TIMES * full ? `more than ${amount(MOST_TIMES * full)}` : amount(air);
    return `${target} needs ${needs} of the valve; it gives ${amount(most)}${most < full ? ' within its clamp' : ''}: ${start}`;
  }
  if (air < least - SLACK * full) {
    const floor = least > 0 ? `${amount(least)}, the least that its clamp allows` : 'the shut valve';
    return `${target} needs less air than comes past ${floor}, which runs the engine faster: ${start}`;
  }
  return null;
}

/** Sentences without their full stops; none when the scenario is what it reads like. */
export function warningsOf(scenario: Scenario): readonly string[] {
  const { engine, controller, drill } = scenario;
  const found: string[] = [];
  if (drill.start.engine === 'running' && drill.start.settled && controller.hold === null) {
    const warning = restWarning(restOf(scenario));
    if (warning !== null) found.push(warning);
  }
  const moved = drill.start.coolant !== toSI(startTable.coolant.default, 'degC');
  if (engine.model === 'regression' && (moved || drill.events.some((event) => event.do === 'coolant'))) {
    found.push('the regression model has no coolant: only the tables of the controller follow it');
  }
  return found;
}
