/** Settings and events that nothing in the chosen engine or valve would feel: refused, since they would change nothing. */
import { startTable } from '../loop/parameters.js';
import { fill } from '../parameter/fill.js';
import { toSI } from '../parameter/unit.js';
import { valveTable } from '../plant/valves/index.js';
import { leavesUnder } from './leaves.js';
import { nearestName } from './problem.js';
import type { ScenarioValues } from './table.js';

/** Notes a contradiction when it is one. The first of the paths that a file says is pointed at. */
export type Refuse = (bad: boolean, message: () => string, ...paths: [string, ...string[]]) => void;

/** What the regression model has nothing for, by the kind of event. */
const REGRESSION_LACKS: Readonly<Record<string, string>> = {
  supply: 'supply',
  starter: 'starter',
  clutch: 'clutch',
  gear: 'gears',
  'vehicle-speed': 'vehicle',
  electrical: 'alternator',
  machine: 'machines',
};

const lacks = (what: string): string => `the regression model has no ${what}`;

const plainSolenoid = new Map(
  [...leavesUnder({ valve: valveTable }, fill({ valve: valveTable }, {}))].map(({ path, value }) => [path, JSON.stringify(value)]),
);

function regression({ valve, drill }: ScenarioValues, refuse: Refuse): void {
  for (const { path, value } of leavesUnder({ valve: valveTable }, { valve })) {
    if (plainSolenoid.get(path) === JSON.stringify(value)) continue;
    refuse(true, () => `${lacks('valve of its own')}: this would change nothing; leave the valve out`, path);
    if (path === 'valve.kind') break; // its keys are of another kind then
  }
  const { start, events } = drill;
  refuse(start.engine === 'off', () => `${lacks('starter')}; it starts running`, 'drill.start.engine');
  refuse(start.gear > 0, () => lacks('gears'), 'drill.start.gear');
  refuse(start.clutch === 'down', () => lacks('clutch'), 'drill.start.clutch');
  refuse(start.vehicleSpeed !== null, () => lacks('vehicle'), 'drill.start.vehicleSpeed');
  refuse(start.oil !== null, () => lacks('oil'), 'drill.start.oil');
  refuse(start.supply !== toSI(startTable.supply.default, 'V'), () => lacks('supply'), 'drill.start.supply');
  for (const [i, event] of events.entries()) {
    const missing = REGRESSION_LACKS[event.do];
    if (missing !== undefined) refuse(true, () => lacks(missing), `drill.events.${i}.do`);
  }
}

const VALVES = { solenoid: 'a solenoid', stepper: 'a stepper', 'throttle-motor': 'a throttle motor' } as const;

/** Notes everything that would change nothing. */
export function refuseUnread(scenario: ScenarioValues, refuse: Refuse): void {
  const { engine, valve, drill } = scenario;
  if (engine.model === 'regression') {
    regression(scenario, refuse);
    return;
  }
  const machines = engine.machines.map(({ name }) => name);
  const alternator = engine.alternator.fitted === 'yes';
  const geared = engine.driveline.gears.length > 0;
  const clutchless = (): string => 'the car has no clutch: engine.driveline.gears has no gear; this would change nothing';
  refuse(!geared && drill.start.clutch === 'down', clutchless, 'drill.start.clutch');
  for (const [i, event] of drill.events.entries()) {
    const path = `drill.events.${i}`;
    if (event.do === 'supply') {
      refuse(
        valve.kind !== 'solenoid' && !alternator,
        () => `${VALVES[valve.kind]} does not feel the supply, and no alternator is fitted: this would change nothing`,
        `${path}.do`,
      );
    } else if (event.do === 'clutch') {
      refuse(!geared, clutchless, `${path}.do`);
    } else if (event.do === 'electrical') {
      refuse(
        !alternator,
        () => 'needs an alternator (engine.alternator.fitted: yes); without one a load of a power at the crank stands for it',
        `${path}.do`,
      );
    } else if (event.do === 'machine') {
      const near = nearestName(event.name, machines);
      refuse(
        !machines.includes(event.name),
        () =>
          `${event.name} is none of engine.machines${machines.length === 0 ? ', which has none' : `: ${machines.join(', ')}`}` +
          (near === null ? '' : `; did you mean ${near}?`),
        `${path}.name`,
      );
    }
  }
}
