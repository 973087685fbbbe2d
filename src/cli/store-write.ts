/**
 * Writing the store of a sweep. The header comes with the file, in one move; rows are written as they are finished and put
 * on the disk every hundred, or every second. A process killed at any moment leaves whole lines and at most one torn at the
 * end, which the next one cuts off.
 */
import { closeSync, existsSync, fdatasyncSync, fsyncSync, ftruncateSync, openSync, renameSync, rmSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { headerLine, rowLine, storeDifferences, type StoreHeader, type SweepRow } from '../search/index.js';
import { BadInput } from './failure.js';
import { reason, STANDARD_OUTPUT } from './files.js';
import { lockFile } from './lock.js';
import { beginsAsStore, readStore, type StoreContent } from './store-read.js';

const ROWS_A_SYNC = 100;
const SYNC_MS = 1_000;

export interface StoreWriter {
  readonly path: string;
  /** Rows that are in it. */
  count(): number;
  /** Takes the rows that follow. @throws BadInput when they cannot be written; the file then ends where it did before */
  append(rows: readonly SweepRow[]): void;
  close(): void;
}

/** What to throw in place of an error of the file system; any other is passed on. */
const unwritten = (path: string, error: unknown): unknown =>
  typeof (error as NodeJS.ErrnoException).code === 'string' ? new BadInput([`${path}: cannot be written: ${reason(error)}`]) : error;

/** @throws BadInput for what cannot be the name of a new store */
export function checkNewStore(option: string, path: string): void {
  if (path.trim() === '') throw new BadInput([`${option}: the name of a file is wanted`]);
  if (path === STANDARD_OUTPUT) throw new BadInput([`${option} -: a store is kept in a file; --csv - writes to standard output`]);
  let is: 'store' | 'other';
  try {
    const stat = statSync(path);
    if (!stat.isFile()) throw new BadInput([`${path}: cannot be written: it is ${stat.isDirectory() ? 'a folder' : 'no plain file'}`]);
    const handle = openSync(path, 'r');
    is = beginsAsStore(handle) ? 'store' : 'other';
    closeSync(handle);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return;
    throw unwritten(path, error);
  }
  throw new BadInput([is === 'store' ? `${path}: is a store already; --resume ${path} goes on with it` : `${path}: is there already, and is no store of a sweep; it was left as it is`]);
}

/** @param lines of the store, in its place as `end` bytes */
function writer(path: string, unlock: () => void, rows: number, end: number): StoreWriter {
  const handle = openSync(path, 'r+');
  let [count, bytes, unsynced, syncedMs] = [rows, end, 0, performance.now()];
  const sync = (): void => {
    fdatasyncSync(handle);
    [unsynced, syncedMs] = [0, performance.now()];
  };
  return {
    path,
    count: () => count,
    append(more) {
      const data = Buffer.from(more.map(rowLine).join(''));
      try {
        for (let at = 0; at < data.length; ) at += writeSync(handle, data, at, data.length - at, bytes + at);
        unsynced += more.length;
        if (unsynced >= ROWS_A_SYNC || performance.now() - syncedMs >= SYNC_MS) sync();
      } catch (error) {
        ftruncateSync(handle, bytes);
        throw new BadInput([`${path}: cannot be written: ${reason(error)}`, `${count} cells are in it; --resume ${path} goes on from there`]);
      }
      bytes += data.length;
      count += more.length;
    },
    close() {
      try {
        if (unsynced > 0) sync();
      } finally {
        closeSync(handle);
        unlock();
      }
    },
  };
}

/** Begins a store. @throws BadInput when there is something in its place, or it cannot be written */
export function createStore(path: string, header: StoreHeader): StoreWriter {
  checkNewStore('--out', path);
  const unlock = lockFile(path);
  const beside = `${path}.${process.pid}.part`;
  try {
    const line = Buffer.from(headerLine(header));
    const handle = openSync(beside, 'w');
    try {
      writeFileSync(handle, line);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    renameSync(beside, path);
    return writer(path, unlock, 0, line.length);
  } catch (error) {
    rmSync(beside, { force: true });
    unlock();
    throw unwritten(path, error);
  }
}

export interface Resumed {
  readonly store: StoreWriter;
  /** What was in it; null where there was no such file, and one has been begun. */
  readonly found: StoreContent | null;
}

/**
 * Goes on with a store, or begins it.
 *
 * @param each takes every row that is there
 * @throws BadInput when it holds another sweep, is damaged, or cannot be written
 */
export function resumeStore(path: string, header: StoreHeader, each: (row: SweepRow) => void): Resumed {
  if (path.trim() === '') throw new BadInput(['--resume: the name of a file is wanted']);
  if (!existsSync(path)) return { store: createStore(path, header), found: null };
  const unlock = lockFile(path);
  try {
    const found = readStore(path, each);
    const differ = storeDifferences(found.header, header);
    if (differ.length > 0) throw new BadInput([`${path}: holds another sweep`, ...differ.map((line) => `  ${line}`), 'nothing was run']);
    const store = writer(path, unlock, found.count, found.end);
    if (found.end < found.size) truncate(path, found.end);
    return { store, found };
  } catch (error) {
    unlock();
    throw unwritten(path, error);
  }
}

function truncate(path: string, end: number): void {
  const handle = openSync(path, 'r+');
  ftruncateSync(handle, end);
  closeSync(handle);
}
