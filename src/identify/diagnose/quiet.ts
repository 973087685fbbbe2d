/** Stretches of plain idling, in which nothing is asked of the loop. */
import { IDLE } from './phases.js';
import type { Subject } from './subject.js';

const LEAST_S = 5;
/** Left out after an event: its own transient. */
const AFTER_S = 1.5;

/** Stretches of plain idling between events. */
export function quietStretches({ phases, events, recording, rowsOf }: Subject, leastS = LEAST_S, afterS = AFTER_S): readonly (readonly [number, number])[] {
  const found: [number, number][] = [];
  const busy = new Uint8Array(recording.rows);
  for (const { row } of events) busy.fill(1, row, Math.min(recording.rows, row + rowsOf(afterS)));
  let from = -1;
  for (let k = 0; k <= recording.rows; k++) {
    const quiet = k < recording.rows && phases.phase[k] === IDLE && busy[k] === 0;
    if (quiet && from < 0) from = k;
    if (!quiet && from >= 0) {
      if (k - from >= rowsOf(leastS)) found.push([from, k]);
      from = -1;
    }
  }
  return found;
}
