/**
 * Bode plots in characters: gain in dB above, phase in degrees below, against one logarithmic axis of frequency.
 *
 * The loops are followed as closely as for their margins, so that no resonance falls between two columns.
 */
import { type LoopCurve, loopCurve, nearUnity } from '../linear/loop-curve.js';
import type { FrequencyResponse } from '../linear/response.js';
import { follow } from '../linear/trace-response.js';
import { type Bucket, buckets, columnOf } from './buckets.js';
import type { Layout } from './chart.js';
import { degreeScale } from './degree-scale.js';
import { frequencyAxis, type FrequencySpan } from './frequency-axis.js';
import { LINES, palette, RUN_LINES, type LineName } from './glyphs.js';
import { formatMark, formatNumber } from './numbers.js';
import { type Cell, drawLine, emptyGrid } from './plot.js';
import { isLabelled, rowOf, rowScale, type RowScale, rowValue } from './scale.js';
import { clean, cut, firstThatFits, textWidth } from './text.js';

export interface BodeLine {
  readonly name: string;
  readonly loop: FrequencyResponse;
}

export interface BodeOptions extends Layout {
  /** One to six; the crossings told are the first one's. */
  readonly lines: readonly BodeLine[];
  readonly unit: 'Hz' | 'rad/s';
  /** Range, rad/s; where the gain lies between +40 and −40 dB when not given. */
  readonly from?: number;
  readonly to?: number;
}

/** Gain drawn, dB, and lowest phase, degrees: a delay turns without end. */
const RANGE_DB = 40;
const FLOOR_DB = -60;
const FLOOR_DEG = -360;
const GUIDE = '┈';

/** First frequency at which values fall through a level, between points taken as straight in log ω; null if they do not. */
function fallsThrough({ omegas }: LoopCurve, values: readonly number[], level: number): number | null {
  for (let i = 1; i < values.length; i++) {
    const [a, b] = [values[i - 1] as number, values[i] as number];
    if (a > level && b <= level) return (omegas[i - 1] as number) * ((omegas[i] as number) / (omegas[i - 1] as number)) ** ((a - level) / (a - b));
  }
  return null;
}

function rangeOf(curves: readonly LoopCurve[], { from, to }: BodeOptions): readonly [number, number] {
  const [lo, hi] = nearUnity(curves, RANGE_DB);
  const range = [from ?? lo, to ?? hi] as const;
  if (!(range[0] > 0 && range[1] > range[0])) throw new RangeError(`Bode plot: no frequencies between ${range[0]} and ${range[1]} rad/s`);
  return range;
}

interface Plot {
  readonly title: string;
  readonly logs: readonly (readonly number[])[];
  readonly values: readonly (readonly number[])[];
  readonly scale: RowScale;
  /** Level drawn as a faint line, and the frequency (log10) of an upright. */
  readonly level: number;
  readonly at: number | null;
}

/** Names at the right, in rows of their own: names[row from the top] = line. */
function nameRows(rows: number, count: number): readonly (number | undefined)[] {
  return Array.from({ length: rows }, (_, row) => (count > 1 && row < count ? row : undefined));
}

function draw(plot: Plot, names: readonly string[], left: number, width: number, span: readonly [number, number], colour: boolean): string[] {
  const paint = palette(colour);
  const { scale } = plot;
  const grid = emptyGrid(scale.rows, width);
  plot.values.forEach((values, line) => {
    const found: (Bucket | null)[] = buckets(plot.logs[line] ?? [], values, span, width);
    drawLine(grid, scale, found, RUN_LINES[line % RUN_LINES.length] as LineName, line);
  });
  const inRange = plot.level >= rowValue(scale, 0) && plot.level <= rowValue(scale, scale.rows - 1);
  if (inRange) {
    const row = grid[scale.rows - 1 - rowOf(scale, plot.level)] as (Cell | null)[];
    row.forEach((cell, column) => (row[column] = cell ?? { glyph: GUIDE, line: -1 }));
  }
  if (plot.at !== null) {
    const column = columnOf(plot.at, span, width);
    for (const row of grid) if (row[column] === null || row[column]?.line === -1) row[column] = { glyph: '┊', line: -1 };
  }
  const named = nameRows(scale.rows, names.length);
  const lines = grid.map((cells, fromTop) => {
    const row = scale.rows - 1 - fromTop;
    const label = isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step) : '';
    const inside = cells.map((cell) => (cell === null ? ' ' : cell.line < 0 ? paint.dim(cell.glyph) : paint.line(cell.line)(cell.glyph)));
    const line = named[fromTop];
    const sample = line === undefined ? '' : ` ${paint.line(line)(`${LINES[RUN_LINES[line % RUN_LINES.length] as LineName].symbols[4]} ${names[line]}`)}`;
    return `${label.padStart(left - 1)} ${label === '' ? '│' : '┤'}${inside.join('')}${sample}`.trimEnd();
  });
  return [paint.bold(plot.title), ...lines];
}

/**
 * Both plots over their axis.
 *
 * @param options `rows` of the whole, titles and axis included (13 at least)
 * @returns lines no wider than `columns` (40 at least)
 * @throws RangeError when there is no line, more than six, or the range is none; or as `follow` does
 */
export function bodeChart(options: BodeOptions): string[] {
  const { lines, unit, colour } = options;
  if (lines.length === 0 || lines.length > RUN_LINES.length) throw new RangeError(`Bode plot: takes 1 to ${RUN_LINES.length} loops; given ${lines.length}`);
  const columns = Math.max(40, Math.floor(options.columns));
  const each = Math.max(4, Math.floor((Math.max(13, options.rows) - 4) / 2));
  const perUnit = unit === 'Hz' ? 2 * Math.PI : 1;
  const curves = lines.map(({ loop }) => loopCurve(follow(loop).points));
  const [from, to] = rangeOf(curves, options);
  const axis: FrequencySpan = { span: [Math.log10(from / perUnit), Math.log10(to / perUnit)], unit };
  const logs = curves.map(({ omegas }) => omegas.map((omega) => Math.log10(omega / perUnit)));
  const [first] = curves as [LoopCurve];

  const plotOf = (name: string, of: (curve: LoopCurve) => readonly number[], level: number, floor: number, scale: (low: number, high: number) => RowScale): Plot => {
    // What lies outside the range or under the floor is left out, not pressed against the edge.
    const values = curves.map((curve) => of(curve).map((value, i) => {
      const omega = curve.omegas[i] as number;
      return value < floor || omega < from * (1 - 1e-9) || omega > to * (1 + 1e-9) ? Number.NaN : value;
    }));
    const seen = values.flat().filter(Number.isFinite);
    if (seen.length === 0) seen.push(level);
    const [low, high] = [seen.reduce((a, b) => Math.min(a, b)), seen.reduce((a, b) => Math.max(a, b))];
    const crossing = fallsThrough(first, of(first), level);
    const shown = crossing !== null && crossing >= from && crossing <= to ? crossing : null;
    const whose = lines.length > 1 ? `${clean((lines[0] as BodeLine).name)} ` : '';
    const told = shown === null ? '' : `   ${whose}falls through ${formatNumber(level)} at ${formatNumber(shown / perUnit, unit === 'Hz' ? 'Hz' : '')} ${unit}`;
    const below = curves.some((curve) => of(curve).some((value, i) => value < floor && (curve.omegas[i] as number) < to)) ? ` · below ${formatNumber(floor)} not drawn` : '';
    return {
      title: firstThatFits([name + told + below, name + told, name], columns),
      logs,
      values,
      scale: scale(low, high),
      level,
      at: shown === null ? null : Math.log10(shown / perUnit),
    };
  };
  const plots = [
    plotOf('gain, dB', ({ db }) => db, 0, FLOOR_DB, (low, high) => rowScale(low, high, each, 10)),
    plotOf('phase, °', ({ deg }) => deg, -180, FLOOR_DEG, (low, high) => degreeScale(low, high, each)),
  ];

  const left = Math.max(6, ...plots.flatMap(({ scale }) => Array.from({ length: scale.rows }, (_, row) => isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step).length + 1 : 0)));
  const widest = lines.length > 1 ? Math.max(...lines.map(({ name }) => textWidth(clean(name)))) + 3 : 2;
  const right = Math.min(Math.max(2, widest), Math.floor(columns / 4));
  const names = lines.map(({ name }) => cut(clean(name), Math.max(1, right - 3)));
  const width = columns - left - 1 - right;
  return [...plots.flatMap((plot) => draw(plot, names, left, width, axis.span, colour)), ...frequencyAxis(axis, left, width, right)];
}
