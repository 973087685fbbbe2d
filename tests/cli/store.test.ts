/** `tickover sweep --out` and `--resume`: what is finished is kept, whatever ends the sweep. */
import { spawn } from 'node:child_process';
import { appendFileSync, chmodSync, copyFileSync, existsSync, mkdirSync, readdirSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { readStore } from '../../src/cli/store-read.js';
import { createStore, resumeStore } from '../../src/cli/store-write.js';
import { createRandom } from '../../src/numerics/random.js';
import type { SweepRow } from '../../src/search/index.js';
import { build, BUILD_MS, expectWithin, refused, root, scratch, shell, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);
const GRID = ['--vary', 'controller.pid.kp=0.005:0.08:6:log', '--vary', 'controller.pid.ki=0,0.01,0.05'];
const CELLS = 18;
const at = (name: string): string => join(folder, name);
const leftBehind = (): string[] => readdirSync(folder).filter((name) => /\.part$|\.lock$/.test(name));

describe('a store', () => {
  test('is the same bytes for any number of workers, and the page is that of a sweep without one', async () => {
    const [plain, ...stored] = await Promise.all([
      tickover(['sweep', short, ...GRID, '--csv', at('plain.csv')]),
      ...[1, 2, 3].map((jobs) => tickover(['sweep', short, ...GRID, '--jobs', String(jobs), '--out', at(`jobs-${jobs}.jsonl`), '--csv', at(`jobs-${jobs}.csv`)])),
    ]);
    for (const said of stored) expect(said).toEqual(plain);
    const bytes = [1, 2, 3].map((jobs) => readFileSync(at(`jobs-${jobs}.jsonl`), 'utf8'));
    expect(new Set(bytes).size).toBe(1);
    const lines = bytes[0]!.trimEnd().split('\n').map((line) => JSON.parse(line) as SweepRow & { readonly total?: number });
    expect(lines.map(({ index }) => index)).toEqual([undefined, ...Array.from({ length: CELLS }, (_, i) => i)]);
    expect(lines[0]!.total).toBe(CELLS);
    for (const jobs of [1, 2, 3]) expect(readFileSync(at(`jobs-${jobs}.csv`), 'utf8')).toBe(readFileSync(at('plain.csv'), 'utf8'));
    expect(leftBehind()).toEqual([]);
  });

  test('that is complete is shown again by --resume, with nothing run: page and JSON', async () => {
    const before = readFileSync(at('jobs-1.jsonl'));
    for (const more of [[], ['--json']]) {
      const [fresh, again] = await Promise.all([tickover(['sweep', short, ...GRID, ...more]), tickover(['sweep', short, ...GRID, '--resume', at('jobs-1.jsonl'), ...more])]);
      expect(again.out).toBe(fresh.out);
      expect([again.code, again.err]).toEqual([0, `${at('jobs-1.jsonl')}: 18 of 18 cells are there\n`]);
    }
    expect(readFileSync(at('jobs-1.jsonl'))).toEqual(before);
  });

  test('is begun by --resume where there is none, which is said', async () => {
    const { code, err } = await tickover(['sweep', short, ...GRID, '--resume', at('begun.jsonl')]);
    expect([code, err]).toEqual([0, `${at('begun.jsonl')}: was not there, and is begun\n`]);
    expect(readFileSync(at('begun.jsonl'))).toEqual(readFileSync(at('jobs-1.jsonl')));
  });

  test('cut off at any byte goes on to the same bytes: each cell there is kept, and none runs twice', () => {
    const whole = readFileSync(at('jobs-1.jsonl'));
    const first = whole.indexOf('\n') + 1;
    const rows: SweepRow[] = [];
    const { header } = readStore(at('jobs-1.jsonl'), (row) => rows.push(row));
    expect(rows).toHaveLength(CELLS);
    const random = createRandom(4);
    const cuts = [first, first + 1, whole.length - 1, whole.length, ...Array.from({ length: 60 }, () => first + Math.floor(random.uniform() * (whole.length - first)))];
    for (const cut of cuts) {
      const file = put('cut.jsonl', whole.subarray(0, cut));
      const there: SweepRow[] = [];
      const { store, found } = resumeStore(file, header, (row) => there.push(row));
      const lines = whole.subarray(first, cut).toString().split('\n').length - 1;
      expect([there.length, store.count(), found!.count, found!.size]).toEqual([lines, lines, lines, cut]);
      expect(there).toEqual(rows.slice(0, lines));
      store.append(rows.slice(lines));
      store.close();
      expect(readFileSync(file).equals(whole)).toBe(true);
    }
    expect(leftBehind()).toEqual([]);
  });
});

describe('kill -9', () => {
  const WIDE = ['--vary', 'controller.pid.kp=0.005:0.08:20:log', '--vary', 'controller.pid.ki=0.005:0.05:25'];
  const KILLS = 6;

  /** Starts a sweep and kills it once the file has grown by so many bytes. @returns whether it was killed, or ended by itself */
  async function killed(file: string, growth: number): Promise<boolean> {
    const size = (): number => (existsSync(file) ? statSync(file).size : 0);
    const before = size();
    const child = spawn(process.execPath, [join(root, 'bin/tickover.js'), 'sweep', short, ...WIDE, '--jobs', '2', '--resume', file], { stdio: 'ignore' });
    const ended = new Promise<NodeJS.Signals | null>((resolve) => child.on('close', (_, signal) => resolve(signal)));
    const look = setInterval(() => void (size() >= before + growth && child.kill('SIGKILL')), 1);
    const signal = await ended;
    clearInterval(look);
    return signal === 'SIGKILL';
  }

  test('at random moments loses no cell, repeats none and tears none: the file comes to the same bytes', async () => {
    const [file, unbroken] = [at('killed.jsonl'), at('unbroken.jsonl')];
    const random = createRandom(20);
    let kills = 0;
    let kept = 0;
    for (let i = 0; i < KILLS; i++) {
      if (!(await killed(file, Math.floor(random.uniform() * 30_000)))) continue;
      kills += 1;
      if (!existsSync(file)) continue;
      const { count } = readStore(file, () => undefined);
      expect(count).toBeGreaterThanOrEqual(kept);
      kept = count;
    }
    expect(kills).toBeGreaterThanOrEqual(KILLS / 2);
    expect(kept).toBeGreaterThan(0);
    const [rest, fresh] = await Promise.all([tickover(['sweep', short, ...WIDE, '--jobs', '2', '--resume', file]), tickover(['sweep', short, ...WIDE, '--out', unbroken])]);
    expect([rest.code, rest.out]).toEqual([0, fresh.out]);
    expect(rest.err).toContain(`${kept} of 500 cells are there`);
    expect(readFileSync(file).equals(readFileSync(unbroken))).toBe(true);
  }, 120_000);
});

describe('Ctrl-C', () => {
  test('leaves a store that says how to go on', async () => {
    const ENDLESS = ['--vary', 'controller.pid.kp=0.001:0.1:500:log', '--vary', 'controller.pid.ki=0.001:0.1:400:log'];
    const file = at('interrupted.jsonl');
    let said = await tickover(['sweep', short, ...ENDLESS, '--jobs', '2', '--resume', file], { interruptMs: 2_500 });
    for (let again = 0; again < 5 && !said.err.includes('interrupted: '); again++) said = await tickover(['sweep', short, ...ENDLESS, '--jobs', '2', '--resume', file], { interruptMs: 10_000 });
    const done = Number(/interrupted: (\d+) of 200000 cells were run, and are kept; --resume .*interrupted\.jsonl goes on$/m.exec(said.err)?.[1]);
    expect(said.code).toBe(130);
    expect(readStore(file, () => undefined)).toMatchObject({ count: done, cells: 200_000 });
    expect(leftBehind()).toEqual([]);
  });
});

describe('--resume refuses', () => {
  test('another scenario, other values, another shard: it says what differs, and leaves the store alone', async () => {
    const file = at('jobs-2.jsonl');
    const before = readFileSync(file);
    await refused(['sweep', short, ...GRID, '--resume', file, '--set', 'engine.inertia=0.2'], /holds another sweep\n {2}engine\.inertia: 0\.15 kg m\^2 there, 0\.2 kg m\^2 here\nnothing was run\n$/);
    await refused(['sweep', short, ...GRID.slice(0, 2), '--resume', file], /--vary: controller\.pid\.kp, controller\.pid\.ki there, controller\.pid\.kp here/);
    await refused(['sweep', short, '--vary', 'controller.pid.kp=0.005:0.08:7:log', ...GRID.slice(2), '--resume', file], /--vary controller\.pid\.kp: 0\.005,.* there, 7 values from 0\.005 to 0\.08 here/);
    await refused(['sweep', short, ...GRID, '--resume', file, '--shard', '1/2'], /--shard: 1\/1 there, 1\/2 here/);
    expect(readFileSync(file)).toEqual(before);
    expect(leftBehind()).toEqual([]);
  });

  test('what is no store, one of another format, and one damaged in the middle, by the line', async () => {
    const whole = readFileSync(at('jobs-2.jsonl'), 'utf8');
    await refused(['sweep', short, ...GRID, '--resume', short], /is no store of a sweep/);
    await refused(['sweep', short, ...GRID, '--resume', put('empty.jsonl', '')], /is no store of a sweep/);
    await refused(['sweep', short, ...GRID, '--resume', put('next.jsonl', whole.replace('"version":1', '"version":2'))], /next\.jsonl:1: a store of format 2; this program reads and writes format 1/);
    const lines = whole.split('\n');
    const middle = put('middle.jsonl', [...lines.slice(0, 5), lines[5]!.slice(9), ...lines.slice(6)].join('\n'));
    await refused(['sweep', short, ...GRID, '--resume', middle], /middle\.jsonl:6: no row of cell 4, but damaged\n/);
    const twice = put('twice.jsonl', [...lines.slice(0, 5), lines[4], ...lines.slice(5)].join('\n'));
    await refused(['sweep', short, ...GRID, '--resume', twice], /twice\.jsonl:6: holds cell 3 where cell 4 must follow\n/);
    const more = at('more.jsonl');
    copyFileSync(at('jobs-2.jsonl'), more);
    appendFileSync(more, `${lines[5]}\n`);
    await refused(['sweep', short, ...GRID, '--resume', more], /more\.jsonl:20: there are no more than 18 cells\n/);
  });

  test('a store that a living process is writing; one that was killed is no hindrance', async () => {
    const file = at('busy.jsonl');
    copyFileSync(at('jobs-2.jsonl'), file);
    truncateSync(file, statSync(file).size - 10);
    const { header } = readStore(file, () => undefined);
    const { store } = resumeStore(file, header, () => undefined);
    await refused(['sweep', short, ...GRID, '--resume', file], new RegExp(`busy\\.jsonl: process ${process.pid} is writing it`));
    store.close();
    writeFileSync(`${file}.lock`, '999999999 nowhere\n');
    const { code, err } = await tickover(['sweep', short, ...GRID, '--resume', file]);
    expect([code, err]).toEqual([0, `${file}: 17 of 18 cells are there\n`]);
  });
});

describe('--out refuses', () => {
  test('what is there already, store or not, and what cannot be a file', async () => {
    await refused(['sweep', short, ...GRID, '--out', at('jobs-1.jsonl')], /is a store already; --resume .*jobs-1\.jsonl goes on with it/);
    await refused(['sweep', short, ...GRID, '--out', put('notes.txt', 'mine')], /is there already, and is no store of a sweep; it was left as it is/);
    expect(readFileSync(at('notes.txt'), 'utf8')).toBe('mine');
    await refused(['sweep', short, ...GRID, '--out', folder], /it is a folder/);
    await refused(['sweep', short, ...GRID, '--out', '/dev/null'], /it is no plain file/);
    await refused(['sweep', short, ...GRID, '--out', '/nowhere/x.jsonl'], /the folder is not there/);
    await refused(['sweep', short, ...GRID, '--out', '-'], /a store is kept in a file/);
    await refused(['sweep', short, ...GRID, '--out', ''], /the name of a file is wanted/);
    await refused(['sweep', short, ...GRID, '--out', at('a.jsonl'), '--resume', at('a.jsonl')], /give one of them/);
    await refused(['sweep', short, ...GRID, '--out', at('a.jsonl'), '--csv', at('a.jsonl')], /is the store; give the table another name/);
    expect(existsSync(at('a.jsonl'))).toBe(false);
  });

  test.skipIf(process.getuid?.() === 0)('a folder that may not be written to', async () => {
    mkdirSync(at('shut'));
    chmodSync(at('shut'), 0o555);
    await refused(['sweep', short, ...GRID, '--out', join(at('shut'), 'x.jsonl')], /cannot be written: not allowed/);
  });
});

test.skipIf(process.platform === 'win32')('a disk that fills up ends the sweep with whole lines, and the sweep goes on when there is room', async () => {
  // a limit on the size of files stands in for the disk: writes come up short in the same way
  const file = at('full.jsonl');
  const args = `sweep ${short} --vary controller.pid.kp=0.005:0.08:60:log --jobs 2`;
  const { code, out, err } = await shell(`ulimit -f 24; $TICKOVER ${args} --out ${file}`);
  expect([code, out]).toEqual([2, '']);
  const kept = Number(/full\.jsonl: cannot be written: the file may not grow further here\n(\d+) cells are in it; --resume .* goes on from there\n$/.exec(err)?.[1]);
  expect(readStore(file, () => undefined)).toMatchObject({ count: kept, end: statSync(file).size });
  const { code: later, err: said } = await tickover([...args.split(' '), '--resume', file]);
  expect([later, said]).toEqual([0, `${file}: ${kept} of 60 cells are there\n`]);
});

test('a store begun in the place of another is refused even between the look and the writing', () => {
  const { header } = readStore(at('jobs-1.jsonl'), () => undefined);
  expect(() => createStore(at('jobs-1.jsonl'), header)).toThrow('is a store already');
});

test('the page of an interrupted or resumed sweep keeps within its columns', async () => {
  const { out, err } = await tickover(['sweep', short, ...GRID, '--resume', at('jobs-3.jsonl')], { columns: 80 });
  expectWithin(out, 80);
  expect(err.split('\n')).toHaveLength(2);
});
