/** What a page tells of a sweep, gathered as rows go by: its size follows from what is shown and not from how many rows. */
import type { SweepRow } from './evaluate.js';
import { compareRows } from './rank.js';
import type { Work } from './work.js';

/** How a cell of a map came out. */
export type MapMark = 'unreached' | 'held' | 'missed' | 'stalled' | 'notRun';
const MARKS: readonly MapMark[] = ['unreached', 'held', 'missed', 'stalled', 'notRun'];

/** Score and mark of every cell of a grid of two axes: 9 bytes each. */
export interface CellMap {
  readonly mark: (index: number) => MapMark;
  /** NaN where the mark is not 'held' or 'missed'. */
  readonly score: (index: number) => number;
}

export interface Summary {
  /** Rows so far. */
  readonly done: number;
  /** The best `top` by rank, those that could not be run left out. */
  readonly best: readonly SweepRow[];
  /** The last by rank of those that were run, and the highest score. */
  readonly last: SweepRow | null;
  readonly worstScore: number | null;
  readonly stalls: number;
  readonly notRun: number;
  /** Why the first of those was not. */
  readonly firstReason: string | null;
  /** Null for anything but a grid of two axes. */
  readonly map: CellMap | null;
}

export interface Gathering {
  /** Takes rows by ascending index. */
  add(rows: Iterable<SweepRow>): void;
  summary(): Summary;
}

const markOf = ({ score, stalled, missed }: SweepRow): MapMark => (score === null ? 'notRun' : stalled ? 'stalled' : missed.length > 0 ? 'missed' : 'held');

/** @param top rows of the ranking to keep, 1 at least   @param cells of the work */
export function createGathering({ axes, design }: Pick<Work, 'axes' | 'design'>, cells: number, top: number): Gathering {
  const isMap = axes.length === 2 && design === undefined;
  const [marks, scores] = isMap ? [new Uint8Array(cells), new Float64Array(cells)] : [null, null];
  const best: SweepRow[] = [];
  let last: SweepRow | null = null;
  let worstScore: number | null = null;
  let firstReason: string | null = null;
  let [done, stalls, notRun] = [0, 0, 0];

  /** Equal ones stay in the order in which they came, by index. */
  const place = (row: SweepRow): void => {
    if (best.length === top && compareRows(row, best[top - 1]!) >= 0) return;
    let [low, high] = [0, best.length];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (compareRows(best[middle]!, row) <= 0) low = middle + 1;
      else high = middle;
    }
    best.splice(low, 0, row);
    if (best.length > top) best.pop();
  };
  const add = (row: SweepRow): void => {
    done += 1;
    const mark = markOf(row);
    if (marks !== null) {
      marks[row.index] = MARKS.indexOf(mark);
      scores[row.index] = mark === 'held' || mark === 'missed' ? (row.score as number) : Number.NaN;
    }
    if (row.score === null) {
      notRun += 1;
      firstReason ??= row.reason;
      return;
    }
    if (row.stalled) stalls += 1;
    worstScore = worstScore === null ? row.score : Math.max(worstScore, row.score);
    if (last === null || compareRows(row, last) >= 0) last = row;
    place(row);
  };
  return {
    add(rows) {
      for (const row of rows) add(row);
    },
    summary: () => ({
      done, best: [...best], last, worstScore, stalls, notRun, firstReason,
      map: marks === null ? null : { mark: (index) => MARKS[marks[index] as number] as MapMark, score: (index) => scores[index] as number },
    }),
  };
}
