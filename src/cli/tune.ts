/** `tickover tune`: gains that do best in the worst case, within limits. */
import { simulate } from '../loop/simulate.js';
import { controllerFile } from '../report/controller-file.js';
import { cautionLine, overlayCharts } from '../report/index.js';
import { answersTable, drillsTable, tunedMargins, tunedTable, worstRun } from '../report/tune.js';
import { tuneVerdict, tuneWords } from '../report/tune-words.js';
import { numericKeys, type Scenario, withValues } from '../scenario/index.js';
import { valveRange } from '../scenario/table.js';
import { scenarioNames } from '../search/index.js';
import { stageOf, type TuneResult } from '../search/tune/result.js';
import { idleScenario, tune as runTune } from '../search/tune/tune.js';
import { BadInput, EXIT } from './failure.js';
import { checkOwnFile, load, writeWhole } from './files.js';
import { gainScaleOf } from './gain-scale.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';
import { tuneObject } from './tune-json.js';
import { readTune, type TuneCommand } from './tune-options.js';

/** First line of a controller file of ours: only such a file is written over. */
const HEAD = 'Gains computed by tickover tune';

/** @returns the exit code */
export async function tune(file: string, options: TuneCommand, terminal: Terminal): Promise<number> {
  const { scenarios } = await load(file, options.set);
  const scale = gainScaleOf(scenarios[0] as Scenario, options.gainScale);
  if (options.out !== undefined) checkOwnFile(options.out, file, HEAD, 'tune');
  const asked = readTune(options, scenarios);
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once('SIGINT', onInterrupt);
  let said = '';
  let result: TuneResult;
  try {
    result = await runTune({
      ...asked, scenarios, jobs: options.jobs, signal: stop.signal, workerUrl: new URL('./worker.js', import.meta.url),
      onProgress({ doing, simulatedS, best }) {
        const line = `${doing}: ${Math.round(simulatedS)} simulated seconds${best === null ? '' : `, best cost ${best.cost.toFixed(3)}`}`;
        if (terminal.progress && line !== said) terminal.err(`… ${line}`);
        said = line;
      },
    });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput([`${file}  ${error.message}`, 'nothing was tuned']);
  } finally {
    process.removeListener('SIGINT', onInterrupt);
  }
  const title = titleOf(scenarios[0] as Scenario, file, false);
  const judged = stageOf(result).best?.judged ?? null;
  if (judged === null) return nothing(result, file, terminal);

  const values = new Map(result.keys.map((key, i): [string, number] => [key, judged.values[i] as number]));
  if (options.out !== undefined) {
    const tuned = withValues(idleScenario(scenarios), values);
    const head = [`${HEAD} from ${file}.`, `${tuneVerdict(result)}.`];
    writeWhole(options.out, [`${controllerFile(tuned.controller, valveRange(tuned.valve).unit, head).join('\n')}\n`]);
  }
  if (options.json === true) terminal.out(JSON.stringify(tuneObject(result, file, title, scale), null, 1));
  else terminal.out(page(result, scenarios, scale, title, options.out, terminal));
  if (result.interrupted) {
    terminal.err('interrupted: this is the best found so far; what was still to be looked at is left out');
    return EXIT.interrupted;
  }
  return judged.holds ? EXIT.ok : EXIT.missed;
}

/** Where not one set gets through. */
function nothing(result: TuneResult, file: string, terminal: Terminal): number {
  if (result.interrupted) {
    terminal.err('interrupted before one set of gains had been through the drills');
    return EXIT.interrupted;
  }
  const closest = result.spark?.closest ?? result.air.closest;
  const run = closest?.finish?.runs.find(({ stalled }) => stalled);
  const where = run === undefined ? '' : ` The last one standing stalls in ${result.drills[run.run % result.drills.length]}, ${result.corners[Math.floor(run.run / result.drills.length)]}.`;
  if (closest !== null && !Number.isFinite(closest.msNominal)) {
    const alone = result.margins.before.engineUnstablePoles > 0 ? ' The engine alone is unstable: left to itself it swings, and the swing grows.' : '';
    throw new BadInput([
      ...sentence(`${file}  none of ${result.spent.sets} sets of gains makes the loop stable as described.${alone}${where}`, terminal),
      ...sentence('Look at the idle itself: a higher target, a heavier crank or a smaller plenum damps its swing, which tickover margins shows.', terminal),
      'nothing was tuned',
    ]);
  }
  throw new BadInput([
    ...sentence(`${file}  every one of ${result.spent.sets} sets of gains stalls the engine.${where}`, terminal),
    ...sentence('Gains cannot mend that: look at the base air, the load air, the entry window and the start (tickover setup computes them), or leave the drill out.', terminal),
    'nothing was tuned',
  ]);
}

function page(result: TuneResult, scenarios: readonly Scenario[], scale: ReturnType<typeof gainScaleOf>, title: string, out: string | undefined, terminal: Terminal): readonly string[] {
  const { layout } = terminal;
  const judged = stageOf(result).best!.judged;
  const words = (lines: readonly string[]): readonly string[] => lines.flatMap((text) => sentence(text, terminal));
  const known = new Map(numericKeys(idleScenario(scenarios)).map(({ path, value }) => [path, value]));
  const own = result.keys.map((key) => known.get(key) ?? 0);
  return [
    ...words([`${title}: tuned on ${scenarioNames(scenarios).length === 1 ? 'one drill' : `${scenarios.length} drills`} and ${result.corners.length} engines`, `${tuneVerdict(result)}.`]), '',
    ...tunedTable(result, judged, own, scale, layout), '',
    ...tunedMargins(result, judged, layout), '',
    ...drillsTable(result, judged, layout), '',
    ...words(tuneWords(result)),
    ...answersPart(result, scenarios, terminal),
    ...(out === undefined ? [] : sentence(`Gains written to ${out}; a scenario takes them by  controller: {from: ${out}}`, terminal)),
    ...words([cautionLine()]),
  ];
}

/** The answers that differ, in a table, and over each other in the drill that costs most on the engine as described. */
function answersPart(result: TuneResult, scenarios: readonly Scenario[], terminal: Terminal): readonly string[] {
  const { answers, keys, drills } = result;
  if (answers.length < 2) return ['', ...sentence('No answer that differs came within half as much again of this score.', terminal)];
  const balanced = answers.find(({ name }) => name === 'balanced')!.judged;
  const ranked = drills.map((_, drill) => ({ drill, score: worstRun(balanced, drill, drills.length, 'score')?.score ?? 0 })).sort((a, b) => b.score - a.score);
  const scenario = scenarios[ranked[0]!.drill] as Scenario;
  const runs = answers.map(({ name, judged }) => ({ name, trace: simulate(withValues(scenario, new Map(keys.map((key, i) => [key, judged.values[i] as number])))) }));
  return [
    '', ...sentence('Answers that differ, each the best of its kind of what was tried (on the engines and drills searched on):', terminal), '',
    ...answersTable(result, terminal.layout), '',
    ...sentence(`${scenario.drill.name}, the engine as described:`, terminal),
    ...overlayCharts(runs, { ...terminal.layout, rows: Math.min(terminal.layout.rows, 30) }), '',
  ];
}
