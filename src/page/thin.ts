/**
 * A trace for the eye: rows enough for the widest screen, and no dip or spike lost. Where rows are left out, a stretch of them
 * gives two points, its lowest and its highest value in the order in which they came.
 */

export interface Thinned {
  /** Times of the points, s. */
  readonly timeS: Float64Array;
  readonly columns: Readonly<Record<string, Float64Array>>;
  /** Rows that two points stand for; 1 where every row is drawn. */
  readonly by: number;
}

/** More than twice the points that a screen of 2560 has side by side. */
export const MOST_POINTS = 6000;

/** @param rows used in each column   @param most points, 4 at least */
export function thin(columns: Readonly<Record<string, Float64Array>>, rows: number, most: number = MOST_POINTS): Thinned {
  const { timeS, ...others } = columns as Record<string, Float64Array> & { timeS: Float64Array };
  if (rows <= most) {
    return { timeS: timeS.slice(0, rows), columns: Object.fromEntries(Object.entries(others).map(([name, column]) => [name, column.slice(0, rows)])), by: 1 };
  }
  const by = Math.ceil(rows / Math.floor(most / 2));
  const stretches = Math.ceil(rows / by);
  const times = new Float64Array(2 * stretches);
  for (let i = 0; i < stretches; i++) {
    const [from, to] = [i * by, Math.min(rows, (i + 1) * by)];
    times[2 * i] = timeS[from]!;
    times[2 * i + 1] = to - from > 1 ? timeS[to - 1]! : timeS[from]!;
  }
  const thinned = (column: Float64Array): Float64Array => {
    const out = new Float64Array(2 * stretches);
    for (let i = 0; i < stretches; i++) {
      let [low, high] = [i * by, i * by];
      for (let k = low + 1; k < Math.min(rows, (i + 1) * by); k++) {
        if (column[k]! < column[low]!) low = k;
        if (column[k]! > column[high]!) high = k;
      }
      out[2 * i] = column[Math.min(low, high)]!;
      out[2 * i + 1] = column[Math.max(low, high)]!;
    }
    return out;
  };
  return { timeS: times, columns: Object.fromEntries(Object.entries(others).map(([name, column]) => [name, thinned(column)])), by };
}
