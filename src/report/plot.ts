/**
 * The inside of a chart: lines on a grid of characters.
 *
 * asciichart draws each line, one point a column edge, in units of rows, so that its own rounding and labels never come
 * into play; what a column holds beyond its edges is added here as a stem. Its traps (an empty list and NaN throw, values
 * outside the range throw, labels are cut) are kept out by what is passed to it.
 */
import asciichart from 'asciichart';
import type { Bucket } from './buckets.js';
import { LINES, type LineName } from './glyphs.js';
import { rowOf, type RowScale } from './scale.js';

/** A character and the place of the line that it belongs to. */
export interface Cell {
  readonly glyph: string;
  readonly line: number;
}
/** Rows from the top, each with one cell or null a column. */
export type Grid = (Cell | null)[][];

export const emptyGrid = (rows: number, columns: number): Grid =>
  Array.from({ length: rows }, () => new Array<Cell | null>(columns).fill(null));

function drawStretch(grid: Grid, scale: RowScale, stretch: readonly Bucket[], start: number, name: LineName, line: number): void {
  const { symbols, stems } = LINES[name];
  const edges = [stretch[0] as Bucket].map((bucket) => bucket.enter).concat(stretch.map((bucket) => bucket.leave));
  const rows = edges.map((value) => rowOf(scale, value));
  const drawn = asciichart
    .plot(rows, { min: 0, max: scale.rows - 1, height: scale.rows - 1, offset: 1, format: () => ' ', symbols: [...symbols] })
    .split('\n')
    .map((text) => [...text].slice(1));
  stretch.forEach((bucket, i) => {
    const column = start + i;
    const ends = [rows[i] as number, rows[i + 1] as number] as const;
    for (let r = 0; r < scale.rows; r++) {
      const glyph = drawn[scale.rows - 1 - r]?.[i] ?? ' ';
      if (glyph !== ' ') (grid[scale.rows - 1 - r] as (Cell | null)[])[column] = { glyph, line };
    }
    const [bottom, top] = [Math.min(...ends), Math.max(...ends)];
    const [low, high] = [Math.min(bottom, rowOf(scale, bucket.low)), Math.max(top, rowOf(scale, bucket.high))];
    const put = (row: number, glyph: string): void => {
      (grid[scale.rows - 1 - row] as (Cell | null)[])[column] = { glyph, line };
    };
    for (let r = low; r < bottom; r++) put(r, symbols[9]);
    for (let r = top + 1; r <= high; r++) put(r, symbols[9]);
    if (bottom === top && (low < bottom || high > top)) put(top, stems[low < bottom ? (high > top ? 2 : 0) : 1]);
  });
}

/** Draws one line over what is there; buckets that are null leave it as it is. */
export function drawLine(grid: Grid, scale: RowScale, found: readonly (Bucket | null)[], name: LineName, line: number): void {
  let start = 0;
  while (start < found.length) {
    let end = start;
    while (end < found.length && found[end] !== null) end++;
    if (end > start) drawStretch(grid, scale, found.slice(start, end) as Bucket[], start, name, line);
    start = end + 1;
  }
}
