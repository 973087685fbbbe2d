/** The order of a sweep's rows. */
import type { SweepRow } from './evaluate.js';

const group = ({ score, stalled }: SweepRow): number => (score === null ? 2 : stalled ? 1 : 0);

/**
 * Places in `rows`, best first. A cell that stalls in any scenario comes after all that run through, whatever the suite's
 * mean says: nobody would drive off with it. Equal scores keep the order of the rows.
 */
export const rank = (rows: readonly SweepRow[]): number[] =>
  rows
    .map((row, place) => ({ place, group: group(row), score: row.score ?? 0 }))
    .sort((a, b) => a.group - b.group || a.score - b.score || a.place - b.place)
    .map(({ place }) => place);
