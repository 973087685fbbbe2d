/** A logarithmic axis of frequencies under character plots. */

export interface FrequencySpan {
  /** log10 of the frequencies at both ends, in the axis's unit. */
  readonly span: readonly [number, number];
  readonly unit: 'Hz' | 'rad/s';
}

const STEPS = [[1, 2, 5], [1, 3], [1]] as const;

/** A frequency as an axis writes it: 0.02, 5, 200. */
const label = (mantissa: number, exponent: number): string =>
  exponent >= 0 ? `${mantissa}${'0'.repeat(exponent)}` : `0.${'0'.repeat(-exponent - 1)}${mantissa}`;

/** Frequencies of round mantissas within a span of logarithms, rising. */
export function roundFrequencies([lo, hi]: FrequencySpan['span'], mantissas: readonly number[]): readonly { readonly log: number; readonly text: string }[] {
  const found: { log: number; text: string }[] = [];
  for (let exponent = Math.floor(lo) - 1; exponent <= Math.ceil(hi); exponent++) {
    for (const mantissa of mantissas) {
      const log = Math.log10(mantissa) + exponent;
      if (log >= lo - 1e-9 && log <= hi + 1e-9) found.push({ log, text: label(mantissa, exponent) });
    }
  }
  return found;
}

/**
 * Two lines: the axis with its ticks, and round frequencies under them, the last with the unit; as many as find room.
 *
 * @param left, plot, right columns left of the plot, of it, and right of it
 */
export function frequencyAxis({ span, unit }: FrequencySpan, left: number, plot: number, right: number): string[] {
  const [lo, hi] = span;
  const column = (log: number): number => Math.min(plot - 1, Math.max(0, Math.floor(((log - lo) / (hi - lo)) * plot)));
  const ticksOf = (mantissas: readonly number[]): readonly { readonly at: number; readonly text: string }[] =>
    roundFrequencies(span, mantissas).map(({ log, text }) => ({ at: column(log), text }));
  const fits = (ticks: readonly { readonly at: number; readonly text: string }[]): boolean =>
    ticks.every((tick, i) => i === 0 || tick.at - (ticks[i - 1]?.at ?? 0) > tick.text.length / 2 + (ticks[i - 1]?.text.length ?? 0) / 2 + 1);
  const ticks = STEPS.map((mantissas) => ticksOf(mantissas)).find((found) => found.length > 1 && fits(found)) ?? ticksOf([1]);

  const line = new Array<string>(plot).fill('─');
  const under = new Array<string>(plot + right).fill(' ');
  let free = 0;
  ticks.forEach(({ at, text }, i) => {
    const words = i === ticks.length - 1 ? `${text} ${unit}` : text;
    const start = Math.max(0, Math.min(at - Math.floor((text.length - 1) / 2), under.length - words.length));
    line[at] = '┬';
    if (start < free) return;
    [...words].forEach((character, k) => (under[start + k] = character));
    free = start + words.length + 1;
  });
  if (ticks.length === 0) [...unit].forEach((character, k) => (under[k] = character));
  return [`${' '.repeat(left)}└${line.join('')}`, `${' '.repeat(left + 1)}${under.join('')}`.trimEnd()];
}
