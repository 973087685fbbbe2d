/** One writer for a file: a neighbour named `.lock` tells who. A process that was killed leaves it; the next one sees that. */
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { BadInput } from './failure.js';
import { reason } from './files.js';

const runs = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
};

/** Who holds a lock and is alive, as far as can be told: whether a process of another machine is, cannot. */
function holderOf(lock: string): number | null {
  let text = '';
  try {
    text = readFileSync(lock, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
  }
  const [pid, host] = text.trim().split(' ');
  const number = Number(pid);
  return host === hostname() && Number.isInteger(number) && number > 0 && number !== process.pid && runs(number) ? number : null;
}

/**
 * Takes a file for this process alone.
 *
 * @returns what gives it back
 * @throws BadInput when a process of this machine that is alive has it, or the neighbour cannot be written
 */
export function lockFile(path: string): () => void {
  const lock = `${path}.lock`;
  try {
    const holder = holderOf(lock);
    if (holder !== null) throw new BadInput([`${path}: process ${holder} is writing it; end that first (or, if it is no tickover, remove ${lock})`]);
    rmSync(lock, { force: true });
    writeFileSync(lock, `${process.pid} ${hostname()}\n`, { flag: 'wx' });
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (typeof code !== 'string') throw error;
    throw new BadInput([`${path}: ${code === 'EEXIST' ? 'another process has just taken it' : `cannot be written: ${reason(error)}`}`]);
  }
  return () => rmSync(lock, { force: true });
}
