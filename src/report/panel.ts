/** One chart of a page as data: its lines, their extremes, the scale and the time that they span. */
import type { LineName } from './glyphs.js';
import { rowScale, type RowScale } from './scale.js';
import { clean } from './text.js';

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

/** Range that fills a plot at least, per unit, so that a ripple is not magnified into a swing. Assumed. */
const LEAST_SPAN: Readonly<Record<string, number>> = { rpm: 40, '%': 4, step: 8, '°BTDC': 4, '°': 4 };

export interface Extremes {
  readonly low: number;
  readonly lowS: number;
  readonly high: number;
  readonly highS: number;
}

export function timesOf(panel: Panel, series: Series): ArrayLike<number> {
  const times = series.timeS ?? panel.timeS;
  if (times.length !== series.values.length)
    throw new RangeError(`chart of ${clean(series.name)}: ${times.length} times but ${series.values.length} values`);
  return times;
}

export function extremes(panel: Panel, among: readonly Series[]): Extremes | null {
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

export function scaleOf(panel: Panel): RowScale | null {
  const all = extremes(panel, panel.series);
  if (all === null) return null;
  const high = Math.max(all.low, Math.min(all.high, panel.ceiling ?? all.high));
  return rowScale(all.low, high, panel.rows, LEAST_SPAN[panel.unit] ?? 0.01 * Math.max(Math.abs(all.low), Math.abs(high), 1e-6));
}

/** From the first time to the last of all lines; one row alone gets a span of a second. */
export function spanOf(panels: readonly Panel[]): readonly [number, number] {
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
