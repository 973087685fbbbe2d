/**
 * The whole set of settings, computed. In this order, each step standing on those before:
 *
 *     1. target       when none was given            steady solves
 *     2. base         against coolant; intake air    steady solves
 *     3. load air     hot, and what the cold wants   steady solves
 *     4. gains        coarse search                  the hardest drills, once 8. has a first answer
 *     5. start        cranking, after start          starts
 *     6. clamp        floor and ceiling              free-rev with no window
 *     7. entry        window, hysteresis, forced     free-rev
 *     8. open-loop    moving-car air, dashpot        overrun, free-rev
 *     9. leads        of loads that are commanded    the load's own drill
 *    10. proof        every drill; the engine 20 % off in one thing at a time; the loads' drills cold
 */
import type { ControllerSettings } from '../controller/parameters.js';
import { interpolate } from '../numerics/curve.js';
import type { Scenario } from '../scenario/index.js';
import { clip, withController } from './apply.js';
import { baseFor, targetFor } from './base.js';
import { type Bench, createBench } from './bench.js';
import { clampFor } from './clamp.js';
import { cornersOf, offEngines } from './corners.js';
import { drillsFor, HOT_C, isOdd, kindWith, namedLoads, type SetupDrill } from './drills.js';
import { heightFor, intakeAirFor } from './elsewhere.js';
import { entryFor } from './entry.js';
import { deadBandFor, gainRows } from './gain-rows.js';
import { cautious, searchGains } from './gains.js';
import { leadFor } from './lead.js';
import { loadRow } from './load-rows.js';
import { airLag, demandNamed, hardestHit, isCommanded, lagS, loadAir, type LoadSettings, switchesOn } from './loads.js';
import { openAirFor } from './open-air.js';
import { createRunner, type Runner } from './prove.js';
import type { DrillPair, SetupResult, SetupRow } from './result.js';
import { startFor } from './start.js';

export interface SetupOptions {
  /** Whether a key, or one under it, was given in the file or by hand, and is not a default. */
  readonly given: (path: string) => boolean;
  /** Called before each step with its name. */
  readonly onStep?: ((name: string) => void) | undefined;
}

/** Loads of the controller, and those that the drills of the file name. */
function loadsOf(scenarios: readonly Scenario[], drillsGiven: boolean): readonly LoadSettings[] {
  const known = scenarios[0]!.controller.loads;
  const more = drillsGiven ? namedLoads(scenarios).filter((name) => !known.some((load) => load.name === name)) : [];
  return [...known, ...more.map((name) => ({ name, air: 0, speedUpRpm: 0, leadS: 0, cycleOnS: 15, cycleOffS: null }))];
}

/** Drill of the file that switches a load on with the engine hot, else any. */
const drillOf = (name: string, drills: readonly SetupDrill[], bench: Bench): Scenario | null => {
  const with_ = drills.filter(({ scenario }) => switchesOn(scenario, name, bench));
  return (with_.find(({ hot }) => hot) ?? with_[0])?.scenario ?? null;
};

function pairs(drills: readonly SetupDrill[], settled: ControllerSettings, runner: Runner): readonly DrillPair[] {
  return drills.map(({ scenario, standard }) => ({
    name: scenario.drill.name,
    standard,
    before: runner.run(scenario).result,
    after: runner.run(withController(scenario, settled)).result,
  }));
}

/** Share of the room between a target and the stall that hot free-revs leave with the air held, the loop open. */
function revLeaves(drills: readonly SetupDrill[], rpm: number, bench: Bench, runner: Runner): number {
  const shares = drills.filter(({ kind, hot }) => kind === 'free-rev' && hot).map(({ scenario }) => {
    const hold = clip(bench.airAt(HOT_C, rpm), 0, bench.range.full);
    const { lowestRpm } = runner.run(withController(scenario, { hold, targetRpm: { x: [HOT_C], y: [rpm] } })).result.scored.metrics;
    return ((lowestRpm ?? rpm) - bench.stallRpm) / (rpm - bench.stallRpm);
  });
  return Math.min(1, ...shares);
}

/**
 * Computes the settings for an engine and its valve, and proves them.
 *
 * @param scenarios of one file: one engine, valve and controller, a drill each
 * @throws RangeError when there are none
 */
export function setup(scenarios: readonly Scenario[], options: SetupOptions): SetupResult {
  const [first] = scenarios;
  if (first === undefined) throw new RangeError('setup: a scenario is wanted');
  const { given } = options;
  const step = (name: string): void => options.onStep?.(name);
  const runner = createRunner();
  const drillsGiven = given('drill');
  const original = drillsFor(scenarios, drillsGiven);
  const rows: SetupRow[] = [];
  let settings: ControllerSettings = { ...first.controller, hold: null, loads: loadsOf(scenarios, drillsGiven) };
  const bench = createBench(first);
  const engines = offEngines(first);
  const { unit } = bench.range;
  const stepper = unit === 'step';
  const all = (): readonly Scenario[] => original.map(({ scenario }) => scenario);
  const now = (): readonly SetupDrill[] => {
    const names = settings.loads.map(({ name }) => name);
    return original.map((each) => ({ ...each, scenario: withController(each.scenario, settings), kind: isOdd(each) ? each.kind : kindWith(each.scenario, names) }));
  };
  const scenarioNow = (): Scenario => withController(first, settings);

  step('target and base air');
  if (!given('controller.target')) {
    const inertia = first.engine.inertia;
    const lag = (rpm: number): number => lagS(airLag(first, rpm, 0));
    const { curve, row } = targetFor(bench, inertia, hardestHit(all(), bench, 800), lag, (rpm) => revLeaves(now(), rpm, bench, runner));
    settings = { ...settings, targetRpm: curve };
    rows.push(row);
  }
  const height = heightFor(scenarioNow(), bench);
  const base = baseFor(scenarioNow(), bench, height?.text);
  const intakeAir = intakeAirFor(scenarioNow(), bench);
  settings = { ...settings, base: base.curve, intakeAir: intakeAir.curve };
  rows.push(base.row, intakeAir.row);
  const hotRpm = interpolate(settings.targetRpm, HOT_C);
  const rpmPerAir = bench.rpmPerAir(HOT_C, hotRpm);

  step('air of the loads');
  const airs = settings.loads.map((load) => loadAir(scenarioNow(), bench, load, demandNamed(load.name, all(), bench, hotRpm)));
  settings = { ...settings, loads: settings.loads.map((load, i) => ({ ...load, air: airs[i]!.air })) };

  step('gains');
  settings = {
    ...settings,
    clamp: { lowest: 0, highest: bench.range.full },
    entry: { ...settings.entry, windowRpm: 100, hysteresisRpm: 200, forcedAfterS: null },
    openAir: { ...settings.openAir, moving: 0, dashpot: 0 },
    pid: { ...settings.pid, ...cautious(rpmPerAir, stepper), deadBandRpm: stepper ? deadBandFor(rpmPerAir, first.run.senseResolutionRpm) : 0 },
  };
  // the overrun and the free-rev must be survived before gains can be told apart by them
  const openAirs = (): readonly SetupRow[] =>
    (['moving', 'dashpot'] as const).map((which) => {
      settings = { ...settings, openAir: { ...settings.openAir, [which]: 0 } };
      const { air, row } = openAirFor(now(), which, bench, runner, engines, first.controller.openAir[which]);
      settings = { ...settings, openAir: { ...settings.openAir, [which]: air } };
      return row;
    });
  openAirs();
  const found = searchGains(now(), rpmPerAir, stepper, runner);
  settings = { ...settings, pid: { ...settings.pid, ...found.gains } };

  step('start');
  const starting = startFor(now(), bench, runner, engines);
  settings = { ...settings, start: starting.start };

  step('clamp');
  const { clamp, rows: clampRows } = clampFor(now(), bench, runner, {
    coldest: Math.max(...base.exact), high: height?.coldest ?? null,
    loads: airs.reduce((sum, { air, cold }) => sum + Math.max(0, air, cold?.cost ?? 0), 0),
  });
  settings = { ...settings, clamp };

  step('entry');
  const entry = entryFor(now(), bench, runner);
  settings = { ...settings, entry: entry.entry };

  step('open-loop air');
  const openRows = openAirs();

  step('leads');
  const leads: SetupRow[] = [];
  for (const [i, load] of settings.loads.entries()) {
    if (!isCommanded(load, i, given)) continue;
    const drill = drillOf(load.name, now(), bench);
    if (drill === null) continue;
    const { leadS, row } = leadFor(drill, load, i, hotRpm, runner);
    leads.push(row);
    settings = { ...settings, loads: settings.loads.with(i, { ...load, leadS }) };
  }

  step('proof');
  const drills = pairs(original, settings, runner);
  const rough = drills[original.findIndex(({ kind }) => kind === 'rough')] ?? null;
  const proven = now().map(({ scenario }) => scenario);
  const corners = cornersOf(proven, engines, runner);
  rows.push(
    ...airs.map((found, i) => loadRow(found, i, drillOf(found.load.name, now(), bench), clamp, bench, runner)), ...leads,
    ...gainRows(found, settings, unit, rpmPerAir, rough), ...entry.rows, ...openRows, ...clampRows, ...starting.rows,
  );
  const failing = drills.some(({ after }) => !after.passes) || corners.some(({ stalls }) => stalls.length > 0);
  return {
    scenario: scenarioNow(), scenarios: proven, settings: rows, drills, corners,
    ok: !failing && rows.every(({ flag }) => flag === null),
  };
}

