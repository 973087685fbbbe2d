/** `tickover bench`: the page of a scenario with the live bench first, in a temporary file; opened when asked. */
import { spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { cautionLine } from '../report/index.js';
import type { Scenario } from '../scenario/index.js';
import { EXIT, BadInput } from './failure.js';
import { load, reason, writeWhole } from './files.js';
import { pageText, tellRuns } from './page-parts.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface BenchOptions {
  readonly set: readonly string[];
  readonly open?: boolean;
}

/** @returns the exit code */
export async function bench(file: string, options: BenchOptions, terminal: Terminal): Promise<number> {
  const { scenarios } = await load(file, options.set);
  const { told, sections } = tellRuns(scenarios.map((scenario) => ({ scenario, file, several: scenarios.length > 1 })));
  const text = pageText({ title: titleOf(scenarios[0] as Scenario, file, false), opens: 'bench', told, sections, sweeps: [], more: [] });
  let path: string;
  try {
    path = join(mkdtempSync(join(tmpdir(), 'tickover-')), 'bench.html');
  } catch (error) {
    throw new BadInput([`${tmpdir()}: no folder can be made there: ${reason(error)}`]);
  }
  writeWhole(path, [text]);
  terminal.out(path); // alone on its line and never broken: a shell takes it from here
  if (options.open === true) for (const line of await openWithSystem(path)) terminal.err(line);
  terminal.err(sentence(cautionLine(), terminal));
  return EXIT.ok;
}

/** The system's own opener. */
function opener(path: string): readonly [command: string, ...args: string[]] {
  if (process.platform === 'darwin') return ['open', path];
  return process.platform === 'win32' ? ['cmd', '/c', 'start', '""', path] : ['xdg-open', path];
}

/** @returns what to tell when it could not be opened */
function openWithSystem(path: string): Promise<readonly string[]> {
  const [command, ...args] = opener(path);
  return new Promise((resolve) => {
    const child = spawn(command, args, { stdio: 'ignore', detached: true });
    child.once('error', () => resolve([`--open: ${command} could not be started; open the file by hand`]));
    child.once('spawn', () => {
      child.unref();
      resolve([]);
    });
  });
}
