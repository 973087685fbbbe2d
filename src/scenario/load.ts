/** Scenario files in, resolved scenarios or every problem out. */
import { createController } from '../controller/controller.js';
import { fill, type Partly } from '../parameter/fill.js';
import { createModel } from '../plant/models.js';
import type { ValveRange } from '../plant/types.js';
import { createUnitReader, type UnitReader } from '../units/index.js';
import { contradictions } from './check.js';
import { createFiles, notMapping, type ReadText } from './files.js';
import { entriesOf, type Entry, leavesUnder } from './leaves.js';
import { type DrillPart, type Parts, takeApart } from './parts.js';
import { type Place, type Problem, ScenarioError, sortProblems } from './problem.js';
import type { Reading } from './numbers.js';
import { drillRow, type OwnSection } from './own.js';
import { readRow } from './read.js';
import { readSettings } from './set.js';
import { isAir, type Scenario, type ScenarioValues, scenarioTable, scenarioTableFor, valveRange } from './table.js';

export type Loaded =
  | { readonly scenarios: readonly Scenario[]; readonly entries: readonly (readonly Entry[])[]; readonly problems: readonly [] }
  | { readonly scenarios: null; readonly entries: null; readonly problems: readonly Problem[] };

export interface LoadOptions {
  /** Gives the text of a file, or throws. */
  readonly read: ReadText;
  /** `key=value` texts, applied last and in order. */
  readonly set?: readonly string[];
}

/**
 * Loads a scenario file and what its sections come `from`: one scenario, or one a drill of a suite.
 *
 * @param path of the file, as `read` takes it; paths in files are relative to the file they stand in
 * @returns scenarios with the origin of every setting, or all problems in the order of their places; it throws for nothing
 *   that a file may hold
 */
export async function loadScenario(path: string, options: LoadOptions): Promise<Loaded> {
  const files = createFiles(options.read);
  const whole: Place = { file: path, line: 0, column: 0 };
  const root = files.open(path, whole, '');
  const { settings, problems } = readSettings(options.set ?? []);
  const failed = (found: readonly Problem[]): Loaded => ({ scenarios: null, entries: null, problems: sortProblems(found, path) });
  if (root === null) return failed([...files.problems, ...problems]);
  if (root.kind !== 'mapping') return failed([...problems, { ...root.place, path: '', message: notMapping(root) }]);

  const apart: Problem[] = [...problems];
  const parts = takeApart(files, root, settings, apart);
  const before = [...files.problems, ...apart];
  let result = resolve(parts, path, before, null);
  if (result === 'wants units') result = resolve(parts, path, before, await createUnitReader());
  if (result === 'wants units') throw new Error('a reader of units was given');
  if (result.problems.length > 0) return failed(result.problems);
  return {
    scenarios: result.scenarios,
    entries: result.scenarios.map((scenario, i) => entriesOf(scenario, result.places[i]!)),
    problems: [],
  };
}

/** As `loadScenario`, but problems are thrown. @throws ScenarioError */
export async function loadScenarioOrThrow(path: string, options: LoadOptions): Promise<readonly Scenario[]> {
  const { scenarios, problems } = await loadScenario(path, options);
  if (scenarios === null) throw new ScenarioError(problems);
  return scenarios;
}

interface Resolved {
  readonly scenarios: readonly Scenario[];
  /** Where each key of each scenario was given. */
  readonly places: readonly ReadonlyMap<string, Place>[];
  readonly problems: readonly Problem[];
}

/** Reads every part against its row. The valve comes first: its unit is that of the controller's air. */
function resolve(parts: Parts, file: string, before: readonly Problem[], units: UnitReader | null): Resolved | 'wants units' {
  const problems = [...before];
  const places = new Map<string, Place>();
  const reading: Reading = { units, wantsUnits: false, air: null, problems, places };
  const given: Record<string, unknown> = {};
  const read = (
    key: keyof typeof scenarioTable,
    tree: DrillPart['tree'],
    into: Reading,
    row = scenarioTable[key] as Parameters<typeof readRow>[1],
  ): unknown => (tree === undefined ? undefined : readRow(into, row, tree, key));

  given.valve = read('valve', parts.common.get('valve'), reading);
  if (reading.wantsUnits && units === null) return 'wants units';
  const unsure = parts.lost.has('valve') || problems.some((p) => p.path === 'valve' || p.path.startsWith('valve.'));
  const range = unsure ? null : rangeOf(given.valve, places, file, problems);
  reading.air = range?.unit ?? null;
  const table = range === null ? scenarioTable : scenarioTableFor(range);
  for (const [key, tree] of parts.common) if (key !== 'valve') given[key] = read(key, tree, reading, table[key]);
  const drills = parts.drills.map(({ label, tree, own: sections }) => {
    const own: Reading = { ...reading, problems: [], places: new Map(places) };
    const settings: Record<string, unknown> = { ...given, drill: read('drill', tree, own, drillRow) };
    for (const [key, section] of sections) {
      for (const path of own.places.keys()) if (path === key || path.startsWith(`${key}.`)) own.places.delete(path);
      settings[key] = read(key, section, own);
    }
    reading.wantsUnits ||= own.wantsUnits;
    noteOwn(problems, own.problems, label, sections);
    return { label, settings, sections, places: own.places };
  });
  if (reading.wantsUnits && units === null) return 'wants units';
  if (problems.length > 0 || range === null) return { scenarios: [], places: [], problems };

  const scenarios = drills.map((drill) => complete(drill.settings, range, drill.places));
  for (const [i, { label, sections, places: own }] of drills.entries()) {
    const found = contradictions(scenarios[i]!).map(({ paths, message }) => {
      const said = paths.find((p) => own.has(p)) ?? paths[0];
      return { ...nearestPlace(said, own, file), path: said, message };
    });
    noteOwn(problems, found, label, sections);
  }
  if (problems.length > 0) return { scenarios, places: [], problems };
  for (const [i, { label, sections, places: own }] of drills.entries()) {
    if (i === 0 || sections.size > 0) noteOwn(problems, tryOut(scenarios[i]!, own, file), label, sections);
  }
  return { scenarios, places: drills.map((d) => d.places), problems };
}

/** Notes what is wrong with a drill under its label; what a section of its own shares with the file is noted once. */
function noteOwn(problems: Problem[], found: readonly Problem[], label: string, sections: DrillPart['own']): void {
  const noted = new Set(problems.map((p) => placeAndMessage(p)));
  for (const problem of found) {
    const [key] = problem.path.split('.') as [OwnSection | 'drill'];
    if (key === 'drill') problems.push({ ...problem, path: problem.path.replace(/^drill\b/, label) });
    else if (!sections.has(key)) problems.push(problem);
    else if (!noted.has(placeAndMessage(problem))) problems.push({ ...problem, path: `${label}.${problem.path}` });
  }
}

const placeAndMessage = ({ file, line, column, message }: Problem): string => JSON.stringify([file, line, column, message]);

/** Everything that was not given filled in. */
function complete(given: object, range: ValveRange, places: ReadonlyMap<string, Place>): Scenario {
  const table = scenarioTableFor(range);
  const filled = fill(table, given as Partly<ScenarioValues>, 'scenario');
  const airGiven = [...leavesUnder({ controller: table.controller }, { controller: filled.controller })]
    .filter(
      ({ row, value }) =>
        value !== null && ((row.kind === 'quantity' && isAir(row.unit)) || (row.kind === 'curve' && isAir(row.y.unit))),
    )
    .map(({ path }) => path)
    .filter((path) => places.has(path));
  return { ...filled, controller: { ...filled.controller, airFull: filled.controller.airFull ?? range.full }, airGiven };
}

/** Range of the valve, or null when it cannot be made. */
function rangeOf(given: unknown, places: ReadonlyMap<string, Place>, file: string, problems: Problem[]): ValveRange | null {
  try {
    return valveRange(fill({ valve: scenarioTable.valve }, { valve: given } as never).valve);
  } catch (error) {
    problems.push(fromRangeError(error, places, file));
    return null;
  }
}

/** Makes plant and controller once: they know contradictions that tables do not. */
function tryOut(
  { engine, valve, controller, run }: Scenario,
  places: ReadonlyMap<string, Place>,
  file: string,
): readonly Problem[] {
  return [() => createModel(engine, valve, { step: run.step, seed: run.seed }), () => createController(controller)].flatMap(
    (make) => {
      try {
        make();
        return [];
      } catch (error) {
        return [fromRangeError(error, places, file)];
      }
    },
  );
}

/** A RangeError "key: message" as a problem at the key. */
function fromRangeError(error: unknown, places: ReadonlyMap<string, Place>, file: string): Problem {
  if (!(error instanceof RangeError)) throw error;
  const [, path, message] = /^((?:engine|valve|controller|drill|run)(?:\.[\w-]+)+): (.*)$/s.exec(error.message) ?? [];
  if (path === undefined || message === undefined) return { file, line: 1, column: 1, path: '', message: error.message };
  return { ...nearestPlace(path, places, file), path, message };
}

/** Where a key was given, or the nearest key above it that was; else the start of the file. */
function nearestPlace(path: string, places: ReadonlyMap<string, Place>, file: string): Place {
  for (let at = path; at !== ''; at = at.includes('.') ? at.slice(0, at.lastIndexOf('.')) : '') {
    const place = places.get(at);
    if (place !== undefined) return place;
  }
  return { file, line: 1, column: 1 };
}
