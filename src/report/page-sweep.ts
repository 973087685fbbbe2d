/**
 * A sweep for a page: a map of two axes and the front of two objectives, thinned to what a screen can show and a page can
 * carry. What is left out is said in a sentence.
 */
import type { Axis, CellMap, Front, Objective, SweepRow } from '../search/index.js';
import { cellIndex, objectiveOf } from '../search/index.js';
import { formatNumber, plural } from './numbers.js';
import type { PagePart } from './page-html.js';
import type { PageAxis, PageCell, PagePoint, PageSweep } from './page-payload.js';
import { escapeHtml } from './page-text.js';

/** Most values of an axis that a map draws, and most points of a front's picture. */
const MOST_VALUES = 120;
const MOST_FRONT = 400;
const MOST_OTHERS = 1500;

export interface SweepForPage {
  readonly name: string;
  readonly axes: readonly Axis[];
  readonly cells: number;
  readonly map: CellMap | null;
  readonly front: Front | null;
}

/** Every `by`-th value, the last one too. */
const thinAxis = ({ key, unit, spacing, values }: Axis, by: number): PageAxis => ({ key, unit, spacing, values: values.filter((_, i) => i % by === 0) });

/** The best of a block of cells stands for it. */
function bestOf(cells: readonly PageCell[]): PageCell {
  const held = cells.filter((cell) => typeof cell === 'number');
  if (held.length > 0) return held.reduce((a, b) => Math.min(a, b));
  const missed = cells.filter((cell) => typeof cell === 'object');
  if (missed.length > 0) return missed.reduce((a, b) => (b.missed < a.missed ? b : a));
  return cells.find((cell) => cell === 'stalled') ?? cells.find((cell) => cell === 'notRun') ?? 'unreached';
}

const round = (score: number): number => Number(score.toPrecision(5));

function mapFor(axes: readonly Axis[], map: CellMap): PageSweep['map'] {
  const [x, y] = [axes[0]!, axes[1]!];
  const by = [x, y].map(({ values }) => Math.ceil(values.length / MOST_VALUES)) as [number, number];
  const cell = (i: number, j: number): PageCell => {
    const index = cellIndex(axes, [i, j]);
    const mark = map.mark(index);
    return mark === 'held' ? round(map.score(index)) : mark === 'missed' ? { missed: round(map.score(index)) } : mark;
  };
  const starts = (axis: Axis, step: number): number[] => axis.values.flatMap((_, i) => (i % step === 0 ? [i] : []));
  const block = (from: number, step: number, axis: Axis): number[] => Array.from({ length: Math.min(step, axis.values.length - from) }, (_, i) => from + i);
  const rows = starts(y, by[1]).map((j) => starts(x, by[0]).map((i) => bestOf(block(i, by[0], x).flatMap((a) => block(j, by[1], y).map((b) => cell(a, b))))));
  return { x: thinAxis(x, by[0]), y: thinAxis(y, by[1]), by, rows };
}

const every = <T>(items: readonly T[], most: number): readonly T[] => {
  const by = Math.ceil(items.length / most);
  return by <= 1 ? items : items.filter((_, i) => i % by === 0 || i === items.length - 1);
};

function frontFor({ objectives, front, others }: Front, cells: number): PageSweep['front'] {
  const point = (row: SweepRow): readonly PagePoint[] => {
    const [x, y] = objectives.map((objective) => objectiveOf(row, objective));
    return x == null || y == null ? [] : [{ x: round(x), y: round(y), values: row.values }];
  };
  const axis = ({ label, unit }: Objective): { label: string; unit: string } => ({ label, unit });
  const [points, behind] = [every(front, MOST_FRONT), every(others.filter(({ score, stalled }) => score !== null && !stalled), MOST_OTHERS)];
  const left = [
    ...(points.length < front.length ? [`${points.length} of the ${front.length} settings on the front`] : []),
    ...(behind.length + front.length < cells ? [`${behind.length} of the ${plural(cells - front.length, 'other cell')}`] : []),
  ];
  return {
    x: axis(objectives[0]), y: axis(objectives[1]), points: points.flatMap(point), others: behind.flatMap(point),
    thinned: left.length === 0 || front.length === 0 ? null : `Drawn: ${left.join(', and ')}; cells that stall or have no such number are none of them.`,
  };
}

/** What the page's program draws. */
export const sweepForPage = ({ name, axes, cells, map, front }: SweepForPage): PageSweep => ({
  name, axes, cells, map: map === null ? null : mapFor(axes, map), front: front === null ? null : frontFor(front, cells),
});

/** What was swept, and what of it is drawn, in words. */
function words({ axes, cells, map, front }: PageSweep): readonly string[] {
  const range = ({ key, unit, values }: PageAxis): string =>
    `${key} at ${plural(values.length, 'value')} from ${formatNumber(Math.min(...values.slice(0, 1), ...values.slice(-1)))} to ${formatNumber(Math.max(...values.slice(0, 1), ...values.slice(-1)))}${unit === '' ? '' : ` ${unit}`}`;
  const thinned = map !== null && (map.by[0] > 1 || map.by[1] > 1);
  return [
    `${plural(cells, 'cell')}: ${axes.map(range).join('; ')}.`,
    ...(thinned ? [`The map is thinned: each square stands for ${map.by[0]} × ${map.by[1]} cells and shows the best of them.`] : []),
    ...(map === null ? ['A map needs a grid of exactly two settings; this sweep has none.'] : []),
    ...(front?.thinned == null ? [] : [front.thinned]),
  ];
}

/** Places for the pictures, and the words. */
export const sweepPart = (sweeps: readonly PageSweep[]): PagePart => ({
  id: 'sweep', heading: sweeps.length === 1 ? 'The sweep' : 'The sweeps', about: '',
  body: sweeps.map((sweep, i) => `<h3>${escapeHtml(sweep.name)}</h3>
${words(sweep).map((text) => `<p>${escapeHtml(text)}</p>`).join('\n')}
<div class="pictures"><div class="map" data-sweep="${i}"></div><div class="front" data-sweep="${i}"></div></div>`).join('\n'),
});
