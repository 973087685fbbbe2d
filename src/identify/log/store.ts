/**
 * Readings of all columns as they come in, in bounded memory. A log with more readings than the budget is thinned, in two ways:
 *
 *     rows closer than 0.05 s    averaged over bins of up to that; nothing that is looked at in an idle is faster
 *     otherwise                  time is cut into windows, and those that tell least of an idle are let go (windows.ts, worth.ts)
 *
 * Switches keep the last reading of a bin.
 */
import { append, emptySeries, type Series } from './series.js';
import { createWindows, divide, type Held, indexAt, join, type Judge, letGo, openNext, openOf, WINDOWS, type Windows } from './windows.js';

interface Column {
  /** Last reading of a bin instead of its mean. */
  readonly last: boolean;
  /** The open bin: what it holds, and its number. */
  readonly bin: { index: number; count: number; time: number; value: number };
}

export interface Store {
  readonly columns: Column[];
  readonly windows: Windows;
  /** Width of the bins, s; 0: readings are kept as they are. */
  binS: number;
  held: number;
  readonly most: number;
  lastS: number;
  /** Asked when the first window must be judged: what the columns are is known then. */
  readonly judgeOf: (held: readonly Series[]) => Judge;
}

/** Bins no wider, s. */
const FINEST_S = 0.05;

export const createStore = (most: number, judgeOf: Store['judgeOf']): Store => ({ columns: [], windows: createWindows(), binS: 0, held: 0, most, lastS: Number.NaN, judgeOf });

export function addSeries({ windows, columns }: Store, last: boolean): number {
  for (const { series } of windows.list) series.push(emptySeries());
  for (const series of windows.spare) series.push(emptySeries());
  return columns.push({ last, bin: { index: Number.NaN, count: 0, time: 0, value: 0 } }) - 1;
}

function keep(store: Store, column: number, t: number, value: number): void {
  const window = openOf(store.windows);
  append(window.series[column] as Series, t, value);
  if (t < window.fromS) window.fromS = t;
  if (t > window.toS) window.toS = t;
  window.held++;
  store.held++;
}

function closeBin(store: Store, index: number): void {
  const { last, bin } = store.columns[index] as Column;
  if (bin.count > 0) keep(store, index, bin.time / bin.count, last ? bin.value : bin.value / bin.count);
  bin.count = 0;
  bin.index = Number.NaN;
}

function collect(store: Store, column: number, t: number, value: number): void {
  const { last, bin } = store.columns[column] as Column;
  const index = Math.floor(t / store.binS + 1e-9);
  if (index !== bin.index) {
    closeBin(store, column);
    bin.index = index;
    bin.time = 0;
    bin.value = 0;
  }
  bin.count++;
  bin.time += t;
  bin.value = last ? value : bin.value + value;
}

function closeBins(store: Store): void {
  for (let c = 0; c < store.columns.length; c++) closeBin(store, c);
}

/** Puts all that the one window holds through bins of a new width. */
function rebin(store: Store, binS: number): void {
  closeBins(store);
  const window = openOf(store.windows);
  store.binS = binS;
  window.series.forEach((series, c) => {
    const length = series.length;
    (store.columns[c] as Column).bin.index = Number.NaN;
    store.held -= length;
    window.held -= length;
    series.length = 0;
    // a reading is read before its place can be written to: bins only make them fewer
    for (let k = 0; k < length; k++) collect(store, c, series.timeS[k] as number, series.values[k] as number);
  });
}

function thin(store: Store): void {
  const { windows, most } = store;
  if (windows.widthS === null) {
    const longest = openOf(windows).series.reduce((a, b) => (a.length >= b.length ? a : b));
    const typical = ((longest.timeS[longest.length - 1] as number) - (longest.timeS[0] as number)) / Math.max(1, longest.length - 1);
    if (typical < FINEST_S / 1.5 && store.binS < FINEST_S) {
      rebin(store, Math.min(FINEST_S, Math.max(2 * store.binS, 2 * typical)));
      return;
    }
    closeBins(store);
    divide(windows, store.lastS, store.judgeOf);
  }
  while (store.held > most && windows.list.length > 1) store.held -= letGo(windows);
}

/** Gets ready for readings at a time, which must not fall. */
export function advance(store: Store, t: number): void {
  const { windows } = store;
  if (Number.isNaN(windows.firstS)) windows.firstS = t;
  if (store.held > store.most) thin(store);
  store.lastS = t;
  if (windows.widthS === null) return;
  const open = openOf(windows);
  const index = indexAt(windows, t);
  // a rate that rises later must not make one window the whole budget
  if (index === open.index && open.held <= (2 * store.most) / WINDOWS) return;
  closeBins(store);
  openNext(windows, index);
}

/** Adds a reading at the time that was advanced to. */
export function addReading(store: Store, column: number, value: number): void {
  if (store.binS === 0) keep(store, column, store.lastS, value);
  else collect(store, column, store.lastS, value);
}

/** All that is kept. The store is empty afterwards. */
export function endStore(store: Store): Held {
  closeBins(store);
  return join(store.windows);
}
