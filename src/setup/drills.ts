/**
 * The drills that settings are computed and proven on: those of the file, and standard ones of the kinds that it lacks.
 *
 * A standard load is one that nobody announces to the controller: the hardest case. Sizes are common practice, no source: a
 * compressor or everything electric at once is 8 N·m on a medium engine, less on a small one.
 */
import { type DrillEvent, type DrillSettings, drillTable } from '../loop/parameters.js';
import { fill, type Partly } from '../parameter/fill.js';
import { toSI } from '../parameter/unit.js';
import type { Scenario } from '../scenario/index.js';

export type DrillKind = 'start' | 'overrun' | 'free-rev' | 'load' | 'announced load' | 'pulse' | 'steady' | 'other';

/** Coolant of a hot engine, and from where a drill counts as one with a hot engine, °C. */
export const HOT_C = 90;
export const COLD_C = -20;
const WARM_C = 60;

const RUN_S = 15;
/** A load has ten seconds on and ten off: an integral alone on a cold engine takes most of them. */
const LOAD_RUN_S = 22;
const LOAD_OFF_S = 12;
const START_RUN_S = 20;
/** N·m for each litre, and the most of them. */
const LOAD = { perLitre: 4.4, most: 8 };

const isLoad = (event: DrillEvent): boolean => event.do === 'load' || event.do === 'machine' || event.do === 'electrical';

/** What a drill is about. @param announced names of loads that the controller knows */
export function kindOf({ start, events }: DrillSettings, announced: readonly string[]): DrillKind {
  if (start.engine === 'off') return 'start';
  if (start.gear > 0 || events.some((event) => event.do === 'gear')) return 'overrun';
  if (events.some((event) => event.do === 'throttle')) return 'free-rev';
  const loads = events.filter(isLoad);
  if (loads.length > 0) {
    if (loads.some((event) => 'hold' in event && event.hold !== null)) return 'pulse';
    return loads.every(({ name }) => announced.includes(name)) ? 'announced load' : 'load';
  }
  return events.length === 0 ? 'steady' : 'other';
}

export const isHot = ({ start }: DrillSettings): boolean => start.coolant >= toSI(WARM_C, 'degC');

export interface SetupDrill {
  readonly scenario: Scenario;
  readonly kind: DrillKind;
  readonly hot: boolean;
  readonly standard: boolean;
}

/** Speed of the standard overrun at its start, and of the free-rev at its top, rpm. */
const OVERRUN_RPM = 2000;
const REV_RPM = 3000;

function standardDrills({ engine }: Scenario): readonly { readonly drill: Partly<DrillSettings>; readonly runS: number }[] {
  const litres = engine.model === 'mean-value' ? engine.displacement * 1e3 : 2;
  const torque = Math.min(LOAD.most, Math.round(LOAD.perLitre * litres * 2) / 2);
  const gears = engine.model === 'mean-value' ? engine.driveline.gears.length : 0;
  const rpm = (speed: number): number => toSI(speed, 'rpm');
  const load = (coolantC: number): Partly<DrillSettings> => ({
    start: { coolant: toSI(coolantC, 'degC') },
    events: [{ do: 'load', at: 2, name: 'load on', torque, rise: 0.05 }, { do: 'load', at: LOAD_OFF_S, name: 'load on', torque: 0 }],
  });
  const rev = (coolantC: number): Partly<DrillSettings> => ({
    start: { coolant: toSI(coolantC, 'degC') },
    events: [{ do: 'throttle', at: 2, name: 'free-rev', openingPct: 30, until: rpm(REV_RPM) }],
  });
  const start = (coolantC: number): Partly<DrillSettings> => ({
    start: { coolant: toSI(coolantC, 'degC'), engine: 'off' },
    events: [{ do: 'starter', at: 0.5, hold: 4 }],
  });
  const temperature = (coolantC: number): string => `${String(coolantC).replace('-', '−')} °C`;
  return [
    { runS: RUN_S, drill: { name: 'steady idle, hot', events: [] } },
    { runS: LOAD_RUN_S, drill: { name: 'unannounced load, hot', ...load(HOT_C) } },
    { runS: LOAD_RUN_S, drill: { name: `unannounced load, ${temperature(COLD_C)}`, ...load(COLD_C) } },
    {
      runS: RUN_S,
      drill: { name: 'steering pulse, hot', events: [{ do: 'load', at: 2, name: 'pump at the lock', torque: torque + 1, rise: 0.1, hold: 1.2 }] },
    },
    { runS: RUN_S, drill: { name: 'free-rev, hot', ...rev(HOT_C) } },
    { runS: RUN_S, drill: { name: `free-rev, ${temperature(COLD_C)}`, ...rev(COLD_C) } },
    ...(gears === 0 ? [] : [{
      runS: RUN_S,
      drill: {
        name: 'overrun, then clutch in', start: { speed: rpm(OVERRUN_RPM), gear: gears },
        events: [{ do: 'clutch', at: 6, name: 'clutch in', pedal: 'down', time: 0.15 }],
      } satisfies Partly<DrillSettings>,
    }]),
    ...(engine.model === 'mean-value' ? [COLD_C, 20, 80].map((coolantC) => ({ runS: START_RUN_S, drill: { name: `start, ${temperature(coolantC)}`, ...start(coolantC) } })) : []),
  ];
}

/**
 * The drills of a suite and the standard ones of kinds that it lacks, hot and cold counted apart.
 *
 * @param drillsGiven whether the file brought drills at all
 */
export function drillsFor(scenarios: readonly Scenario[], drillsGiven: boolean): readonly SetupDrill[] {
  const first = scenarios[0]!;
  const announced = [...first.controller.loads.map(({ name }) => name), ...(drillsGiven ? namedLoads(scenarios) : [])];
  const tell = (scenario: Scenario, standard: boolean): SetupDrill => ({ scenario, standard, kind: kindOf(scenario.drill, announced), hot: isHot(scenario.drill) });
  const own = drillsGiven ? scenarios.map((scenario) => tell(scenario, false)) : [];
  const standard = standardDrills(first)
    .map(({ drill, runS }) => tell({ ...first, drill: fill(drillTable, drill as never, 'drill'), run: { ...first.run, duration: runS }, limits: noLimits(first) }, true))
    .filter(({ kind, hot, scenario }) => !own.some((each) => each.kind === kind && each.hot === hot && (kind !== 'start' || each.scenario.drill.start.coolant === scenario.drill.start.coolant)));
  return [...own, ...standard];
}

/** Limits of the file are meant for its own drills; standard ones have the yardstick of `prove`. */
const noLimits = ({ limits }: Scenario): Scenario['limits'] => Object.fromEntries(Object.keys(limits).map((key) => [key, null])) as unknown as Scenario['limits'];

/** Names of the loads that drills switch, in the order met. */
export function namedLoads(scenarios: readonly Scenario[]): readonly string[] {
  return [...new Set(scenarios.flatMap(({ drill }) => drill.events.filter(isLoad).map(({ name }) => name)))].filter((name) => name !== '');
}
