/**
 * Readings of one column as they come in, in bounded memory: when a log has more readings than the budget, all are averaged
 * over bins of time that double until they fit. Switches keep the last reading of a bin.
 */

export interface Series {
  /** Readings are `timeS` and `values` up to here. */
  length: number;
  timeS: Float64Array;
  values: Float64Array;
  /** Last reading of a bin instead of its mean. */
  last: boolean;
  /** The open bin: what it holds, and its number. */
  bin: { index: number; count: number; time: number; value: number };
}

export interface Store {
  readonly series: Series[];
  /** Width of the bins, s; 0: readings are kept as they are. */
  binS: number;
  held: number;
  readonly most: number;
}

export const createStore = (most: number): Store => ({ series: [], binS: 0, held: 0, most });

export function addSeries(store: Store, last: boolean): number {
  const bin = { index: Number.NaN, count: 0, time: 0, value: 0 };
  return store.series.push({ length: 0, timeS: new Float64Array(256), values: new Float64Array(256), last, bin }) - 1;
}

function grown(array: Float64Array): Float64Array {
  const larger = new Float64Array(Math.ceil(array.length * 1.5));
  larger.set(array);
  return larger;
}

function keep(store: Store, series: Series, t: number, value: number): void {
  if (series.length === series.values.length) {
    series.timeS = grown(series.timeS);
    series.values = grown(series.values);
  }
  series.timeS[series.length] = t;
  series.values[series.length++] = value;
  store.held++;
}

function closeBin(store: Store, series: Series): void {
  const { bin } = series;
  if (bin.count > 0) keep(store, series, bin.time / bin.count, series.last ? bin.value : bin.value / bin.count);
  bin.count = 0;
}

function collect(store: Store, series: Series, t: number, value: number): void {
  const { bin } = series;
  const index = Math.floor(t / store.binS);
  if (index !== bin.index) {
    closeBin(store, series);
    bin.index = index;
    bin.time = 0;
    bin.value = 0;
  }
  bin.count++;
  bin.time += t;
  bin.value = series.last ? value : bin.value + value;
}

/** Doubles the bins and puts all readings through them. */
function coarsen(store: Store): void {
  const longest = store.series.reduce((a, b) => (a.length >= b.length ? a : b));
  const typical = ((longest.timeS[longest.length - 1] as number) - (longest.timeS[0] as number)) / longest.length;
  store.binS = Math.max(2 * store.binS, 2 * typical);
  for (const series of store.series) {
    closeBin(store, series);
    const length = series.length;
    store.held -= length;
    series.length = 0;
    series.bin.index = Number.NaN;
    // a reading is read before its place can be written to: bins only make them fewer
    for (let k = 0; k < length; k++) collect(store, series, series.timeS[k] as number, series.values[k] as number);
  }
}

/** Adds a reading; times must not fall. */
export function addReading(store: Store, index: number, t: number, value: number): void {
  const series = store.series[index] as Series;
  if (store.binS === 0) keep(store, series, t, value);
  else collect(store, series, t, value);
  while (store.held > store.most) coarsen(store);
}

export function endStore(store: Store): void {
  for (const series of store.series) closeBin(store, series);
}
