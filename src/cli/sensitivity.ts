/** `tickover sensitivity`: which settings decide each metric, over ranges. */
import { cautionLine } from '../report/index.js';
import { sensitivityCharts } from '../report/sensitivity.js';
import { sensitivityCsv, sensitivityObject } from '../report/sensitivity-files.js';
import { formatProblem } from '../scenario/index.js';
import { findObjective, type Objective } from '../search/objectives.js';
import { readRanges } from '../search/sampling/index.js';
import { sensitivity as runSensitivity, type SensitivityMethod, sensitivityProblem } from '../search/sensitivity.js';
import { createEstimate } from './estimate.js';
import { BadInput, EXIT } from './failure.js';
import { checkOneOutput, checkWritable, load, STANDARD_OUTPUT, writeWhole } from './files.js';
import { createProgress } from './progress.js';
import { sentence, type Terminal } from './terminal.js';

export interface SensitivityCommand {
  readonly set: readonly string[];
  readonly vary: readonly string[];
  readonly method: string;
  readonly samples?: number;
  readonly metric?: readonly string[];
  readonly jobs: number;
  readonly seed: number;
  readonly json?: boolean;
  readonly csv?: string;
}

/** Samples when not given: enough to tell what counts from what does not, at some hundred runs for a few keys. */
const SAMPLES: Readonly<Record<SensitivityMethod, number>> = { sobol: 128, morris: 20 };
const METRICS = ['score', 'settling', 'sag', 'stall-margin', 'hunting'];

/** @returns the exit code */
export async function sensitivity(files: readonly string[], options: SensitivityCommand, terminal: Terminal): Promise<number> {
  checkOneOutput(options);
  const loaded = await Promise.all(files.map((file) => load(file, options.set)));
  const scenarios = loaded.flatMap((each) => each.scenarios);
  const { method } = options;
  if (method !== 'sobol' && method !== 'morris') throw new BadInput([`--method ${method}: sobol or morris is wanted`, 'nothing was run']);
  const objectives = readMetrics(options.metric ?? METRICS);
  const { ranges, problems } = readRanges(options.vary, scenarios);
  if (ranges === null) throw new BadInput([...problems.map(formatProblem), 'nothing was run']);
  const samples = options.samples ?? SAMPLES[method];
  const problem = sensitivityProblem({ method, samples, ranges });
  if (problem !== null) throw new BadInput([`--samples  ${problem}`, 'nothing was run']);
  if (options.csv !== undefined) checkWritable(options.csv, files);

  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once('SIGINT', onInterrupt);
  const progress = createProgress(terminal.progress);
  const estimate = createEstimate(() => performance.now());
  const result = await runSensitivity({
    scenarios, ranges, method, samples, seed: options.seed, objectives, jobs: options.jobs, signal: stop.signal,
    workerUrl: new URL('./worker.js', import.meta.url),
    onProgress(at) {
      const said = estimate.note(at.done, at.total);
      if (typeof said === 'string') terminal.err(said);
      if (said !== undefined) progress.show(at); // not before: the line stands above the bar
    },
  }).finally(() => {
    progress.end();
    process.removeListener('SIGINT', onInterrupt);
  });

  if (options.csv !== undefined) writeWhole(options.csv, lines(sensitivityCsv(result)));
  if (options.json === true) terminal.out(JSON.stringify(sensitivityObject(result), null, 1));
  else if (options.csv !== STANDARD_OUTPUT) {
    terminal.out([
      ...sentence(`${result.scenarios.join('; ')}: what decides, as ${ranges.length === 1 ? 'a setting moves through its range' : `${ranges.length} settings move through their ranges`}`, terminal),
      '',
      ...sensitivityCharts(result, terminal.layout),
      ...sentence(cautionLine(), terminal),
    ]);
  }
  if (result.done === result.total) return EXIT.ok;
  terminal.err(`interrupted: ${result.done} of ${result.total} runs were made, and are what this is worked out from`);
  return EXIT.interrupted;
}

function* lines(source: Iterable<string>): Generator<string> {
  for (const line of source) yield `${line}\r\n`;
}

/** @throws BadInput */
function readMetrics(texts: readonly string[]): readonly Objective[] {
  const found = texts.flatMap((text) => text.split(',')).map(findObjective);
  const wrong = found.filter((each) => typeof each === 'string');
  if (wrong.length > 0) throw new BadInput([...wrong.map((message) => `--metric  ${message}`), 'nothing was run']);
  return [...new Set(found as Objective[])];
}
