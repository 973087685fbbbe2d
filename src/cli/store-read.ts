/** Reading the store of a sweep: a line at a time, however long the file. */
import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { cellsIn, type Part, readHeader, readRow, shardCells, STORE_START, type StoreHeader, type SweepRow } from '../search/index.js';
import { BadInput } from './failure.js';
import { reason } from './files.js';

const CHUNK = 262_144;
const NEWLINE = 10;

interface Line {
  readonly text: string;
  /** Bytes of the file up to the end of this line. */
  readonly end: number;
}

/** Whole lines; what stands behind the last line's end is passed over. */
function* linesOf(handle: number): Generator<Line> {
  const chunk = Buffer.alloc(CHUNK);
  let rest: Buffer = Buffer.alloc(0);
  for (let position = 0; ; ) {
    const read = readSync(handle, chunk, 0, CHUNK, position);
    if (read === 0) return;
    position += read;
    const data = rest.length > 0 ? Buffer.concat([rest, chunk.subarray(0, read)]) : chunk.subarray(0, read);
    let from = 0;
    for (let at = data.indexOf(NEWLINE); at >= 0; at = data.indexOf(NEWLINE, from)) {
      yield { text: data.toString('utf8', from, at), end: position - data.length + at + 1 };
      from = at + 1;
    }
    rest = Buffer.from(data.subarray(from));
  }
}

const UNREAD: Readonly<Record<string, string>> = { ENOENT: 'there is no such file', EACCES: 'not allowed', EPERM: 'not allowed', EISDIR: 'it is a folder' };

/** What to throw in place of an error of the file system; any other is passed on. */
function unread(path: string, error: unknown): unknown {
  const { code } = error as NodeJS.ErrnoException;
  return typeof code === 'string' ? new BadInput([`${path}: cannot be read: ${UNREAD[code] ?? reason(error)}`]) : error;
}

/** Whether a file begins as a store does. @throws as `openSync` and `readSync` */
export function beginsAsStore(handle: number): boolean {
  const start = Buffer.alloc(STORE_START.length);
  return readSync(handle, start, 0, start.length, 0) === start.length && start.toString('latin1') === STORE_START;
}

/** @throws BadInput when the file is no store */
function headerIn(path: string, handle: number): Line & { readonly header: StoreHeader } {
  if (!fstatSync(handle).isFile()) throw new BadInput([`${path}: is no plain file`]);
  if (!beginsAsStore(handle)) throw new BadInput([`${path}: is no store of a sweep`]);
  const { value: line } = linesOf(handle).next() as IteratorResult<Line, undefined>;
  const header = line === undefined ? 'the first line has no end' : readHeader(line.text);
  if (typeof header === 'string') throw new BadInput([`${path}:1: ${header}`]);
  return { ...(line as Line), header };
}

/** What a store holds. */
export interface StoreContent {
  readonly header: StoreHeader;
  /** Cells of its shard, and how many of them are in it. */
  readonly cells: number;
  readonly count: number;
  /** Bytes up to the end of the last whole line, and of the file; less where the last line was torn. */
  readonly end: number;
  readonly size: number;
}

/**
 * Goes through a store from end to end.
 *
 * @param each takes every row, by ascending index
 * @throws BadInput when it is no store, cannot be read, or a line that is not the last is damaged
 */
export function readStore(path: string, each: (row: SweepRow) => void): StoreContent {
  let handle: number;
  try {
    handle = openSync(path, 'r');
  } catch (error) {
    throw unread(path, error);
  }
  try {
    const first = headerIn(path, handle);
    let { end } = first;
    let count = 0;
    for (const { row, end: at } of rowsIn(path, handle, first.header)) {
      each(row);
      count += 1;
      end = at;
    }
    return { header: first.header, cells: cellsIn(shardCells(first.header.shard, first.header.total)), count, end, size: fstatSync(handle).size };
  } catch (error) {
    throw unread(path, error);
  } finally {
    closeSync(handle);
  }
}

function* rowsIn(path: string, handle: number, { shard, total }: StoreHeader): Generator<{ readonly row: SweepRow; readonly end: number }> {
  const cells = shardCells(shard, total);
  let index = cells.from;
  let number = 0;
  for (const { text, end } of linesOf(handle)) {
    number += 1;
    if (number === 1) continue;
    const row = index < cells.to ? readRow(text, index) : `there are no more than ${cellsIn(cells)} cells`;
    if (typeof row === 'string') throw new BadInput([`${path}:${number}: ${row}`, 'the lines before it are good: cut the file off above it, and --resume runs the others']);
    index += cells.by;
    yield { row, end };
  }
}

/** Rows of a store that has been gone through before; may be called again. */
export function* storeRows(path: string, header: StoreHeader): Generator<SweepRow> {
  const handle = openSync(path, 'r');
  try {
    for (const { row } of rowsIn(path, handle, header)) yield row;
  } finally {
    closeSync(handle);
  }
}

/** A store as a part to be merged. @throws BadInput as `readStore` */
export function readPart(path: string): Part {
  const { header, count } = readStore(path, () => undefined);
  return { name: path, header, count, rows: () => storeRows(path, header) };
}
