/** A vertical scale for angles, labelled at parts of a turn. */
import type { RowScale } from './scale.js';

const STEPS = [15, 30, 45, 90, 180, 360, 720] as const;
const MOST_EVERY = 6;

/** The finest scale with labels at one of the angles above, on rows, that holds both extremes; see `rowScale`. */
export function degreeScale(low: number, high: number, rows: number): RowScale {
  let best: RowScale | null = null;
  for (const step of STEPS) {
    for (let every = Math.min(MOST_EVERY, rows - 1); every >= 1; every--) {
      const perRow = step / every;
      const first = Math.floor(low / perRow + 1e-9);
      const last = Math.ceil(high / perRow - 1e-9);
      const spare = rows - 1 - (last - first);
      if (spare < 0 || (best !== null && perRow >= best.step / best.every)) continue;
      best = { rows, step, every, first: first - Math.floor(spare / 2) };
    }
  }
  if (best === null) throw new RangeError(`no scale for ${low}° … ${high}° in ${rows} rows`);
  return best;
}
