/** Readings of one column, in arrays that grow. */

/** Readings are `timeS` and `values` up to `length`. */
export interface Series {
  length: number;
  timeS: Float64Array;
  values: Float64Array;
}

export const emptySeries = (): Series => ({ length: 0, timeS: new Float64Array(256), values: new Float64Array(256) });

function grown(array: Float64Array): Float64Array {
  const larger = new Float64Array(Math.max(256, Math.ceil(array.length * 1.5)));
  larger.set(array);
  return larger;
}

export function append(series: Series, t: number, value: number): void {
  if (series.length === series.values.length) {
    series.timeS = grown(series.timeS);
    series.values = grown(series.values);
  }
  series.timeS[series.length] = t;
  series.values[series.length++] = value;
}
