/** What `sweep` and `merge` tell of a sweep: the page, the JSON object, the table of every cell. */
import { simulate } from '../loop/simulate.js';
import { cautionLine, formatNumber, frontPage, type HeatCell, heatMap, overlayCharts, rankingTable } from '../report/index.js';
import { plural } from '../report/numbers.js';
import { withValues } from '../scenario/index.js';
import {
  type CellMap, cellIndex, createFrontGathering, csvLines, type Front, type FrontGathering, jsonLines, rank, readObjectives, scenarioNames, shardText, type StoreHeader, type Summary, type SweepRow, type SweptRows,
} from '../search/index.js';
import { sweepForPage } from '../report/page-sweep.js';
import type { Picture } from '../report/svg/picture.js';
import { sweepPicture } from '../report/svg/sweep-picture.js';
import { BadInput, EXIT } from './failure.js';
import { STANDARD_OUTPUT, writeWhole } from './files.js';
import { checkPicture, isPictureAlone, writePicture } from './picture.js';
import { sentence, type Terminal } from './terminal.js';

/** How the result is to be told. */
export interface Telling {
  readonly top: number;
  readonly json?: boolean;
  readonly csv?: string;
  /** Two metrics, as `settling,stall-margin`. */
  readonly front?: string;
  readonly svg?: string;
}

/** A sweep, or a shard of one, as far as it came. */
export interface Swept {
  readonly header: StoreHeader;
  readonly summary: Summary;
  /** Cells that it has when it is complete. */
  readonly cells: number;
  /** Finished rows by ascending index; may be gone through several times. Not asked for where the page alone is told. */
  readonly rows: Iterable<SweepRow>;
  readonly front: Front | null;
}

/** Whether telling it takes the rows and not the summary alone. */
export const wantsRows = ({ json, csv }: Telling): boolean => json === true || csv !== undefined;

/** What gathers the front that is asked for, if any. @throws BadInput */
export function frontGathering({ front }: Telling): FrontGathering | null {
  if (front === undefined) return null;
  const objectives = readObjectives(front);
  if (typeof objectives === 'string') throw new BadInput([`--front ${objectives}`]);
  return createFrontGathering(objectives);
}

/** @returns the exit code of a sweep that is complete */
export function tellSweep(swept: Swept, telling: Telling, terminal: Terminal): number {
  const { summary } = swept;
  writePicture(telling, () => [pictureOf(swept)]);
  if (wantsRows(telling)) tellRows(swept, telling, terminal);
  if (telling.json !== true && telling.csv !== STANDARD_OUTPUT && !isPictureAlone(telling) && summary.done > 0) terminal.out(page(swept, terminal));
  const [best] = summary.best;
  return best === undefined || best.stalled || best.missed.length > 0 ? EXIT.missed : EXIT.ok;
}

/** Refuses early a picture that would be empty. @throws BadInput */
export function checkSweepPicture(telling: Telling, { axes, design }: { readonly axes: StoreHeader['axes']; readonly design?: unknown }, inputs: readonly string[]): void {
  checkPicture(telling, inputs);
  if (telling.svg !== undefined && telling.front === undefined && (axes.length !== 2 || design != null)) {
    throw new BadInput(['--svg: draws the map of a grid of exactly two settings; for anything else give --front, and it draws that']);
  }
}

function pictureOf({ header, summary, front }: Swept): Picture {
  const [best] = summary.best;
  if (best === undefined) throw new RangeError('nothing to draw: no cell could be run');
  return sweepPicture(sweepForPage({ name: nameOf(header), axes: header.axes, cells: header.total, map: summary.map, front }), [verdict(header, summary, best)]);
}

/** What was swept: of a suite, its first drill's title. */
const nameOf = ({ scenarios: [scenario] }: StoreHeader): string => (scenario!.title === '' ? 'scenario' : scenario!.title);

function tellRows({ header, summary, cells, rows, front }: Swept, { csv, json }: Telling, terminal: Terminal): void {
  const { axes, scenarios, starting } = header;
  const result: SweptRows = { axes, scenarios: scenarioNames(scenarios), starting, rows, ranking: rank(rows), total: cells, complete: summary.done === cells };
  if (csv !== undefined) writeWhole(csv, lines(csvLines(result)));
  if (json === true) for (const line of jsonLines(result, front === null ? {} : { front: frontObject(front) })) terminal.out(line);
}

/** Indices of its cells, best in the first objective first. */
const frontObject = ({ objectives, front }: Front): object => ({ objectives: objectives.map(({ name }) => name), indices: front.map(({ index }) => index) });

function* lines(source: Iterable<string>): Generator<string> {
  for (const line of source) yield `${line}\r\n`;
}

type Values = ReadonlyMap<string, number>;
const valuesOf = ({ axes }: StoreHeader, row: SweepRow): Values => new Map(axes.map(({ key }, i) => [key, row.values[i]!]));

function page({ header, summary, cells, front }: Swept, terminal: Terminal): readonly string[] {
  const { axes, shard, total } = header;
  const [best] = summary.best;
  if (best === undefined) return sentence(`No cell could be run${summary.firstReason === null ? '' : `: ${summary.firstReason}`}`, terminal);
  const { columns, colour } = terminal.layout;
  return [
    ...bestAgainstStart(header, best, terminal),
    '',
    ...(summary.map === null ? [] : [...mapOf(header, summary.map, terminal), '']),
    ...rankingTable(
      summary.best.map((row, i) => ({
        rank: i + 1,
        values: Object.fromEntries(valuesOf(header, row)),
        score: row.score as number,
        worst: row,
        reasons: row.reasons,
        stalled: row.stalled,
        missed: row.missed.length,
      })),
      {
        columns, colour, units: Object.fromEntries(axes.map(({ key, unit }) => [key, unit])), of: summary.done,
        ...(summary.worstScore === null ? {} : { worstScore: summary.worstScore }),
      },
    ),
    '',
    ...(front === null ? [] : [...frontPage({ ...front, columns, colour, of: summary.done, axes }), '']),
    ...(shard.of > 1 ? sentence(`Shard ${shardText(shard)} alone: ${cells} of ${total} cells; tickover merge joins them.`, terminal) : []),
    ...sentence(verdict(header, summary, best), terminal),
    ...sentence(cautionLine(), terminal),
  ];
}

/** The best cell and the scenario as it is, over each other; of a suite, its first drill. */
function bestAgainstStart(header: StoreHeader, best: SweepRow, terminal: Terminal): readonly string[] {
  const { scenarios } = header;
  const scenario = scenarios[0]!;
  return [
    ...sentence(`${nameOf(header)}${scenarios.length > 1 ? ` (${scenario.drill.name}, the first of ${scenarios.length})` : ''}`, terminal),
    ...overlayCharts(
      [
        { name: 'best', trace: simulate(withValues(scenario, valuesOf(header, best))) },
        { name: 'as it is', trace: simulate(scenario) },
      ],
      terminal.layout,
    ),
  ];
}

function mapOf({ axes }: StoreHeader, map: CellMap, terminal: Terminal): readonly string[] {
  const [x, y] = [axes[0]!, axes[1]!];
  const cell = (i: number, j: number): HeatCell => {
    const index = cellIndex(axes, [i, j]);
    const mark = map.mark(index);
    return mark === 'held' ? map.score(index) : mark === 'missed' ? { missed: map.score(index) } : mark;
  };
  return heatMap({ x, y, score: cell, ...terminal.layout });
}

/** One plain line: what is best, and what it buys. */
function verdict({ axes, starting }: StoreHeader, summary: Summary, best: SweepRow): string {
  const values = axes.map(({ key, unit }, i) => `${key} ${formatNumber(best.values[i]!)}${unit === '' ? '' : ` ${unit}`}`).join(', ');
  const score = (value: number | null): string => (value === null ? 'not run' : formatNumber(value));
  const { done, stalls, notRun } = summary;
  const sag = best.sagRpm === null || starting.sagRpm === null ? '' : ` (sag ${formatNumber(starting.sagRpm, 'rpm')} → ${formatNumber(best.sagRpm, 'rpm')} rpm)`;
  const why = notRun === 0 ? '' : ` ${notRun} could not be run, the first because ${summary.firstReason}.`;
  const tail = `${stalls} of ${plural(done, 'cell')} ${done === 1 ? 'stalls' : 'stall'}.${why}`;
  if (!best.stalled && isSame(best, summary.last)) {
    const what = axes.length === 1 ? 'The setting makes' : 'The settings make';
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
function isSame(best: SweepRow, worst: SweepRow | null): boolean {
  if (worst === null || best.index === worst.index || best.stalled !== worst.stalled) return false;
  return Math.abs(worst.score! - best.score!) <= ROUNDING * Math.abs(best.score!);
}
