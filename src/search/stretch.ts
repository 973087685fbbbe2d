/** Cells shared out in stretches, whose length follows from how many steps a cell takes and never from a clock. */
import type { Work } from './work.js';

/** Cells `from`, `from + by`, … below `to`. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly by: number;
}

/** How many cells a stretch has. */
export const cellsIn = ({ from, to, by }: Stretch): number => Math.max(0, Math.ceil((to - from) / by));

/** Integration steps a stretch is worth: 10 to 50 ms on a machine of today. */
const STEPS_A_STRETCH = 40_000;

/** Short enough to share out among `jobs` and to break off between; long enough to be worth a message. Never laid out. */
export function* stretches({ scenarios }: Pick<Work, 'scenarios'>, whole: Stretch, jobs: number): Generator<Stretch> {
  const total = cellsIn(whole);
  const steps = scenarios.reduce((sum, { run }) => sum + run.duration / run.step, 0);
  const shared = jobs === 1 ? total : Math.ceil(total / (4 * jobs));
  const length = Math.max(1, Math.min(shared, Math.floor(STEPS_A_STRETCH / steps))) * whole.by;
  for (let from = whole.from; from < whole.to; from += length) yield { from, to: Math.min(whole.to, from + length), by: whole.by };
}
