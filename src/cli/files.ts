/** Reading and writing files for the commands. */
import { closeSync, fsyncSync, openSync, readFileSync, renameSync, rmSync, writeSync } from 'node:fs';
import { formatProblem, loadScenario, type Loaded } from '../scenario/index.js';
import { plural } from '../report/numbers.js';
import { BadInput } from './failure.js';

export type LoadedScenarios = Extract<Loaded, { readonly problems: readonly [] }>;

/** Reads a scenario file, or ends with every problem in it. @throws BadInput */
export async function load(file: string, set: readonly string[]): Promise<LoadedScenarios> {
  const loaded = await loadScenario(file, { read: (path) => readFileSync(path, 'utf8'), set });
  if (loaded.scenarios === null) {
    throw new BadInput([...loaded.problems.map(formatProblem), `${plural(loaded.problems.length, 'problem')}; nothing was run`]);
  }
  return loaded;
}

/** Writes a whole file or nothing: to a neighbour first, then renamed. @throws BadInput when it cannot */
export function writeWhole(path: string, parts: Iterable<string>): void {
  const beside = `${path}.${process.pid}.part`;
  try {
    const handle = openSync(beside, 'w');
    try {
      for (const part of parts) writeSync(handle, part);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    renameSync(beside, path);
  } catch (error) {
    rmSync(beside, { force: true });
    throw new BadInput([`${path}: cannot be written: ${reason(error)}`]);
  }
}

/** Refuses early what could not be written later. @throws BadInput */
export function checkWritable(path: string): void {
  const beside = `${path}.${process.pid}.part`;
  try {
    closeSync(openSync(beside, 'w'));
    rmSync(beside, { force: true });
  } catch (error) {
    throw new BadInput([`${path}: cannot be written: ${reason(error)}`]);
  }
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'the folder is not there',
  EACCES: 'not allowed',
  EISDIR: 'it is a folder',
  ENOTDIR: 'part of the path is not a folder',
  ENOSPC: 'the disk is full',
  EROFS: 'the disk is read-only',
};

const reason = (error: unknown): string => {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  return REASONS[code] ?? (error as Error).message;
};
