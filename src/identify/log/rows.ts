/** Lines of data to rows: time and readings of the wanted columns, and a count of all that is no such row. */
import { fieldsOf, readingOf } from './cells.js';
import type { Clock, Row } from './clock.js';
import type { Found } from './found.js';
import { isBlank, isComment, type Layout, type LogColumn } from './layout.js';
import { createScanner } from './scan.js';
import type { StampReader } from './stamps.js';

export interface RowsOptions {
  readonly layout: Layout;
  /** Text of the header line, which may come again; null without one. */
  readonly header: string | null;
  readonly time: { readonly index: number; readonly stamps: StampReader };
  /** Indices of the columns that are read, in the order of their series; of no matter in a log of one row a reading. */
  readonly wanted: readonly number[];
  readonly found: Found;
  readonly clock: Clock;
  /** Whether the file ended with a line end; asked of the last line. */
  readonly ended: () => boolean;
  /** Makes a series of a name that is new, in a log of one row a reading. */
  readonly addName: (column: LogColumn, line: number) => number;
}

export interface Rows {
  /** Takes the next line of the file, `text` from `from` to before `to`; `last` when no line follows. */
  take(text: string, from: number, to: number, last: boolean): void;
  /** Takes a row back that is no longer needed: a log has millions. */
  release(row: Row): void;
}

interface PooledRow extends Row {
  line: number;
  t: number;
}

export function createRows({ layout, header, time, wanted, found, clock, ended, addName }: RowsOptions): Rows {
  const { delimiter, notation, width, long, firstData } = layout;
  const timeSlot = wanted.length;
  const slots = new Int32Array(Math.max(time.index, ...wanted, 0) + 1).fill(-1);
  wanted.forEach((index, slot) => {
    slots[index] = slot;
  });
  slots[time.index] = timeSlot;
  const scratch = new Float64Array(timeSlot + 1);
  const scale = time.stamps.scale;
  const other = (cell: string, slot: number): number => (slot === timeSlot ? (scale === null ? time.stamps.read(cell) : time.stamps.read(cell) / scale) : readingOf(cell, notation));
  const scan = createScanner(delimiter, notation, slots, other, scale === null ? timeSlot : -1);
  const names = new Map<string, number>();
  const pool: PooledRow[] = [];
  /** The row before, for a last one that may be cut off. */
  let beforeText = '';
  let beforeFrom = 0;
  let beforeTo = 0;

  /** A last line without a line end counts only when nothing can be missing of it. */
  function isCutOff(text: string): boolean {
    if (ended()) return false;
    const [cells, whole] = [fieldsOf(text, delimiter), fieldsOf(beforeText.slice(beforeFrom, beforeTo), delimiter)];
    return cells.length < whole.length || (cells.at(-1)?.length ?? 0) < (whole.at(-1)?.length ?? 0);
  }

  function takeReading(text: string, line: number): void {
    const { name, value, unit } = long as NonNullable<Layout['long']>;
    const cells = fieldsOf(text, delimiter);
    const t = time.stamps.read(cells[time.index] ?? '');
    if (!counts(t, cells.length, line)) return;
    const title = (cells[name] ?? '').trim();
    let series = names.get(title);
    if (series === undefined) {
      series = addName({ index: names.size, title, name: title, unit: unit === null ? '' : (cells[unit] ?? '').trim() }, line);
      names.set(title, series);
      found.missing.push(0);
    }
    const reading = readingOf(cells[value] ?? '', notation);
    if (Number.isNaN(reading)) found.missing[series] = (found.missing[series] as number) + 1;
    else clock.push({ line, t, values: null, series, value: reading });
  }

  /** Whether a line is a row at all. */
  function counts(t: number, fields: number, line: number): boolean {
    if (Number.isNaN(t) || fields < Math.min(width, 2)) {
      if (found.unreadable++ === 0) found.firstUnreadable = line;
      return false;
    }
    found.rows++;
    if (fields < width) found.ragged++;
    return true;
  }

  function takeRow(text: string, from: number, to: number, line: number): void {
    let fields = scan(text, from, to, scratch);
    if (fields < 0) {
      // quotation marks within fields: the library cuts, and the cells are read one by one
      const cells = fieldsOf(text.slice(from, to), delimiter);
      fields = cells.length;
      for (let c = 0; c < slots.length; c++) {
        const slot = slots[c] as number;
        if (slot >= 0) scratch[slot] = other(cells[c] ?? '', slot);
      }
    }
    const t = (scratch[timeSlot] as number) * (scale ?? 1);
    if (!counts(t, fields, line)) return;
    const row = pool.pop() ?? { line: 0, t: 0, values: new Float64Array(timeSlot), series: 0, value: 0 };
    row.line = line;
    row.t = t;
    const values = row.values as Float64Array;
    for (let i = 0; i < timeSlot; i++) {
      const value = scratch[i] as number;
      if (Number.isNaN(value)) found.missing[i] = (found.missing[i] as number) + 1;
      values[i] = value;
    }
    clock.push(row);
  }

  /** Counts a line that is no row. */
  function isOdd(whole: string, last: boolean): boolean {
    if (isBlank(whole)) found.blank++;
    else if (isComment(whole)) found.comments++;
    else if (whole === header) found.headers++;
    else if (last && isCutOff(whole)) found.cutOff = true;
    else return false;
    return true;
  }

  return {
    take(text, from, to, last) {
      const line = ++found.lines;
      if (line <= firstData) return;
      const head = from < to ? text.charCodeAt(from) : 0;
      // nothing that is odd begins with a digit
      if ((last || !(head > 48 && head <= 57)) && isOdd(text.slice(from, to), last)) return;
      beforeText = text;
      beforeFrom = from;
      beforeTo = to;
      if (long === null) takeRow(text, from, to, line);
      else takeReading(text.slice(from, to), line);
    },
    release(row) {
      if (row.values !== null && pool.length < 64) pool.push(row);
    },
  };
}
