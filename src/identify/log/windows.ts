/**
 * The parts of a log that are kept: time is cut into windows, and when they hold more than may be held the one that tells
 * least of an idle is let go. What is kept has its full rate, and what is not kept is known.
 */
import { emptySeries, type Series } from './series.js';

/** How much a window tells of an idle; of what worth is, only the order counts. */
export type Judge = (window: readonly Series[]) => number;

/** A part of the log's time. */
export interface Window {
  /** Place in the cut of time, and among all windows there were. */
  readonly index: number;
  readonly order: number;
  readonly series: Series[];
  held: number;
  worth: number;
  fromS: number;
  toS: number;
}

/** Windows in order of time, the last of them open. */
export interface Windows {
  list: Window[];
  /** Width, s; null while one holds all. */
  widthS: number | null;
  firstS: number;
  judge: Judge;
  /** Arrays of windows that were let go, for the next: memory stays where it is. */
  readonly spare: Series[][];
}

/** A budget holds about so many: few enough to read about, each long enough to hold an idle and what leads to it. */
export const WINDOWS = 16;

const windowOf = (index: number, order: number, series: Series[]): Window => ({ index, order, series, held: 0, worth: 0, fromS: Infinity, toS: -Infinity });
export const createWindows = (): Windows => ({ list: [windowOf(0, 0, [])], widthS: null, firstS: Number.NaN, judge: () => 0, spare: [] });
export const openOf = (windows: Windows): Window => windows.list[windows.list.length - 1] as Window;
export const indexAt = ({ firstS, widthS }: Windows, t: number): number => Math.floor((t - firstS) / (widthS as number));

/** Judges the open window, and opens the next. */
export function openNext(windows: Windows, index: number): void {
  const open = openOf(windows);
  open.worth = windows.judge(open.series);
  const series = windows.spare.pop() ?? open.series.map(emptySeries);
  for (const s of series) s.length = 0;
  windows.list.push(windowOf(index, open.order + 1, series));
}

/** First place in a series from which its readings are in a window or later. */
function placeOf(windows: Windows, { length, timeS }: Series, index: number): number {
  let [low, high] = [0, length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (indexAt(windows, timeS[middle] as number) < index) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Cuts the one window into several, column by column, so that nothing is held twice. */
export function divide(windows: Windows, lastS: number, judgeOf: (held: readonly Series[]) => Judge): void {
  const [{ series: held }] = windows.list as [Window];
  windows.judge = judgeOf(held);
  windows.widthS = Math.max((lastS - windows.firstS) / WINDOWS, Number.MIN_VALUE);
  const list = Array.from({ length: indexAt(windows, lastS) + 1 }, (_, w) => windowOf(w, w, []));
  for (let c = 0; c < held.length; c++) {
    const all = held[c] as Series;
    for (const window of list) {
      const [from, to] = [placeOf(windows, all, window.index), placeOf(windows, all, window.index + 1)];
      const part = { length: to - from, timeS: all.timeS.slice(from, to), values: all.values.slice(from, to) };
      window.series.push(part);
      window.held += part.length;
      window.fromS = Math.min(window.fromS, part.timeS[0] ?? Infinity);
      window.toS = Math.max(window.toS, part.timeS[part.length - 1] ?? -Infinity);
    }
    held[c] = emptySeries();
  }
  for (const window of list.slice(0, -1)) window.worth = windows.judge(window.series);
  windows.list = list;
}

/**
 * Lets the window go that tells least; of equal ones the one whose neighbours are nearest, so that what is kept is spread out.
 *
 * @returns how many readings it held
 */
export function letGo({ list, spare }: Windows): number {
  const room = (w: number): number => (list[w + 1]?.order ?? Infinity) - (list[w - 1]?.order ?? -Infinity);
  let least = 0;
  for (let w = 1; w < list.length - 1; w++) {
    const less = (list[w] as Window).worth - (list[least] as Window).worth;
    if (less < 0 || (less === 0 && room(w) < room(least))) least = w;
  }
  const [gone] = list.splice(least, 1) as [Window];
  spare.push(gone.series);
  return gone.held;
}

export interface Held {
  readonly series: readonly Series[];
  /** Times from which a kept window goes on after one that was let go, s. */
  readonly cuts: readonly number[];
  /** What is kept, in order, adjoining windows as one; null when all is. */
  readonly kept: readonly { readonly fromS: number; readonly toS: number }[] | null;
}

/** All that is kept, column by column, in arrays of their length. The windows are empty afterwards. */
export function join(windows: Windows): Held {
  const full = windows.list.filter(({ held }, w) => held > 0 || w === 0);
  windows.spare.length = 0;
  const series = (full[0] as Window).series.map((_, c): Series => {
    const length = full.reduce((sum, w) => sum + (w.series[c] as Series).length, 0);
    const joined: Series = { length, timeS: new Float64Array(length), values: new Float64Array(length) };
    let at = 0;
    for (const w of full) {
      const part = w.series[c] as Series;
      joined.timeS.set(part.timeS.subarray(0, part.length), at);
      joined.values.set(part.values.subarray(0, part.length), at);
      at += part.length;
      w.series[c] = emptySeries();
    }
    return joined;
  });
  if (windows.widthS === null) return { series, cuts: [], kept: null };
  const kept: { fromS: number; toS: number; order: number }[] = [];
  for (const { order, fromS, toS } of full.filter((w) => w.held > 0)) {
    const before = kept.at(-1);
    if (before !== undefined && order === before.order + 1) Object.assign(before, { toS, order });
    else kept.push({ fromS, toS, order });
  }
  return { series, cuts: kept.slice(1).map(({ fromS }) => fromS), kept: kept.map(({ fromS, toS }) => ({ fromS, toS })) };
}
