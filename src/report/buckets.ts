/**
 * A trace cut into as many pieces as a plot has columns, with each piece's extremes kept.
 *
 * A line drawn through one sample a column would lose a sag of 50 ms in a run of 15 s; here a column knows where the line
 * enters, where it leaves, and how low and high it went between.
 */

export interface Bucket {
  readonly enter: number;
  readonly leave: number;
  readonly low: number;
  readonly high: number;
}

/** Column in which a time falls; the end of the span belongs to the last. */
export function columnOf(timeS: number, span: readonly [number, number], columns: number): number {
  const place = Math.floor(((timeS - span[0]) / (span[1] - span[0])) * columns + 1e-9);
  return Math.min(columns - 1, Math.max(0, place));
}

/**
 * Buckets of values over a span, left to right; null where there is nothing to draw.
 *
 * A value that is not finite leaves a gap. Between samples the line is straight.
 *
 * @param timeS not descending, s   @throws RangeError if the lengths differ or the span is empty
 */
export function buckets(
  timeS: ArrayLike<number>,
  values: ArrayLike<number>,
  span: readonly [number, number],
  columns: number,
): (Bucket | null)[] {
  if (timeS.length !== values.length) throw new RangeError(`${timeS.length} times but ${values.length} values`);
  if (!(span[1] > span[0])) throw new RangeError(`empty span: ${span[0]} … ${span[1]} s`);
  const found: (Bucket | null)[] = new Array<Bucket | null>(columns).fill(null);
  const note = (column: number, value: number): void => {
    const had = found[column];
    found[column] =
      had === null || had === undefined
        ? { enter: value, leave: value, low: value, high: value }
        : { enter: had.enter, leave: value, low: Math.min(had.low, value), high: Math.max(had.high, value) };
  };
  const edge = (column: number): number => span[0] + (column * (span[1] - span[0])) / columns;
  for (let k = 0; k < timeS.length; k++) {
    const [t, y] = [timeS[k] as number, values[k] as number];
    if (!Number.isFinite(y)) continue;
    const column = columnOf(t, span, columns);
    const [before, from] = [timeS[k - 1], values[k - 1]];
    if (before !== undefined && from !== undefined && Number.isFinite(from) && t > before) {
      for (let passed = columnOf(before, span, columns) + 1; passed <= column; passed++) {
        const between = from + ((edge(passed) - before) / (t - before)) * (y - from);
        const value = Math.min(Math.max(between, Math.min(from, y)), Math.max(from, y));
        note(passed - 1, value);
        note(passed, value);
      }
    }
    if (t >= span[0] - 1e-9 && t <= span[1] + 1e-9) note(column, y);
  }
  return found;
}
