/** What a worker thread runs: a stretch of cells a message. Scenarios and axes come once, as the thread starts. */
import { workerData } from 'node:worker_threads';
import { evaluateCell, type SweepRow } from './evaluate.js';
import { createPlants } from './plants.js';
import type { Stretch, Work } from './stretch.js';

const plants = createPlants();

/** Rows of the cells `from` … `to − 1`, in that order. */
export function evaluateStretch({ from, to }: Stretch): readonly SweepRow[] {
  const { scenarios, axes } = workerData as Work;
  return Array.from({ length: to - from }, (_, i) => evaluateCell(scenarios, axes, from + i, plants));
}
