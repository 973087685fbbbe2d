/** The order of a sweep's rows. */
import type { SweepRow } from './evaluate.js';

/** What decides a row's rank. */
export type Ranked = Pick<SweepRow, 'score' | 'stalled'>;

const group = ({ score, stalled }: Ranked): number => (score === null ? 2 : stalled ? 1 : 0);

/**
 * Which of two rows ranks higher, as a number for sorting; 0 leaves it to the order of the rows. A cell that stalls in any
 * scenario comes after all that run through, whatever the suite's mean says: nobody would drive off with it.
 */
export const compareRows = (a: Ranked, b: Ranked): number => group(a) - group(b) || (a.score ?? 0) - (b.score ?? 0);

/**
 * Places in `rows`, best first. Equal scores keep the order of the rows.
 *
 * Rows may be any that can be gone through, a million read from a file: what stays is 13 bytes of each and the result.
 */
export function rank(rows: Iterable<Ranked>): number[] {
  let [scores, groups, count] = [new Float64Array(1024), new Uint8Array(1024), 0];
  for (const row of rows) {
    if (count === scores.length) {
      const [longer, wider] = [new Float64Array(2 * count), new Uint8Array(2 * count)];
      longer.set(scores);
      wider.set(groups);
      [scores, groups] = [longer, wider];
    }
    scores[count] = row.score ?? 0;
    groups[count] = group(row);
    count += 1;
  }
  const order = Uint32Array.from({ length: count }, (_, place) => place);
  order.sort((a, b) => groups[a]! - groups[b]! || scores[a]! - scores[b]! || a - b);
  return Array.from(order);
}
