/**
 * Quick moves of the throttle, whose moments a log with rows far apart does not tell.
 *
 * A throttle that snaps open between two rows is a straight line from one to the other in the log. A blip moves the manifold so
 * fast that the ten milliseconds between the two outweigh all else that the log says of the delays. So the moment of each
 * such move is a parameter of its own, within the row that it lies in.
 */
import type { FitRecording, FitStretch } from './recording.js';

/** Changes between two rows that count, of the whole opening; slower ones are lines in truth too. */
const QUICK = 0.004;
const LONGEST_ROWS = 2;
/** Of more moves than these only the largest are given moments. */
const MOST = 12;

interface Move {
  readonly stretch: number;
  readonly from: number;
  readonly to: number;
  readonly by: number;
}

function movesIn({ pedal, rows }: FitStretch, stretch: number): readonly Move[] {
  const found: Move[] = [];
  const step = (k: number): number => pedal[k + 1]! - pedal[k]!;
  for (let k = 0; k + 1 < rows; k++) {
    if (Math.abs(step(k)) < QUICK) continue;
    const from = k;
    while (k + 2 < rows && Math.abs(step(k + 1)) >= QUICK && Math.sign(step(k + 1)) === Math.sign(step(from))) k++;
    if (k - from < LONGEST_ROWS) found.push({ stretch, from, to: k, by: Math.abs(pedal[k + 1]! - pedal[from]!) });
  }
  return found;
}

/** How many moves are marked in a recording. */
export const movesOf = ({ stretches }: FitRecording): number => stretches.reduce((most, { moves }) => (moves === undefined ? most : moves.reduce((a, b) => Math.max(a, b + 1), most)), 0);

/** @returns the recording with each row's move marked */
export function withMoves(recording: FitRecording): FitRecording {
  const moves = recording.stretches
    .flatMap(movesIn)
    .sort((a, b) => b.by - a.by)
    .slice(0, MOST)
    .sort((a, b) => a.stretch - b.stretch || a.from - b.from);
  const stretches = recording.stretches.map((stretch, s): FitStretch => {
    const marks = new Int32Array(stretch.rows).fill(-1);
    moves.forEach((move, i) => {
      if (move.stretch !== s) return;
      // a line that is moved by up to a row reaches into the rows beside it
      for (let k = Math.max(0, move.from - 1); k <= Math.min(stretch.rows - 1, move.to + 1); k++) if (marks[k] === -1 || k === move.from) marks[k] = i;
    });
    return { ...stretch, moves: marks };
  });
  return { ...recording, stretches };
}
