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
import { atHeight, HEIGHT_M, inAir, WARM_INTAKE_C } from './other-air.js';

export type DrillKind = 'start' | 'overrun' | 'free-rev' | 'load' | 'announced load' | 'pulse' | 'steady' | 'rough' | 'elsewhere' | 'other';

/** Coolant of a hot engine, and from where a drill counts as one with a hot engine, °C. */
export const HOT_C = 90;
export const COLD_C = -20;
const WARM_C = 60;

const RUN_S = 15;
/** A load has ten seconds on and ten off: an integral alone on a cold engine takes most of them. */
const LOAD_RUN_S = 22;
const LOAD_OFF_S = 12;
const START_RUN_S = 20;
/** A rough engine: COV of IMEP, %. A good warm idle lies below 5, from memory; see plant/roughness.ts. */
const ROUGH_PCT = 5;
const ROUGH_RUN_S = 20;
export const WARM_INTAKE_NAME = `steady idle, intake air ${WARM_INTAKE_C} °C`;
const ROUGH_NAME = `steady idle, rough (COV ${ROUGH_PCT} %)`;
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

/** Kind of a scenario, its engine looked at: a steady idle on a rough engine is of its own kind. */
export function kindWith({ drill, engine }: Scenario, announced: readonly string[]): DrillKind {
  const kind = kindOf(drill, announced);
  return kind === 'steady' && engine.model === 'mean-value' && engine.roughnessPct > 0 ? 'rough' : kind;
}

export const isHot = ({ start }: DrillSettings): boolean => start.coolant >= toSI(WARM_C, 'degC');

export interface SetupDrill {
  readonly scenario: Scenario;
  readonly kind: DrillKind;
  readonly hot: boolean;
  readonly standard: boolean;
}

/** A drill of an engine that is not quite that of the file: it proves settings, and none is computed from it but gains that it puts out. */
export const isOdd = ({ kind }: SetupDrill): boolean => kind === 'rough' || kind === 'elsewhere';

/** Speed of the standard overrun at its start, and of the free-rev at its top, rpm. */
const OVERRUN_RPM = 2000;
const REV_RPM = 3000;

/** A load that nobody announces, on and off again. */
const loadDrill = ({ engine }: Scenario): Partly<DrillSettings> => {
  const torque = torqueFor(engine);
  return { events: [{ do: 'load', at: 2, name: 'load on', torque, rise: 0.05 }, { do: 'load', at: LOAD_OFF_S, name: 'load on', torque: 0 }] };
};

const torqueFor = (engine: Scenario['engine']): number =>
  Math.min(LOAD.most, Math.round(LOAD.perLitre * (engine.model === 'mean-value' ? engine.displacement * 1e3 : 2) * 2) / 2);

function standardDrills(first: Scenario): readonly { readonly drill: Partly<DrillSettings>; readonly runS: number }[] {
  const { engine } = first;
  const gears = engine.model === 'mean-value' ? engine.driveline.gears.length : 0;
  const rpm = (speed: number): number => toSI(speed, 'rpm');
  const load = (coolantC: number): Partly<DrillSettings> => ({ ...loadDrill(first), start: { coolant: toSI(coolantC, 'degC') } });
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
      drill: { name: 'steering pulse, hot', events: [{ do: 'load', at: 2, name: 'pump at the lock', torque: torqueFor(engine) + 1, rise: 0.1, hold: 1.2 }] },
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
  const tell = (scenario: Scenario, standard: boolean): SetupDrill => ({ scenario, standard, kind: kindWith(scenario, announced), hot: isHot(scenario.drill) });
  const own = drillsGiven ? scenarios.map((scenario) => tell(scenario, false)) : [];
  const standard = standardDrills(first)
    .map(({ drill, runS }) => tell({ ...first, drill: fill(drillTable, drill as never, 'drill'), run: { ...first.run, duration: runS }, limits: noLimits(first) }, true))
    .filter(({ kind, hot, scenario }) => !own.some((each) => each.kind === kind && each.hot === hot && (kind !== 'start' || each.scenario.drill.start.coolant === scenario.drill.start.coolant)));
  const rough = own.some(({ kind }) => kind === 'rough');
  return [...own, ...standard, ...elsewhere(first).filter(({ kind }) => !(rough && kind === 'rough'))];
}

/**
 * Steady idle on a rough engine; and the engine in other air: a warm intake, which base and correction must hold from an
 * integral at nothing, and a load at a height.
 */
function elsewhere(first: Scenario): readonly SetupDrill[] {
  const { engine } = first;
  const warm = inAir(first, { temperature: toSI(WARM_INTAKE_C, 'degC') });
  const high = atHeight(first, HEIGHT_M);
  if (engine.model !== 'mean-value' || warm === null || high === null) return [];
  const make = (kind: DrillKind, scenario: Scenario, runS: number, drill: Partly<DrillSettings>): SetupDrill => ({
    scenario: { ...scenario, limits: noLimits(first), run: { ...first.run, duration: runS }, drill: fill(drillTable, drill as never, 'drill') },
    standard: true, kind, hot: true,
  });
  return [
    make('elsewhere', warm, RUN_S, { name: WARM_INTAKE_NAME, start: { settled: false } }),
    make('elsewhere', high, LOAD_RUN_S, { ...loadDrill(first), name: `unannounced load, ${HEIGHT_M} m` }),
    make('rough', { ...first, engine: { ...engine, roughnessPct: Math.max(ROUGH_PCT, engine.roughnessPct) } }, ROUGH_RUN_S, { name: ROUGH_NAME }),
  ];
}

/** Limits of the file are meant for its own drills; standard ones have the yardstick of `prove`. */
export const noLimits = ({ limits }: Scenario): Scenario['limits'] => Object.fromEntries(Object.keys(limits).map((key) => [key, null])) as unknown as Scenario['limits'];

/** Names of the loads that drills switch, in the order met. */
export function namedLoads(scenarios: readonly Scenario[]): readonly string[] {
  return [...new Set(scenarios.flatMap(({ drill }) => drill.events.filter(isLoad).map(({ name }) => name)))].filter((name) => name !== '');
}
