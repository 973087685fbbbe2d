/** A sweep's cells shared out in stretches, whose length follows from how many steps a cell takes and never from a clock. */
import type { Scenario } from '../scenario/index.js';
import type { Axis } from './axis.js';
import { cellCount } from './grid.js';

/** What a sweep works on. Plain data, so that it can be sent to a worker. */
export interface Work {
  readonly scenarios: readonly Scenario[];
  readonly axes: readonly Axis[];
}

/** Cells `from` … `to − 1`. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Integration steps a stretch is worth: 10 to 50 ms on a machine of today. */
const STEPS_A_STRETCH = 40_000;

/** Short enough to share out among `jobs` and to break off between; long enough to be worth a message. */
export function stretches({ scenarios, axes }: Work, jobs: number): Stretch[] {
  const total = cellCount(axes);
  const steps = scenarios.reduce((sum, { run }) => sum + run.duration / run.step, 0);
  const shared = jobs === 1 ? total : Math.ceil(total / (4 * jobs));
  const length = Math.max(1, Math.min(shared, Math.floor(STEPS_A_STRETCH / steps)));
  return Array.from({ length: Math.ceil(total / length) }, (_, i) => ({ from: i * length, to: Math.min(total, (i + 1) * length) }));
}
