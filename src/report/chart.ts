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
import { CUT_OFF, heading } from './heading.js';
import { formatMark, formatNumber } from './numbers.js';
import { type Layout, type Panel, scaleOf, type Series, spanOf, timesOf } from './panel.js';
import { drawLine, emptyGrid, type Cell } from './plot.js';
import { isLabelled, rowOf, rowValue, scaleTop, type RowScale } from './scale.js';
import { clean, cut, padEnd, textWidth } from './text.js';

export type { Layout, Panel, Series } from './panel.js';

const LEAST_COLUMNS = 40;
const GUIDE = '┊';

const lineOf = (series: Series, place: number): LineName => series.glyph ?? (RUN_LINES[place % RUN_LINES.length] as LineName);

/** Label of a plot's row, or an empty text. A plot of one or two rows is labelled with what they stand for, round or not. */
function rowLabel(scale: RowScale, row: number, unit: string): string {
  if (scale.rows < 3) return formatNumber(rowValue(scale, row), unit);
  return isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step) : '';
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
