/** How long a sweep will take, said once when that is worth a word. */
import { plural } from '../report/numbers.js';

/** Time that cells are watched for before anything is said, and the least total that is worth saying, ms. */
const WATCHED_MS = 1_000;
const WORTH_SAYING_MS = 60_000;

/** A time as one says it: two digits at most. */
export function roughTime(ms: number): string {
  const minutes = ms / 60_000;
  if (minutes < 90) return `${Math.max(1, Math.round(minutes))} min`;
  const hours = minutes / 60;
  return hours < 48 ? `${Math.round(hours)} h` : `${Math.round(hours / 24)} days`;
}

export interface Estimate {
  /** Takes how far the sweep is. @returns a line to be said now, null when none is to be; undefined while that is open */
  note(done: number, total: number): string | null | undefined;
}

/** @param now a clock, ms */
export function createEstimate(now: () => number): Estimate {
  const first = { atMs: Number.NaN, done: 0 };
  let over = false;
  return {
    note(done, total) {
      if (over) return null;
      const atMs = now();
      if (Number.isNaN(first.atMs)) [first.atMs, first.done] = [atMs, done];
      const watched = atMs - first.atMs;
      if (watched < WATCHED_MS || done === first.done) return undefined;
      over = true;
      const wholeMs = (watched * total) / (done - first.done);
      return wholeMs > WORTH_SAYING_MS ? `${plural(total, 'cell')}, about ${roughTime(wholeMs)}; Ctrl-C keeps what is finished` : null;
    },
  };
}
