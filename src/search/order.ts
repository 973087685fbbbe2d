/** Rows put back in the order of their cells: workers finish stretches in any. */
import type { SweepRow } from './evaluate.js';
import type { Stretch } from './stretch.js';

/**
 * Hands rows on by ascending index, without a gap. What is finished ahead of a slower stretch waits, in memory; workers are
 * a few stretches apart at most, since each cell takes about the same number of steps.
 *
 * @param cells from where, and how far apart   @param write takes the rows whose turn has come, at least one
 * @returns what takes rows in any order
 */
export function createOrder({ from, by }: Pick<Stretch, 'from' | 'by'>, write: (rows: readonly SweepRow[]) => void): (rows: readonly SweepRow[]) => void {
  const early = new Map<number, SweepRow>();
  let next = from;
  return (rows) => {
    for (const row of rows) early.set(row.index, row);
    const ready: SweepRow[] = [];
    for (let row = early.get(next); row !== undefined; row = early.get(next)) {
      ready.push(row);
      early.delete(next);
      next += by;
    }
    if (ready.length > 0) write(ready);
  };
}
