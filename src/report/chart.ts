/**
 * A chart of lines against time, in characters.
 *
 *     speed, rpm                         lowest 643 at 5.31 s · highest 846 at 10.4 s
 *      900 ┤        ╭╮
 *      800 ┤╌╌╌╌╌╌╌╌╯╰╌╌╌╌╌╌                                                 ╌ target
 *
 * Lines differ by their strokes and carry their names at the right edge, so that colour is never needed.
 */
import { timeAxis, type Frame, type Mark } from './axis.js';
import { buckets, columnOf, type Bucket } from './buckets.js';
import { LINES, palette, RUN_LINES, type LineName } from './glyphs.js';
import { formatMark, formatNumber, seconds, withUnit } from './numbers.js';
import { drawLine, emptyGrid, type Cell } from './plot.js';
import { isLabelled, rowOf, rowScale, rowValue, scaleTop, type RowScale } from './scale.js';
import { clean, cut, firstThatFits, padEnd, textWidth } from './text.js';

/** What the caller knows of the terminal, or wishes for. Below 40 columns or 24 rows, 40 and 24 are taken. */
export interface Layout {
  readonly columns: number;
  readonly rows: number;
  readonly colour: boolean;
}

export interface Series {
  readonly name: string;
  readonly values: ArrayLike<number>;
  /** Times of these values, where they are not the chart's. */
  readonly timeS?: ArrayLike<number>;
  readonly glyph?: LineName;
}

/** One chart of a page. */
export interface Panel {
  readonly title: string;
  readonly unit: string;
  readonly series: readonly Series[];
  readonly timeS: ArrayLike<number>;
  /** Rows of the plot, without its heading. */
  readonly rows: number;
  /** Lines that stand for the heading's extremes; all when not given. */
  readonly extremesOf?: readonly string[];
  /** Where the engine stalled, drawn as ×. */
  readonly stallS?: number | null;
  /** Value above which the plot is cut off, so that what lies below stays readable; drawn as ▲. */
  readonly ceiling?: number;
  /** Times at which a faint upright is drawn. */
  readonly guidesS?: readonly number[];
}

const LEAST_COLUMNS = 40;
const CUT_OFF = '▲';
const GUIDE = '┊';

/** Range that fills a plot at least, per unit, so that a ripple is not magnified into a swing. Assumed. */
const LEAST_SPAN: Readonly<Record<string, number>> = { rpm: 40, '%': 4, step: 8, '°BTDC': 4, '°': 4 };

interface Extremes {
  readonly low: number;
  readonly lowS: number;
  readonly high: number;
  readonly highS: number;
}

function timesOf(panel: Panel, series: Series): ArrayLike<number> {
  const times = series.timeS ?? panel.timeS;
  if (times.length !== series.values.length)
    throw new RangeError(`chart of ${clean(series.name)}: ${times.length} times but ${series.values.length} values`);
  return times;
}
const lineOf = (series: Series, place: number): LineName => series.glyph ?? (RUN_LINES[place % RUN_LINES.length] as LineName);

function extremes(panel: Panel, among: readonly Series[]): Extremes | null {
  let found = null as Extremes | null;
  for (const series of among) {
    const times = timesOf(panel, series);
    for (let k = 0; k < series.values.length; k++) {
      const [value, time] = [series.values[k] as number, times[k] as number];
      if (!Number.isFinite(value)) continue;
      if (found === null) found = { low: value, lowS: time, high: value, highS: time };
      else if (value < found.low) found = { ...found, low: value, lowS: time };
      else if (value > found.high) found = { ...found, high: value, highS: time };
    }
  }
  return found;
}

function scaleOf(panel: Panel): RowScale | null {
  const all = extremes(panel, panel.series);
  if (all === null) return null;
  const high = Math.max(all.low, Math.min(all.high, panel.ceiling ?? all.high));
  return rowScale(all.low, high, panel.rows, LEAST_SPAN[panel.unit] ?? 0.01 * Math.max(Math.abs(all.low), Math.abs(high), 1e-6));
}

/** Label of a plot's row, or an empty text. A plot of one or two rows is labelled with what they stand for, round or not. */
function rowLabel(scale: RowScale, row: number, unit: string): string {
  if (scale.rows < 3) return formatNumber(rowValue(scale, row), unit);
  return isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step) : '';
}

/** From the first time to the last of all lines; one row alone gets a span of a second. */
function spanOf(panels: readonly Panel[]): readonly [number, number] {
  let [from, to] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const panel of panels) {
    for (const times of panel.series.map((series) => timesOf(panel, series))) {
      if (times.length === 0) continue;
      from = Math.min(from, times[0] as number);
      to = Math.max(to, times[times.length - 1] as number);
    }
  }
  if (!(from <= to)) return [0, 1];
  return to > from ? [from, to] : [from, from + 1];
}

/** The frame that fits all panels of a page, so that their plots stand under each other. */
export function frameOf(panels: readonly Panel[], columns: number, spanS = spanOf(panels)): Frame {
  const width = Math.max(LEAST_COLUMNS, Math.floor(columns));
  const left = Math.max(
    5,
    ...panels.flatMap((panel) => {
      const scale = scaleOf(panel);
      return scale === null ? [] : Array.from({ length: scale.rows }, (_, row) => rowLabel(scale, row, panel.unit).length + 1);
    }),
  );
  const names = panels.flatMap((panel) =>
    panel.series.length > 1 ? panel.series.map((series) => textWidth(clean(series.name)) + 3) : [0],
  );
  const right = Math.min(Math.max(2, ...names), Math.floor(width / 4));
  return { left, plot: width - left - 1 - right, right, spanS };
}

function heading(panel: Panel, width: number): string {
  const chosen =
    panel.extremesOf === undefined ? panel.series : panel.series.filter((series) => panel.extremesOf?.includes(series.name));
  const found = extremes(panel, chosen);
  const title = clean(panel.title) + (panel.unit === '' ? '' : `, ${panel.unit}`);
  if (found === null) return cut(`${title}   nothing recorded`, width);
  const n = (value: number): string => formatNumber(value, panel.unit);
  const stall = panel.stallS == null ? '' : `× stalls at ${seconds(panel.stallS)} · `;
  const wordings =
    n(found.low) === n(found.high)
      ? [`steady at ${withUnit(found.low, panel.unit)}`, n(found.low)]
      : [
          `lowest ${n(found.low)} at ${seconds(found.lowS)} · highest ${n(found.high)} at ${seconds(found.highS)}`,
          `lowest ${n(found.low)} · highest ${n(found.high)}`,
          `${n(found.low)} … ${n(found.high)}`,
        ];
  const scale = scaleOf(panel);
  const cutOff =
    panel.ceiling !== undefined && scale !== null && found.high > scaleTop(scale) ? ` · ${CUT_OFF} off the scale` : '';
  const short = [
    ...wordings.map((wording) => stall + wording + cutOff),
    ...wordings.map((wording) => stall + wording),
    ...(stall === '' ? [] : [`× ${wordings.at(-1)}`]),
  ];
  return firstThatFits(
    short.map((wording) => `${title}   ${wording}`),
    width,
  );
}

/** Names of the lines by the row (from the top) that they are written in: where the line ends, or near it. */
function nameRows(scale: RowScale, ends: readonly (number | null)[]): Map<number, number> {
  const wanted = ends.flatMap((value, line) => (value === null ? [] : [{ line, row: scale.rows - 1 - rowOf(scale, value) }]));
  wanted.sort((a, b) => a.row - b.row || a.line - b.line);
  const rows: number[] = [];
  wanted.forEach(({ row }, i) => rows.push(Math.max(row, (rows[i - 1] ?? -1) + 1)));
  for (let i = rows.length - 1, last = scale.rows - 1; i >= 0; i--, last--) rows[i] = Math.min(rows[i] as number, last);
  return new Map(wanted.map(({ line }, i) => [rows[i] as number, line]));
}

/** A panel in a frame: its heading and its plot. */
export function drawPanel(panel: Panel, frame: Frame, colour: boolean): string[] {
  const paint = palette(colour);
  const head = paint.bold(heading(panel, frame.left + 1 + frame.plot + frame.right));
  const scale = scaleOf(panel);
  if (scale === null) return [head];
  const grid = emptyGrid(scale.rows, frame.plot);
  const found = panel.series.map((series) => buckets(timesOf(panel, series), series.values, frame.spanS, frame.plot));
  for (let line = panel.series.length - 1; line >= 0; line--) {
    drawLine(grid, scale, found[line] as (Bucket | null)[], lineOf(panel.series[line] as Series, line), line);
  }
  const over = scaleTop(scale) + (0.5 * scale.step) / scale.every;
  found.forEach((row, line) =>
    row.forEach((bucket, column) => {
      if (bucket !== null && bucket.high > over) (grid[0] as (Cell | null)[])[column] = { glyph: CUT_OFF, line };
    }),
  );
  for (const timeS of panel.guidesS ?? []) {
    const column = columnOf(timeS, frame.spanS, frame.plot);
    for (const row of grid) row[column] ??= { glyph: GUIDE, line: -1 };
  }
  const ends = found.map((row) => row.findLast((bucket) => bucket !== null)?.leave ?? null);
  if (panel.stallS != null && ends[0] != null) {
    const column = (found[0] as (Bucket | null)[]).findLastIndex((bucket) => bucket !== null);
    (grid[scale.rows - 1 - rowOf(scale, ends[0])] as (Cell | null)[])[column] = { glyph: '×', line: 0 };
  }
  const names = panel.series.length > 1 ? nameRows(scale, ends) : new Map<number, number>();
  const lines = grid.map((cells, fromTop) => {
    const row = scale.rows - 1 - fromTop;
    const label = rowLabel(scale, row, panel.unit);
    let text = `${label.padStart(frame.left - 1)} ${label === '' ? '│' : '┤'}`;
    for (let at = 0; at < cells.length; ) {
      const line = cells[at]?.line;
      let end = at;
      while (end < cells.length && cells[end]?.line === line) end++;
      const run = cells
        .slice(at, end)
        .map((cell) => cell?.glyph ?? ' ')
        .join('');
      text += line === undefined ? run : line < 0 ? paint.dim(run) : paint.line(line)(run);
      at = end;
    }
    const named = names.get(fromTop);
    const series = named === undefined ? undefined : panel.series[named];
    if (series === undefined || named === undefined) return text.trimEnd();
    const sample = LINES[lineOf(series, named)].symbols[4];
    return `${text} ${paint.line(named)(`${sample} ${padEnd(cut(clean(series.name), frame.right - 3), 0)}`)}`.trimEnd();
  });
  return [head, ...lines];
}

/** Most lines that one chart can keep apart without colour. */
export const MOST_LINES = RUN_LINES.length;

/**
 * One chart with its own time axis.
 *
 * @param rows of the whole chart, heading, axis and marks included
 * @returns lines no wider than `columns` (40 at least)
 */
export function chart(options: Omit<Panel, 'rows'> & Layout & { readonly marks?: readonly Mark[] }): string[] {
  const { columns, rows, colour, marks = [], ...rest } = options;
  const panel: Panel = {
    guidesS: marks.map((mark) => mark.atS),
    ...rest,
    rows: Math.max(1, rest.series.length, Math.floor(rows) - 3 - (marks.length > 0 ? 1 : 0)),
  };
  const frame = frameOf([panel], columns);
  return [...drawPanel(panel, frame, colour), ...timeAxis(frame, marks)];
}
