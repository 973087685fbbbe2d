/**
 * Numbers out of a line without cutting it up: one pass over its characters, nothing allocated where cells are plain numbers.
 * Nearly every line of any log is such a one; reading a log of 1 GB hangs on it.
 */
import type { Delimiter, Notation } from './cells.js';

/** Reads the fields of a line, `text` from `start` to before `length`, into `out` by slot; gives the number of fields, −1 where a quotation mark means more than an edge. */
export type Scanner = (text: string, start: number, length: number, out: Float64Array) => number;

const [TAB, BLANK, QUOTE, PLUS, MINUS, ZERO, NINE] = [9, 32, 34, 43, 45, 48, 57];
const POWERS = Float64Array.from({ length: 16 }, (_, k) => 10 ** k);
/** A whole number of fifteen digits over a power of ten below 10²² is rounded once: the result is that of Number(). */
const MOST_DIGITS = 15;

/**
 * @param slots for each column the place in `out`, −1 to pass over it
 * @param other reads a cell that is no plain number
 * @param never the slot of a column that holds no plain numbers; −1 without one
 */
export function createScanner(delimiter: Delimiter, { decimal }: Notation, slots: Int32Array, other: (cell: string, slot: number) => number, never = -1): Scanner {
  const [cut, point] = [delimiter.charCodeAt(0), decimal.charCodeAt(0)];

  return function scan(line, start, length, out) {
    for (let slot = 0; slot < out.length; slot++) out[slot] = Number.NaN;
    let k = start;
    for (let field = 0; ; k++) {
      const slot = field < slots.length ? (slots[field] as number) : -1;
      const quoted = k < length && line.charCodeAt(k) === QUOTE;
      const from = quoted ? k + 1 : k;
      let end = from;
      if (quoted) {
        end = line.indexOf('"', from);
        k = end + 1;
        if (end < 0 || end >= length || (k < length && line.charCodeAt(k) !== cut)) return -1;
      } else if (slot < 0) {
        while (k < length && line.charCodeAt(k) !== cut) k++;
      }
      if (slot >= 0) {
        let i = from;
        let code = i < length ? line.charCodeAt(i) : cut;
        while (code === BLANK || (code === TAB && code !== cut)) code = ++i < length ? line.charCodeAt(i) : cut;
        const minus = code === MINUS;
        if (i < length && (minus || code === PLUS)) i++;
        let whole = 0;
        let digits = 0;
        let behind = 0;
        let points = 0;
        for (; i < length; i++) {
          code = line.charCodeAt(i);
          if (code >= ZERO && code <= NINE) {
            whole = whole * 10 + code - ZERO;
            digits++;
            behind += points;
          } else if (code === point && points === 0 && code !== cut) points = 1;
          else break;
        }
        while (i < length && line.charCodeAt(i) === BLANK) i++;
        if (!quoted) {
          k = i;
          while (k < length && line.charCodeAt(k) !== cut) k++;
          end = k;
        }
        if (i === end && digits > 0 && digits <= MOST_DIGITS && slot !== never) {
          const value = behind === 0 ? whole : whole / (POWERS[behind] as number);
          out[slot] = minus ? -value : value;
        } else if (end > from) out[slot] = other(line.slice(from, end), slot);
      }
      field++;
      if (k >= length) return field;
    }
  };
}
