/** Scales of a character plot: values per row with round labels on rows, and round times along the axis. */

const ROUND = [1, 2, 2.5, 5];

/** A vertical scale: row i (0 at the bottom) stands for (first + i) · step / every. */
export interface RowScale {
  readonly rows: number;
  /** Distance between labelled values. */
  readonly step: number;
  /** Rows between labels. */
  readonly every: number;
  /** Place of the bottom row, in rows from zero. */
  readonly first: number;
}

export const rowValue = (scale: RowScale, row: number): number => ((scale.first + row) * scale.step) / scale.every;
export const isLabelled = (scale: RowScale, row: number): boolean => (scale.first + row) % scale.every === 0;

/** Value at the upper edge of the plot. */
export const scaleTop = (scale: RowScale): number => rowValue(scale, scale.rows - 1);

/** Row of a value, kept within the plot. */
export function rowOf(scale: RowScale, value: number): number {
  const row = Math.round((value * scale.every) / scale.step - scale.first);
  return Math.min(scale.rows - 1, Math.max(0, row));
}

/**
 * The finest scale whose labels, two at least, are round numbers on whole rows and which holds both extremes.
 *
 * One or two rows stand for the middle or the ends, which need not be round.
 *
 * @param leastSpan range below which nothing is magnified further: a ripple of 1 rpm must not look like hunting
 */
export function rowScale(low: number, high: number, rows: number, leastSpan: number): RowScale {
  const slack = Math.max(0, Math.max(leastSpan, 1e-9 * Math.max(Math.abs(low), Math.abs(high))) - (high - low)) / 2;
  const bottom = low >= 0 ? Math.max(0, low - slack) : low - slack;
  const top = Math.max(high, bottom + (high - low) + 2 * slack);
  const span = Math.max(top - bottom, Number.MIN_VALUE);
  if (rows < 2) return { rows: 1, step: span, every: 1, first: (low + high) / 2 / span };
  if (rows < 3) return { rows, step: span, every: 1, first: bottom / span };
  let best: RowScale | null = null;
  const mostEvery = Math.max(1, Math.min(6, rows - 1));
  const magnitude = Math.floor(Math.log10((top - bottom) / (rows - 1)));
  for (let exponent = magnitude - 1; exponent <= magnitude + 2; exponent++) {
    for (const round of ROUND) {
      // a label on each row only where rows are few
      for (let every = rows > 5 ? 2 : 1; every <= mostEvery; every++) {
        const step = exponent < 0 ? round / 10 ** -exponent : round * 10 ** exponent;
        const least = Math.floor((bottom * every) / step + 1e-9);
        const spare = Math.floor(least + rows - 1 - (top * every) / step + 1e-9);
        const centred = least - Math.floor(spare / 2);
        const first = low >= 0 ? Math.max(0, centred) : centred;
        const labels = Math.floor((first + rows - 1) / every) - Math.ceil(first / every) + 1;
        if (spare >= 0 && labels >= 2 && (best === null || step / every < best.step / best.every))
          best = { rows, step, every, first };
      }
    }
  }
  if (best === null) throw new RangeError(`no scale for ${low} … ${high} in ${rows} rows`);
  return best;
}

/** Round times within a span, no denser than `most`, and their distance. */
export function roundTimes(
  span: readonly [number, number],
  most: number,
): { readonly times: readonly number[]; readonly step: number } {
  const length = span[1] - span[0];
  const least = length / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(least));
  const step = [...ROUND, 10].map((round) => round * power).find((candidate) => candidate >= least * (1 - 1e-9)) ?? 10 * power;
  const from = Math.ceil(span[0] / step - 1e-9);
  const to = Math.floor(span[1] / step + 1e-9);
  return { times: Array.from({ length: Math.max(0, to - from + 1) }, (_, k) => (from + k) * step), step };
}
