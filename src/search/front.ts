/**
 * The front of two objectives: what cannot be bettered in one of them without giving way in the other. The choice among these
 * is the reader's; every other setting has one of them that is better throughout.
 */
import type { SweepRow } from './evaluate.js';
import { type Objective, objectiveOf } from './objectives.js';

export type Better = 'lower' | 'higher';

/**
 * The items that no other dominates. One dominates another when it is no worse in both numbers and better in one; so equals
 * stay together. Sorted once and passed over once (H. T. Kung, F. Luccio and F. P. Preparata, On finding the maxima of a
 * set of vectors, Journal of the ACM 22 (1975) 469–476): O(n log n).
 *
 * The front of a front and of what is new is the front of all: a stream may be taken in parts.
 *
 * @param numbers both objectives of an item; one that lacks either is on no front
 * @returns best in the first objective first; equals in the order given
 * @throws RangeError if a number is not finite
 */
export function front<T>(items: readonly T[], numbers: (item: T) => readonly [number | null, number | null], better: readonly [Better, Better]): T[] {
  const known = items.flatMap((item) => {
    const [a, b] = numbers(item);
    if (a === null || b === null) return [];
    if (!Number.isFinite(a) || !Number.isFinite(b)) throw new RangeError(`front: ${a} and ${b} are no numbers to compare; what does not exist is null`);
    return [{ item, a: better[0] === 'lower' ? a : -a, b: better[1] === 'lower' ? b : -b }];
  });
  known.sort((p, q) => p.a - q.a || p.b - q.b); // stable
  let least = Infinity;
  let at = Number.NaN;
  return known.flatMap(({ item, a, b }) => {
    if (!(b < least || (b === least && a === at))) return [];
    [least, at] = [b, a];
    return [item];
  });
}

/** The front of a sweep's rows. A cell that stalls is on none, whatever its numbers: nobody would drive off with it. */
export const frontOf = (rows: readonly SweepRow[], objectives: readonly [Objective, Objective]): SweepRow[] =>
  front(
    rows.filter(({ score, stalled }) => score !== null && !stalled),
    (row) => [objectiveOf(row, objectives[0]), objectiveOf(row, objectives[1])],
    [objectives[0].better, objectives[1].better],
  );
