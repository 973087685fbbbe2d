/**
 * A fingerprint of a trace's bits: two machines that agree on it have simulated the same run to the last bit.
 *
 * Every number of every column in the order of `COLUMNS`, as the two words of its double, then what happened in words; two
 * lanes of multiply and rotate with the finish of MurmurHash3 (A. Appleby, public domain). It tells apart, it does not guard
 * against anyone who wants to deceive.
 */
import { COLUMNS, type ColumnName, type Trace } from '../loop/trace.js';

const rotate = (x: number, by: number): number => (x << by) | (x >>> (32 - by));

function finish(x: number): number {
  let h = x;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

/** Sixteen hexadecimal digits. */
export function traceBits(trace: Pick<Trace, 'rows' | 'columns' | 'events' | 'open' | 'end'>): string {
  const lanes = new Int32Array([0x2545f491, 0x5bd1e995]);
  let count = 0;
  const add = (word: number): void => {
    const lane = count++ & 1;
    lanes[lane] = Math.imul(rotate(lanes[lane]! ^ Math.imul(word, 0x1b873593), 13), 5) + 0x6b64e654;
  };
  const double = new DataView(new ArrayBuffer(8));
  for (const name of Object.keys(COLUMNS) as ColumnName[]) {
    const column = trace.columns[name];
    for (let k = 0; k < trace.rows; k++) {
      double.setFloat64(0, column[k]!, true);
      add(double.getUint32(0, true));
      add(double.getUint32(4, true));
    }
  }
  for (const character of JSON.stringify([trace.events, trace.open, trace.end])) add(character.codePointAt(0)!);
  add(trace.rows);
  const [a, b] = [finish(lanes[0]! ^ count), finish(lanes[1]! ^ rotate(lanes[0]!, 16))];
  return [a, b].map((word) => word.toString(16).padStart(8, '0')).join('');
}
