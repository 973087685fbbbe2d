/** What a worker thread runs, a message at a time. What it works on comes once, as the thread starts. */
import { workerData } from 'node:worker_threads';
import { createRunner, type SweepRow } from './evaluate.js';
import type { Stretch } from './stretch.js';
import { createRacer, type Entry, type Finish, type RaceCourse } from './tune/race.js';
import type { Work } from './work.js';

let runCell: ((index: number) => SweepRow) | null = null;
let racer: ((entry: Entry) => Finish) | null = null;

/** Rows of the cells of a stretch of a `Work`, in their order. */
export function evaluateStretch({ from, to, by }: Stretch): readonly SweepRow[] {
  runCell ??= createRunner(workerData as Work);
  const rows: SweepRow[] = [];
  for (let index = from; index < to; index += by) rows.push(runCell(index));
  return rows;
}

/** How a set of gains came through a `RaceCourse`. */
export function race(entry: Entry): Finish {
  racer ??= createRacer(workerData as RaceCourse);
  return racer(entry);
}
