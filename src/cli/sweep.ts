/** `tickover sweep`: a grid of settings, ranked; the best beside the scenario as it is. */
import { simulate } from '../loop/simulate.js';
import { cautionLine, formatNumber, type HeatCell, heatMap, overlayCharts, rankingTable } from '../report/index.js';
import { plural } from '../report/numbers.js';
import { formatProblem, type Scenario, withValues } from '../scenario/index.js';
import { cellIndex, csvLines, jsonLines, readAxes, sweep as runSweep, SweepError, type SweepResult, type SweepRow } from '../search/index.js';
import { BadInput, EXIT } from './failure.js';
import { createEstimate } from './estimate.js';
import { checkOneOutput, checkWritable, load, STANDARD_OUTPUT, writeWhole } from './files.js';
import { createProgress } from './progress.js';
import { sentence, type Terminal } from './terminal.js';

export interface SweepOptions {
  readonly set: readonly string[];
  readonly vary: readonly string[];
  readonly jobs: number;
  readonly top: number;
  readonly json?: boolean;
  readonly csv?: string;
}

/** @returns the exit code */
export async function sweep(files: readonly string[], options: SweepOptions, terminal: Terminal): Promise<number> {
  checkOneOutput(options);
  const loaded = await Promise.all(files.map((file) => load(file, options.set)));
  const scenarios = loaded.flatMap((each) => each.scenarios);
  const { axes, problems } = readAxes(options.vary, scenarios);
  if (axes === null) throw new BadInput([...problems.map(formatProblem), 'nothing was run']);
  if (options.csv !== undefined) checkWritable(options.csv, files);

  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once('SIGINT', onInterrupt);
  const progress = createProgress(terminal.progress);
  const estimate = createEstimate(() => performance.now());
  const onProgress = (at: { readonly done: number; readonly total: number }): void => {
    const said = estimate.note(at.done, at.total);
    if (typeof said === 'string') terminal.err(said);
    if (said !== undefined) progress.show(at); // not before: the line stands above the bar
  };
  let result: SweepResult;
  let broke = false;
  try {
    result = await runSweep({
      scenarios, axes, jobs: options.jobs, signal: stop.signal, onProgress,
      workerUrl: new URL('./worker.js', import.meta.url),
    });
  } catch (error) {
    if (!(error instanceof SweepError)) throw error;
    terminal.err(error.message);
    result = error.result;
    broke = true;
  } finally {
    progress.end();
    process.removeListener('SIGINT', onInterrupt);
  }

  if (options.csv !== undefined) writeWhole(options.csv, lines(csvLines(result)));
  if (options.json === true) for (const line of jsonLines(result)) terminal.out(line);
  else if (options.csv !== STANDARD_OUTPUT && result.rows.length > 0) terminal.out(report(scenarios, result, options.top, terminal));
  if (!result.complete) {
    terminal.err(`${broke ? 'broken off' : 'interrupted'}: ${result.rows.length} of ${result.total} cells were run, and are ${options.csv === undefined ? 'shown' : 'kept'}`);
    return broke ? EXIT.internal : EXIT.interrupted;
  }
  const best = bestRow(result);
  return best === null || best.stalled || best.missed.length > 0 ? EXIT.missed : EXIT.ok;
}

function* lines(source: Iterable<string>): Generator<string> {
  for (const line of source) yield line.endsWith('\n') ? line : `${line}\r\n`;
}

const bestRow = (result: SweepResult): SweepRow | null => {
  const best = result.rows[result.ranking[0] ?? -1];
  return best === undefined || best.score === null ? null : best;
};

const valuesOf = (result: SweepResult, row: SweepRow): ReadonlyMap<string, number> => new Map(result.axes.map(({ key }, i) => [key, row.values[i]!]));

function report(scenarios: readonly Scenario[], result: SweepResult, top: number, terminal: Terminal): readonly string[] {
  const best = bestRow(result);
  if (best === null) {
    const why = result.rows[0]?.reason;
    return sentence(`No cell could be run${why === undefined || why === null ? '' : `: ${why}`}`, terminal);
  }
  const shown = result.ranking.slice(0, top).map((place) => result.rows[place]!).filter((row) => row.score !== null);
  return [
    ...bestAgainstStart(scenarios[0]!, result, best, terminal),
    '',
    ...(result.axes.length === 2 ? [...mapOf(result, terminal), ''] : []),
    ...rankingTable(
      shown.map((row, i) => ({
        rank: i + 1,
        values: Object.fromEntries(valuesOf(result, row)),
        score: row.score as number,
        worst: row,
        reasons: row.reasons,
        stalled: row.stalled,
        missed: row.missed.length,
      })),
      { columns: terminal.layout.columns, colour: terminal.layout.colour, units: Object.fromEntries(result.axes.map(({ key, unit }) => [key, unit])), of: result.rows.length, ...worstScore(result) },
    ),
    '',
    ...sentence(verdict(result, best), terminal),
    ...sentence(cautionLine(), terminal),
  ];
}

/** The best cell and the scenario as it is, over each other; of a suite, its first drill. */
function bestAgainstStart(scenario: Scenario, result: SweepResult, best: SweepRow, terminal: Terminal): readonly string[] {
  return [
    ...sentence(`${scenario.title === '' ? 'scenario' : scenario.title}${result.scenarios.length > 1 ? ` (${scenario.drill.name}, the first of ${result.scenarios.length})` : ''}`, terminal),
    ...overlayCharts(
      [
        { name: 'best', trace: simulate(withValues(scenario, valuesOf(result, best))) },
        { name: 'as it is', trace: simulate(scenario) },
      ],
      terminal.layout,
    ),
  ];
}

function mapOf(result: SweepResult, terminal: Terminal): readonly string[] {
  const [x, y] = [result.axes[0]!, result.axes[1]!];
  const byIndex = new Map(result.rows.map((row) => [row.index, row]));
  const cell = (i: number, j: number): HeatCell => {
    const row = byIndex.get(cellIndex(result.axes, [i, j]));
    if (row === undefined) return 'unreached';
    if (row.score === null) return 'notRun';
    return row.stalled ? 'stalled' : row.missed.length > 0 ? { missed: row.score } : row.score;
  };
  return heatMap({
    x, y,
    score: y.values.map((_, j) => x.values.map((__, i) => cell(i, j))),
    ...terminal.layout,
  });
}

/** What the worst cell that ran scored. */
function worstScore(result: SweepResult): { readonly worstScore?: number } {
  const scores = result.rows.flatMap(({ score }) => (score === null ? [] : [score]));
  return scores.length === 0 ? {} : { worstScore: scores.reduce((a, b) => Math.max(a, b)) };
}

/** One plain line: what is best, and what it buys. */
function verdict(result: SweepResult, best: SweepRow): string {
  const values = result.axes.map(({ key, unit }, i) => `${key} ${formatNumber(best.values[i]!)}${unit === '' ? '' : ` ${unit}`}`).join(', ');
  const { starting } = result;
  const score = (value: number | null): string => (value === null ? 'not run' : formatNumber(value));
  const stalls = result.rows.filter((row) => row.stalled).length;
  const sag = best.sagRpm === null || starting.sagRpm === null ? '' : ` (sag ${formatNumber(starting.sagRpm, 'rpm')} → ${formatNumber(best.sagRpm, 'rpm')} rpm)`;
  const notRun = result.rows.filter((row) => row.score === null);
  const why = notRun.length === 0 ? '' : ` ${notRun.length} could not be run, the first because ${notRun[0]!.reason}.`;
  const tail = `${stalls} of ${plural(result.rows.length, 'cell')} ${result.rows.length === 1 ? 'stalls' : 'stall'}.${why}`;
  if (!best.stalled && isSame(result)) {
    const what = result.axes.length === 1 ? 'The setting makes' : 'The settings make';
    const missed = best.missed.length > 0 ? `, and every cell misses ${best.missed.join(', ')}` : '';
    return `${what} no difference in these drills: score ${score(best.score)} throughout${missed}; ${tail}`;
  }
  const holds = best.stalled ? 'Every cell stalls; the last to do so' : best.missed.length > 0 ? `Best, though it misses ${best.missed.join(', ')}` : 'Best';
  const gain = starting.score !== null && best.score !== null && best.score >= starting.score ? 'no better than as it is' : `score ${score(starting.score)} → ${score(best.score)}`;
  return `${holds}: ${values}; ${gain}${sag}; ${tail}`;
}

/** Below this share of a score a difference is one of rounding. */
const ROUNDING = 1e-9;

/** Whether the best cell and the worst come to the same, of two at least that were run. */
function isSame({ rows, ranking }: SweepResult): boolean {
  const run = ranking.map((place) => rows[place]!).filter((row) => row.score !== null);
  const [best, worst] = [run[0], run.at(-1)];
  if (best === undefined || worst === undefined || best === worst || best.stalled !== worst.stalled) return false;
  return Math.abs(worst.score! - best.score!) <= ROUNDING * Math.abs(best.score!);
}
