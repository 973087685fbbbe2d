/** A strip under the charts that says when the loop is closed, and why it is open. */
import type { Trace } from '../loop/trace.js';
import type { Frame } from './axis.js';
import { columnOf } from './buckets.js';
import { formatNumber, plural, seconds } from './numbers.js';
import { clean, cut, textWidth } from './text.js';

const CLOSED = '═';
const OPEN = '·';

/**
 * The strip and, below it, the reasons that had no room in it, in at most `most` lines.
 *
 * Closed is a double line, open is dots with the reason written in where it fits, else a number to the list below.
 */
export function loopStrip(trace: Trace, frame: Frame, most: number): string[] {
  const { closed, timeS } = trace.columns;
  const width = frame.left + 1 + frame.plot + frame.right;
  const cells = new Array<string>(frame.plot).fill(' ');
  for (let k = 0; k < trace.rows; k++) {
    const column = columnOf(timeS[k] as number, frame.spanS, frame.plot);
    const until = k + 1 < trace.rows ? columnOf(timeS[k + 1] as number, frame.spanS, frame.plot) : column + 1;
    // a column that was open for any of its time reads open: a short opening must be seen
    for (let c = column; c < Math.max(until, column + 1); c++) if (cells[c] !== OPEN) cells[c] = closed[k] === 1 ? CLOSED : OPEN;
  }
  const listed: string[] = [];
  for (const stretch of trace.open) {
    const from = columnOf(stretch.fromS, frame.spanS, frame.plot);
    const room = columnOf(stretch.toS, frame.spanS, frame.plot) - from;
    const reason = clean(stretch.because);
    const text = [reason, `open: ${reason}`].filter((wording) => textWidth(wording) + 2 <= room).at(-1);
    if (text !== undefined) {
      let place = from + Math.floor((room - textWidth(text) - 2) / 2);
      for (const character of ` ${text} `) {
        const taken = textWidth(character);
        // a wide character fills two cells, the second with nothing; a combining one joins the cell before it
        if (taken === 0) cells[place - 1] += character;
        else cells.fill('', place, place + taken).fill(character, place, place + 1);
        place += taken;
      }
      continue;
    }
    const number = String(listed.length + 1);
    const at = Math.min(from, frame.plot - number.length);
    if (number.length <= Math.max(1, room)) [...number].forEach((digit, i) => (cells[at + i] = digit));
    listed.push(`${number}  open ${formatNumber(stretch.fromS, 's')} – ${seconds(stretch.toS)}: ${reason}`);
  }
  const shown =
    listed.length > most
      ? [...listed.slice(0, Math.max(0, most - 1)), `${plural(listed.length - Math.max(0, most - 1), 'opening')} more`]
      : listed;
  const indent = ' '.repeat(frame.left + 1);
  return [
    `${'loop'.padStart(frame.left - 1)} │${cells.join('')}`.trimEnd(),
    ...shown.slice(0, most).map((line) => cut(`${indent}${line}`, width)),
  ];
}
