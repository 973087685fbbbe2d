/**
 * A chart of lines against a quantity other than time, in characters: one plot, its axis, names at the right.
 *
 * Lines differ by their strokes, as in charts against time.
 */
import { buckets, columnOf } from './buckets.js';
import { type LineName, LINES, palette, RUN_LINES } from './glyphs.js';
import { formatMark } from './numbers.js';
import { drawLine, emptyGrid } from './plot.js';
import { isLabelled, roundTimes, rowOf, rowScale, rowValue } from './scale.js';
import { clean, cut, padEnd, textWidth } from './text.js';

export interface CurveLine {
  readonly name: string;
  readonly x: readonly number[];
  /** null leaves a gap. */
  readonly y: readonly (number | null)[];
  readonly glyph?: LineName;
}

export interface CurveChart {
  readonly title: string;
  /** What stands under the axis. */
  readonly along: string;
  readonly lines: readonly CurveLine[];
  readonly columns: number;
  /** Rows of the plot itself. */
  readonly rows: number;
  readonly colour: boolean;
}

const LEAST_NAMES = 10;

/**
 * @returns lines no wider than `columns` (40 at least): title, plot, axis, its numbers
 * @throws RangeError when there is nothing to draw
 */
export function curveChart({ title, along, lines, columns, rows, colour }: CurveChart): readonly string[] {
  const seen = lines.flatMap(({ y }) => y.filter((value): value is number => value !== null && Number.isFinite(value)));
  const across = lines.flatMap(({ x }) => x);
  if (seen.length === 0) throw new RangeError(`${title}: nothing to draw`);
  const paint = palette(colour);
  const span = [Math.min(...across), Math.max(...across)] as const;
  const scale = rowScale(Math.min(...seen), Math.max(...seen), rows, 1e-6);
  const labels = Array.from({ length: rows }, (_, row) => (isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step) : ''));
  const left = Math.max(5, ...labels.map((label) => label.length + 1));
  const right = lines.length < 2 ? 2 : Math.min(Math.max(LEAST_NAMES, ...lines.map(({ name }) => textWidth(clean(name)) + 3)), Math.floor(columns / 3));
  const plot = columns - left - 1 - right;

  const grid = emptyGrid(rows, plot);
  const ends: (number | null)[] = [];
  lines.forEach(({ x, y, glyph }, i) => {
    const found = buckets(x, y.map((value) => value ?? Number.NaN), span, plot);
    drawLine(grid, scale, found, glyph ?? RUN_LINES[i % RUN_LINES.length]!, i);
    const last = found.findLast((bucket) => bucket !== null);
    ends.push(last == null ? null : scale.rows - 1 - rowOf(scale, last.leave));
  });
  const names = new Map<number, number>();
  if (lines.length > 1) {
    for (const [i, end] of ends.entries()) {
      if (end === null) continue;
      let row = end;
      while (names.has(row)) row = row + 1 < rows ? row + 1 : 0;
      names.set(row, i);
    }
  }
  const drawn = grid.map((cells, fromTop) => {
    const label = labels[scale.rows - 1 - fromTop]!;
    const inside = cells.map((cell) => (cell === null ? ' ' : paint.line(cell.line)(cell.glyph))).join('');
    const named = names.get(fromTop);
    const line = named === undefined ? null : lines[named]!;
    const stroke = line === null ? '' : LINES[line.glyph ?? RUN_LINES[named! % RUN_LINES.length]!].symbols[4];
    const name = line === null ? '' : ` ${paint.line(named!)(`${stroke} ${padEnd(cut(clean(line.name), right - 3), 0)}`)}`;
    return `${label.padStart(left - 1)} ${label === '' ? '│' : '┤'}${inside}${name}`.trimEnd();
  });

  const { times: marks, step } = roundTimes(span, Math.max(1, Math.floor(plot / 8)));
  const axis = new Array<string>(plot).fill('─');
  const under = new Array<string>(plot).fill(' ');
  for (const mark of marks) {
    const column = columnOf(mark, span, plot);
    const label = formatMark(mark, step);
    axis[column] = '┬';
    const start = Math.max(0, Math.min(column - Math.floor((label.length - 1) / 2), plot - label.length));
    [...label].forEach((character, k) => (under[start + k] = character));
  }
  return [
    cut(clean(title), columns), ...drawn, `${' '.repeat(left)}└${axis.join('')}`, `${' '.repeat(left + 1)}${under.join('')}`.trimEnd(),
    cut(`${' '.repeat(left + 1)}${along}`, columns),
  ];
}
