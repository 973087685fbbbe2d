/** What a worker thread runs: a stretch of cells a message. The work comes once, as the thread starts. */
import { workerData } from 'node:worker_threads';
import { createRunner, type SweepRow } from './evaluate.js';
import type { Stretch } from './stretch.js';
import type { Work } from './work.js';

const runCell = createRunner(workerData as Work);

/** Rows of the cells of a stretch, in their order. */
export function evaluateStretch({ from, to, by }: Stretch): readonly SweepRow[] {
  const rows: SweepRow[] = [];
  for (let index = from; index < to; index += by) rows.push(runCell(index));
  return rows;
}
