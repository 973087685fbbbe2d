/** `tickover run`: simulate a scenario, or each drill of a suite. */
import type { Trace } from '../loop/trace.js';
import { simulate } from '../loop/simulate.js';
import { stepCost } from '../loop/step-check.js';
import { cautionLine, eventTable, traceCharts } from '../report/index.js';
import { runObject, runsObject, traceCsv } from '../report/export.js';
import { suiteTable } from '../report/suite.js';
import { type PicturedRun, runPicture } from '../report/svg/run-picture.js';
import { stepCostLine } from '../report/step-cost.js';
import { type Scenario, warningsOf } from '../scenario/index.js';
import { nearestName, quote } from '../scenario/problem.js';
import { type Scored, scoreSuite, scoreTrace } from '../score/index.js';
import { BadInput, EXIT } from './failure.js';
import { checkOneOutput, checkWritable, load, STANDARD_OUTPUT, writeWhole } from './files.js';
import { checkPicture, isPictureAlone, writePicture } from './picture.js';
import { sentence, type Terminal } from './terminal.js';

export interface RunOptions {
  readonly set: readonly string[];
  readonly stepCheck?: boolean;
  readonly json?: boolean;
  readonly trace?: boolean;
  /** Only the page that tells each drill's outcome. */
  readonly brief?: boolean;
  /** Only the drills whose name holds this. */
  readonly drill?: string;
  readonly csv?: string;
  readonly svg?: string;
}

/** Simulates and scores one scenario. */
export function runScenario(scenario: Scenario): { readonly scenario: Scenario; readonly trace: Trace; readonly scored: Scored } {
  const trace = simulate(scenario);
  return { scenario, trace, scored: scoreTrace(trace, scenario.limits, scenario.scoring) };
}

/** A run as a picture takes it. */
export const pictured = ({ scenario, trace, scored }: ReturnType<typeof runScenario>, name: string): PicturedRun => ({ name, trace, verdict: scored.verdict, bandRpm: scenario.scoring.settlingBandRpm });

/** What to call a scenario: its title, with the drill's name where a file holds several. */
export const titleOf = (scenario: Scenario, file: string, several: boolean): string => {
  const title = scenario.title === '' ? file : scenario.title;
  return several ? `${title} · ${scenario.drill.name}` : title;
};

/** A line for everything in which a run is not quite what its scenario reads like. */
export const warningLines = (scenario: Scenario): readonly string[] => warningsOf(scenario).map((text) => `Note: ${text}.`);

/** The suite on one page, under its title. */
function suitePage(file: string, runs: readonly ReturnType<typeof runScenario>[], terminal: Terminal): readonly string[] {
  const { columns, colour } = terminal.layout;
  const drills = runs.map(({ scenario, scored }) => ({ drill: scenario.drill.name, scored, scoring: scenario.scoring }));
  return ['', ...sentence(titleOf(runs[0]!.scenario, file, false), terminal), ...suiteTable(drills, { columns, colour })];
}

/** The drill of this name, else those whose name holds it, capitals and small letters alike; all when no name is given. */
function chosen(scenarios: readonly Scenario[], part: string | undefined, file: string): readonly Scenario[] {
  if (part === undefined) return scenarios;
  const wanted = part.trim().toLowerCase();
  const exact = scenarios.filter(({ drill }) => drill.name.toLowerCase() === wanted);
  const found = exact.length > 0 ? exact : scenarios.filter(({ drill }) => drill.name.toLowerCase().includes(wanted));
  if (wanted !== '' && found.length > 0) return found;
  const names = scenarios.map(({ drill }) => drill.name);
  const near = nearestName(part, names);
  throw new BadInput([`--drill: no drill of ${file} has ${quote(part)} in its name${near === null ? '' : `; did you mean ${near}?`}`, `its drills: ${names.join('; ')}`]);
}

/** @returns the exit code */
export async function run(file: string, options: RunOptions, terminal: Terminal): Promise<number> {
  if (options.trace === true && options.json !== true) throw new BadInput(['--trace goes with --json; --csv FILE writes the trace to a file']);
  checkOneOutput(options);
  checkPicture(options, [file]);
  const loaded = await load(file, options.set);
  const scenarios = chosen(loaded.scenarios, options.drill, file);
  const several = loaded.scenarios.length > 1;
  if (options.csv !== undefined) {
    if (scenarios.length > 1) {
      const names = scenarios.map(({ drill }) => drill.name).join(', ');
      throw new BadInput([
        `--csv: ${file} holds ${scenarios.length} drills (${names}), whose traces do not fit into one file`,
        'run one at a time: --drill with a part of its name that no other has',
      ]);
    }
    checkWritable(options.csv, [file]);
  }
  const runs = scenarios.map(runScenario);
  const costs = runs.map(({ scenario, trace }) => (options.stepCheck === true ? stepCost(scenario, trace) : null));
  if (options.csv !== undefined) writeWhole(options.csv, traceCsv(runs[0]!.trace));

  writePicture(options, () => runs.map((each) => runPicture(titleOf(each.scenario, file, several), [pictured(each, '')])));

  const warnings = scenarios.map(warningLines);
  const code = runs.some(({ scored }) => scored.missed.length > 0 || scored.stalled) ? EXIT.missed : EXIT.ok;
  const { layout } = terminal;
  if (options.csv === STANDARD_OUTPUT || isPictureAlone(options)) {
    for (const line of warnings.flat()) terminal.err(line);
    return code;
  }
  if (options.json === true) {
    const objects = runs.map(({ scenario, trace, scored }, i) => ({
      ...runObject({ title: titleOf(scenario, file, several), file, scored, trace, stepCost: costs[i] ?? null, withTrace: options.trace === true }),
      warnings: warningsOf(scenario),
    }));
    terminal.out(JSON.stringify(objects.length === 1 ? objects[0] : runsObject(file, objects, scoreSuite(runs.map(({ scored }) => scored.score))), null, 1));
  } else {
    for (const [i, { scenario, trace, scored }] of options.brief === true ? [] : runs.entries()) {
      terminal.out([
        ...(i > 0 ? [''] : []),
        ...sentence(titleOf(scenario, file, several), terminal),
        ...warnings[i]!.flatMap((line) => sentence(line, terminal)),
        ...traceCharts(trace, layout),
        ...(scored.events.length > 0 ? ['', ...eventTable(scored, { columns: layout.columns, colour: layout.colour })] : []),
        '',
        ...sentence(scored.verdict, terminal),
        ...(costs[i] === null || costs[i] === undefined ? [] : sentence(stepCostLine(scenario.run.step, costs[i]), terminal)),
      ]);
    }
    if (runs.length > 1 || options.brief === true) terminal.out(suitePage(file, runs, terminal));
    terminal.out(sentence(cautionLine(), terminal));
  }
  return code;
}
