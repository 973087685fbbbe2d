/** Runs the real command, built first when a source is newer than it. */
import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, expect } from 'vitest';

export const root = fileURLToPath(new URL('../../', import.meta.url));
const bin = join(root, 'bin/tickover.js');
const built = join(root, 'dist/command/main.js');

/** Test files run in parallel: the first builds, the others wait for it. The folder is the lock; it names its owner. */
const lock = join(tmpdir(), `tickover-build-${createHash('sha256').update(root).digest('hex').slice(0, 16)}`);
const WAIT_MS = 100;
const OWNERLESS_MS = 5_000;

function isStale(): boolean {
  let since: number;
  try {
    since = statSync(built).mtimeMs;
  } catch {
    return true;
  }
  const sources = readdirSync(join(root, 'src'), { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  return sources.some((entry) => statSync(join(entry.parentPath, entry.name)).mtimeMs > since);
}

const runs = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
};

/** Takes away a lock whose owner is gone: it cannot give it back. */
function dropDeadLock(): void {
  try {
    const owner = Number(readFileSync(join(lock, 'pid'), 'utf8'));
    if (owner > 0 ? !runs(owner) : Date.now() - statSync(lock).mtimeMs > OWNERLESS_MS) rmSync(lock, { recursive: true, force: true });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
    // between the folder and its owner's name, or gone by now
    const since = statSync(lock, { throwIfNoEntry: false })?.mtimeMs;
    if (since !== undefined && Date.now() - since > OWNERLESS_MS) rmSync(lock, { recursive: true, force: true });
  }
}

export async function build(): Promise<void> {
  for (;;) {
    try {
      mkdirSync(lock);
      break;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
      dropDeadLock();
      await new Promise((resolve) => setTimeout(resolve, WAIT_MS));
    }
  }
  try {
    writeFileSync(join(lock, 'pid'), String(process.pid));
    if (!isStale()) return;
    const { status, stdout, stderr } = spawnSync('npm', ['run', 'build'], { cwd: root, encoding: 'utf8', shell: process.platform === 'win32' });
    if (status !== 0) throw new Error(`npm run build failed:\n${stdout}\n${stderr}`);
  } finally {
    rmSync(lock, { recursive: true, force: true });
  }
}

/** Time for a build before the first test of a file. */
export const BUILD_MS = 300_000;

export interface Said {
  readonly code: number | null;
  readonly signal: NodeJS.Signals | null;
  readonly out: string;
  readonly err: string;
}

export interface How {
  readonly columns?: number;
  readonly env?: Readonly<Record<string, string>>;
  readonly cwd?: string;
  /** Sends an interrupt after so long. */
  readonly interruptMs?: number;
}

/** What a shell would hand on, and nothing that the test runner put there. */
const environment = ({ columns, env }: How): Record<string, string> => ({
  PATH: process.env.PATH ?? '',
  HOME: process.env.HOME ?? '',
  ...(columns === undefined ? {} : { COLUMNS: String(columns) }),
  ...env,
});

/** Times that a run is tried again where another build has taken the command away meanwhile. */
const AGAIN = 3;

async function start(command: string, args: readonly string[], how: How): Promise<Said> {
  for (let again = 0; ; again++) {
    const said = await startOnce(command, args, how);
    if (again === AGAIN || !(said.err.includes('ERR_MODULE_NOT_FOUND') && said.err.includes(join('dist', 'command')))) return said;
    await build();
  }
}

function startOnce(command: string, args: readonly string[], how: How): Promise<Said> {
  return new Promise((resolve, reject) => {
    const child = spawn(command, args, { cwd: how.cwd ?? root, env: environment(how), stdio: ['ignore', 'pipe', 'pipe'] });
    const [out, err]: [Buffer[], Buffer[]] = [[], []];
    child.stdout.on('data', (data: Buffer) => out.push(data));
    child.stderr.on('data', (data: Buffer) => err.push(data));
    child.on('error', reject);
    if (how.interruptMs !== undefined) setTimeout(() => child.kill('SIGINT'), how.interruptMs);
    child.on('close', (code, signal) => resolve({ code, signal, out: Buffer.concat(out).toString(), err: Buffer.concat(err).toString() }));
  });
}

/** Runs `tickover` with its output piped, and checks what holds for every run: no stack trace, no colour codes. */
export async function tickover(args: readonly string[], how: How = {}): Promise<Said> {
  const said = await start(process.execPath, [bin, ...args], how);
  expectPlain(said);
  return said;
}

/** Runs a line of shell in which `$TICKOVER` stands for the command. */
export const shell = (line: string, how: How = {}): Promise<Said> =>
  start('bash', ['-c', line], { ...how, env: { ...how.env, TICKOVER: `${process.execPath} ${bin}` } });

const ESCAPE = String.fromCharCode(27);

export function expectPlain({ out, err }: Said): void {
  for (const text of [out, err]) {
    expect(text).not.toMatch(/^ {4}at /m);
    expect(text).not.toContain('internal error');
    expect(text).not.toContain('node:internal');
    expect(text.includes(ESCAPE)).toBe(false);
  }
}

/** No line wider than so many cells. What is printed here takes one cell a character. */
export function expectWithin(text: string, columns: number): void {
  expect(text.split('\n').filter((line) => [...line].length > columns)).toEqual([]);
}

/** A bad input: exit code 2, nothing on standard output, a message that matches. */
export async function refused(args: readonly string[], message: RegExp, how: How = {}): Promise<Said> {
  const said = await tickover(args, how);
  expect([said.code, said.out]).toEqual([2, '']);
  expect(said.err).toMatch(message);
  return said;
}

/** A folder of its own for a test file, gone afterwards. */
export function scratch(): { readonly path: string; readonly put: (name: string, text: string | Uint8Array) => string } {
  const path = mkdtempSync(join(tmpdir(), 'tickover-test-'));
  afterAll(() => rmSync(path, { recursive: true, force: true }));
  return {
    path,
    put(name, text) {
      const file = join(path, name);
      writeFileSync(file, text);
      return file;
    },
  };
}

/** A short run of the default engine, for where what it does matters little. */
export const SHORT = `title: short
drill: {name: a load, events: [{do: load, at: 1, name: load on, torque: 4}]}
run: {duration: 3}
`;
