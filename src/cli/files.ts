/** Reading and writing files for the commands. */
import { accessSync, closeSync, constants, existsSync, fsyncSync, openSync, readFileSync, realpathSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { formatProblem, loadScenario, type Loaded } from '../scenario/index.js';
import { plural } from '../report/numbers.js';
import { BadInput } from './failure.js';

export type LoadedScenarios = Extract<Loaded, { readonly problems: readonly [] }>;

/** Problems that are told one by one: more are mended after these, or the file is none of ours. */
const MOST_PROBLEMS = 20;

/** Reads a scenario file, or ends with the problems in it. @throws BadInput */
export async function load(file: string, set: readonly string[]): Promise<LoadedScenarios> {
  const loaded = await loadScenario(file, { read: (path) => readFileSync(path, 'utf8'), set });
  if (loaded.scenarios === null) {
    const { problems } = loaded;
    const more = problems.length - MOST_PROBLEMS;
    throw new BadInput([
      ...problems.slice(0, MOST_PROBLEMS).map(formatProblem),
      ...(more > 0 ? [`and ${more} more`] : []),
      `${plural(problems.length, 'problem')}; nothing was run`,
    ]);
  }
  return loaded;
}

/** Where a path leads once links are followed, and what is there now. */
interface Target {
  readonly path: string;
  readonly is: 'nothing' | 'file' | 'device';
  readonly mode: number;
}

function targetOf(path: string): Target {
  let real: string;
  try {
    real = realpathSync(path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    return { path, is: 'nothing', mode: 0o666 };
  }
  const stat = statSync(real);
  if (stat.isDirectory()) throw Object.assign(new Error('a folder'), { code: 'EISDIR' });
  accessSync(real, constants.W_OK);
  return { path: real, is: stat.isFile() ? 'file' : 'device', mode: stat.mode & 0o777 };
}

/** Beside the file, so that renaming it stays within one disk. */
const besideOf = ({ path }: Target): string => `${path}.${process.pid}.part`;

/** What `--csv` calls standard output. */
export const STANDARD_OUTPUT = '-';

const CHUNK = 65_536;

function writeParts(write: (text: string) => void, parts: Iterable<string>): void {
  let waiting = '';
  for (const part of parts) {
    waiting += part;
    if (waiting.length < CHUNK) continue;
    write(waiting);
    waiting = '';
  }
  write(waiting);
}

/**
 * Writes a whole file or nothing: to a neighbour first, then renamed. A device or a pipe is written as it is; `-` is
 * standard output.
 *
 * @throws BadInput when it cannot; what was there before is then still there
 */
export function writeWhole(path: string, parts: Iterable<string>): void {
  if (path === STANDARD_OUTPUT) {
    writeParts((text) => process.stdout.write(text), parts);
    return;
  }
  let beside: string | null = null;
  try {
    const target = targetOf(path);
    if (target.is !== 'device') beside = besideOf(target);
    const handle = openSync(beside ?? target.path, 'w', target.mode);
    try {
      writeParts((text) => writeFileSync(handle, text), parts);
      if (beside !== null) fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    if (beside !== null) renameSync(beside, target.path);
  } catch (error) {
    if (beside !== null) rmSync(beside, { force: true });
    throw new BadInput([`${path}: cannot be written: ${reason(error)}`]);
  }
}

const SCENARIO = /\.ya?ml$/i;

/** Refuses a table on standard output beside a JSON object there. @throws BadInput */
export function checkOneOutput({ csv, json }: { readonly csv?: string; readonly json?: boolean }): void {
  if (csv === STANDARD_OUTPUT && json === true) throw new BadInput(['--csv - and --json both write to standard output; give --csv the name of a file']);
}

/**
 * Refuses early what could not be written later, and what would take the place of a scenario.
 *
 * @param inputs files that the command reads
 * @throws BadInput
 */
export function checkWritable(path: string, inputs: readonly string[]): void {
  if (path === STANDARD_OUTPUT) return;
  if (path.trim() === '') throw new BadInput(['--csv: the name of a file is wanted']);
  try {
    const target = targetOf(path);
    if (target.is === 'file' && (SCENARIO.test(target.path) || inputs.some((input) => realpathSync(input) === target.path))) {
      throw new BadInput([`${path}: is a scenario file; --csv would put a table in its place`]);
    }
    if (target.is === 'device') return;
    const beside = besideOf(target);
    closeSync(openSync(beside, 'w'));
    rmSync(beside, { force: true });
  } catch (error) {
    if (error instanceof BadInput) throw error;
    throw new BadInput([`${path}: cannot be written: ${reason(error)}`]);
  }
}

/**
 * As `checkWritable`, beside the store of a sweep.
 *
 * @throws BadInput
 */
export function checkCsv(path: string, inputs: readonly string[], store: string | undefined): void {
  if (store !== undefined && path !== STANDARD_OUTPUT && resolve(path) === resolve(store)) throw new BadInput([`--csv ${path}: is the store; give the table another name`]);
  checkWritable(path, inputs);
}

const REASONS: Readonly<Record<string, string>> = {
  ENOENT: 'the folder is not there',
  EACCES: 'not allowed',
  EPERM: 'not allowed',
  EISDIR: 'it is a folder',
  ENOTDIR: 'part of the path is not a folder',
  ENAMETOOLONG: 'the name is too long',
  ELOOP: 'its links go in a circle',
  ENOSPC: 'the disk is full',
  EROFS: 'the disk is read-only',
  EDQUOT: 'the disk quota is used up',
  EFBIG: 'the file may not grow further here',
};

/** Why a file could not be written, in words. */
export const reason = (error: unknown): string => {
  const code = (error as NodeJS.ErrnoException).code ?? '';
  return REASONS[code] ?? (error as Error).message;
};

/**
 * Refuses, before anything is computed, an `--out` that could not be written or would take the place of other work: only a file
 * that begins with the same head is written over.
 *
 * @param head first line of a file of that command's, without its mark   @param command as it is typed
 * @throws BadInput
 */
export function checkOwnFile(path: string, input: string, head: string, command: string): void {
  if (path === STANDARD_OUTPUT) throw new BadInput(['--out: the name of a file is wanted']);
  if (existsSync(path)) {
    if (realpathSync(path) === realpathSync(input)) throw new BadInput([`--out  ${path}: is the scenario itself; give another name`]);
    let text = '';
    try {
      text = readFileSync(path, 'utf8');
    } catch {
      // not readable: what follows says why
    }
    if (text.startsWith(`# ${head}`)) return;
    if (/\.ya?ml$/i.test(path)) throw new BadInput([`--out  ${path}: is there already, and ${command} did not write it; give another name`]);
  }
  checkWritable(path, [input]);
}
