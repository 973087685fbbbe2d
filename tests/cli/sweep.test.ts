/** `tickover sweep`. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, shell, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);
const VARY = ['--vary', 'controller.pid.kp=0.005:0.08:4:log', '--vary', 'controller.pid.ki=0,0.01,0.05'];

interface Swept {
  readonly axes: readonly { readonly key: string; readonly unit: string; readonly values: readonly number[] }[];
  readonly total: number;
  readonly complete: boolean;
  readonly ranking: readonly number[];
  readonly rows: readonly { readonly index: number; readonly score: number | null; readonly values: Readonly<Record<string, number>> }[];
}

describe('the page', () => {
  test.each([80, 120])('has the best over the starting point, a map, the ranking and one line, within %i columns', async (columns) => {
    const { code, out, err } = await tickover(['sweep', short, ...VARY], { columns });
    expect([code, err]).toEqual([0, '']);
    for (const wanted of [/best/, /as it is/, /◆ best/, /^rank/m, /best 10 of 12/, /^Best: controller\.pid\.kp [\d.]+ %\/rpm, controller\.pid\.ki [\d.]+/m]) expect(out).toMatch(wanted);
    expectWithin(out, columns);
  });

  test('of one key has no map; --top cuts the ranking', async () => {
    const { code, out } = await tickover(['sweep', short, '--vary', 'engine.inertia=0.1:0.3:5', '--top', '2']);
    expect(code).toBe(0);
    expect(out).not.toContain('◆');
    expect(out.match(/^ +[12] .*holds/gm)).toHaveLength(2);
    expect(out).toContain('best 2 of 5');
  });

  test('says so when every cell stalls, exit code 1', async () => {
    const { code, out } = await tickover(['sweep', short, '--set', 'drill.events=[{do: load, at: 1, torque: 80}]', '--vary', 'controller.pid.ki=0.01,0.02']);
    expect(code).toBe(1);
    expect(out).toMatch(/^Every cell stalls/m);
  });

  test('takes a suite, and several files', async () => {
    const { code, out } = await tickover(['sweep', short, 'scenarios/gains.yaml', '--vary', 'controller.pid.ki=0.01,0.02', '--json']);
    expect(code).toBe(0);
    expect((JSON.parse(out) as { scenarios: string[] }).scenarios).toHaveLength(4);
  });
});

describe('any number of workers', () => {
  test('gives the same bytes: page, JSON and CSV', async () => {
    const pages = await Promise.all([1, 2, 3].map((jobs) => tickover(['sweep', short, ...VARY, '--jobs', String(jobs), '--csv', join(folder, `${jobs}.csv`)])));
    const objects = await Promise.all([1, 2].map((jobs) => tickover(['sweep', short, ...VARY, '--jobs', String(jobs), '--json'])));
    expect(pages[1]).toEqual(pages[0]);
    expect(pages[2]).toEqual(pages[0]);
    expect(objects[1]).toEqual(objects[0]);
    const tables = [1, 2, 3].map((jobs) => readFileSync(join(folder, `${jobs}.csv`), 'utf8'));
    expect(new Set(tables).size).toBe(1);
    const lines = tables[0]!.trimEnd().split('\r\n');
    expect(lines).toHaveLength(13);
    expect(lines[0]).toMatch(/^index,rank,controller\.pid\.kp \[%\/rpm\],controller\.pid\.ki \[%\/\(rpm s\)\],score,stalled,/);
    const { rows, ranking, axes, complete, total } = JSON.parse(objects[0]!.out) as Swept;
    expect([rows.length, ranking.length, complete, total, axes.map(({ key }) => key)]).toEqual([12, 12, true, 12, ['controller.pid.kp', 'controller.pid.ki']]);
    const scores = ranking.map((index) => rows[index]!.score!);
    expect(scores).toEqual([...scores].sort((a, b) => a - b));
  });
});

describe('Ctrl-C', () => {
  const ENDLESS = ['--vary', 'controller.pid.kp=0.001:0.1:500:log', '--vary', 'controller.pid.ki=0.001:0.1:400:log'];

  /** However slow the machine, some cells get done; how long that takes is not known beforehand. */
  async function interrupted(args: readonly string[]) {
    for (const interruptMs of [2_000, 6_000, 20_000]) {
      const said = await tickover(['sweep', short, ...ENDLESS, ...args], { interruptMs });
      const done = Number(/^interrupted: (\d+) of 200000 cells were run/m.exec(said.err)?.[1] ?? 0);
      if (done > 0) return { ...said, done };
    }
    throw new Error('no cell was finished in 20 s');
  }

  test.each(['1', '2'])('keeps the finished cells, --jobs %s: shows them, writes them, and leaves with 130', async (jobs) => {
    const file = join(folder, `interrupted-${jobs}.csv`);
    const { code, signal, out, err, done } = await interrupted(['--jobs', jobs, '--csv', file]);
    expect([code, signal]).toEqual([130, null]);
    expect(err).toMatch(/^(200000 cells, about .*\n)?interrupted: \d+ of 200000 cells were run, and are kept\n$/);
    expect(out).toMatch(/^rank/m);
    expect(out).toMatch(/^Best: /m);
    const lines = readFileSync(file, 'utf8').trimEnd().split('\r\n');
    expect(lines).toHaveLength(done + 1);
    expect(lines.slice(1).every((line) => line.split(',').length === lines[0]!.split(',').length)).toBe(true);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
  });

  test('leaves whole JSON that says it is not complete', async () => {
    const { code, out, done } = await interrupted(['--jobs', '2', '--json']);
    const { complete, rows, total } = JSON.parse(out) as Swept;
    expect([code, complete, rows.length, total]).toEqual([130, false, done, 200000]);
  });
});

describe('a grid that takes long', () => {
  test('is told its size and a rough time, once, on standard error, also when piped', async () => {
    for (const interruptMs of [5_000, 15_000, 40_000]) {
      const { err } = await tickover(['sweep', short, '--vary', 'controller.pid.kp=0.001:0.1:1000:log', '--vary', 'controller.pid.ki=0.001:0.1:1000:log'], { interruptMs });
      if (!err.startsWith('1000000 cells, ') && interruptMs < 40_000) continue;
      expect(err).toMatch(/^1000000 cells, about \d+ (min|h|days); Ctrl-C keeps what is finished\ninterrupted: .*\n$/);
      return;
    }
  });
});

describe('cells that cannot be run', () => {
  const GRID = ['--vary', 'engine.torque.misfireCharge=0.05:0.2:4', '--vary', 'controller.pid.ki=0.01,0.02'];

  test('have a mark of their own and a reason in the verdict; a missed limit is another mark', async () => {
    const { out } = await tickover(['sweep', short, ...GRID, '--set', 'limits.sag=1 rpm']);
    expect(out).toContain('? could not be run (4 of 8 cells)');
    expect(out).toContain('! misses a limit (4 of 8 cells)');
    expect(out.replace(/\s+/g, ' ')).toMatch(/0 of 8 cells stall\. 4 could not be run, the first because engine\.torque\.burningCharge: must not lie below engine\.torque\.misfireCharge\./);
    const whole = await tickover(['sweep', short, ...GRID]);
    expect(whole.out).toContain('? could not be run (4 of 8 cells)');
    expect(whole.out).not.toContain('misses a limit');
  });

  test('have neither score nor stall in the table, which goes to standard output by --csv -', async () => {
    const { out, err } = await tickover(['sweep', short, ...GRID, '--csv', '-']);
    expect(err).toBe('');
    const [head, ...rows] = out.trimEnd().split('\r\n').map((line) => line.split(','));
    const at = head!.indexOf('stalled');
    expect(rows.map((row) => [row[at - 1] === '', row[at]])).toEqual(Array.from({ length: 8 }, (_, i) => (i < 4 ? [false, '0'] : [true, ''])));
  });
});

test('a setting that makes no difference is said to make none: the settled integral makes up for a base', async () => {
  const VARIED = ['--vary', 'controller.base.3.1=18:28:3'];
  const [same, not] = await Promise.all([tickover(['sweep', short, ...VARIED]), tickover(['sweep', short, ...VARIED, '--set', 'drill.start.settled=no'])]);
  expect(same.out).toMatch(/^The setting makes no difference in these drills: score [\d.]+ throughout; 0 of 3/m);
  expect(not.out).toMatch(/^Best: controller\.base\.3\.1 \d+ %; /m);
});

describe('--csv', () => {
  test('that cannot be written is refused before a cell is run', async () => {
    const kept = put('kept.csv', 'kept');
    await refused(['sweep', short, ...VARY, '--csv', '/nowhere/x.csv'], /cannot be written: the folder is not there/);
    await refused(['sweep', short, ...VARY, '--csv', folder], /cannot be written: it is a folder/);
    await refused(['sweep', short, ...VARY, '--csv', short], /is a scenario file/);
    await refused(['sweep', short, '--vary', 'engine.inertai=1,2', '--csv', kept], /did you mean engine\.inertia\?/);
    expect(readFileSync(kept, 'utf8')).toBe('kept');
    expect(readFileSync(short, 'utf8')).toBe(SHORT);
  });
});

describe.concurrent('--vary', () => {
  test.each([
    [[], /required option '--vary/],
    [['--vary', ''], /--vary/],
    [['--vary', 'engine.inertia'], /no values in engine\.inertia; write key=lo:hi:n/],
    [['--vary', 'engine.inertia='], /engine\.inertia: a number is missing/],
    [['--vary', '=1,2'], /--vary/],
    [['--vary', 'engine.inertai=0.1,0.2'], /engine\.inertai: .*did you mean engine\.inertia\?/],
    [['--vary', 'engine.name=1,2'], /engine\.name: /],
    [['--vary', 'engine=1,2'], /engine: /],
    [['--vary', 'engine.inertia=a,b'], /a is not a number/],
    [['--vary', 'engine.inertia=0.1:0.2'], /2 parts where lo:hi:n has 3/],
    [['--vary', 'engine.inertia=0.1:0.2:0'], /n is 0/],
    [['--vary', 'engine.inertia=0.1:0.2:1e9'], /n is /],
    [['--vary', 'engine.inertia=0.1:0.2:2.5'], /n is 2\.5/],
    [['--vary', 'engine.inertia=0:0.2:3:log'], /engine\.inertia: /],
    [['--vary', 'engine.inertia=0.1:0.2:3:cubic'], /4 parts where lo:hi:n has 3/],
    [['--vary', 'engine.inertia=-1,0.1'], /-1 kg m\^2 is outside/],
    [['--vary', 'engine.inertia=NaN,0.1'], /NaN/],
    [['--vary', 'engine.inertia=0.1,Infinity'], /Infinity/],
    [['--vary', 'engine.cylinders=4:5:3'], /whole number/],
    [['--vary', 'engine.inertia=0.1,0.2', '--vary', 'engine.inertia=0.1,0.2'], /varied twice/],
    [['--vary', '__proto__.x=1,2'], /__proto__/],
    [['--vary', 'engine.inertia=0.1:0.2:100000', '--vary', 'controller.pid.kp=0.01:0.02:100000'], /cells/],
    [['--vary', 'engine.inertia=0.1,0.2', '--jobs', '0'], /whole number from 1 to 256/],
    [['--vary', 'engine.inertia=0.1,0.2', '--jobs', 'two'], /whole number from 1 to 256/],
    [['--vary', 'engine.inertia=0.1,0.2', '--jobs', '1e9'], /whole number from 1 to 256/],
    [['--vary', 'engine.inertia=0.1,0.2', '--top', '-1'], /whole number from 1 to 1000/],
  ] as const)('%j is refused', async (args, message) => {
    await refused(['sweep', short, ...args], message);
  });

  test('a cell whose values contradict each other is told, and the others are run', async () => {
    const { code, out } = await tickover(['sweep', short, '--vary', 'controller.clamp.lowest=0,90', '--vary', 'controller.clamp.highest=60,100', '--json']);
    expect(code).toBe(0);
    const { rows } = JSON.parse(out) as { rows: readonly { score: number | null; reason: string | null }[] };
    expect(rows.map(({ score }) => score === null).filter(Boolean)).toHaveLength(1);
    expect(rows.find(({ score }) => score === null)!.reason).toMatch(/must not lie above/);
  });
});

test.skipIf(!existsSync('/dev/full'))('an output that takes nothing more ends it with a word and 2; a reader that goes away, quietly', async () => {
  const line = `$TICKOVER sweep ${short} --vary engine.inertia=0.1,0.2`;
  const full = await shell(`${line} > /dev/full`);
  expect([full.code, full.err]).toEqual([2, 'standard output: cannot be written: the disk is full\n']);
  const gone = await shell(`${line} | head -1 > /dev/null; exit \${PIPESTATUS[0]}`);
  expect([gone.code, gone.err]).toEqual([0, '']);
});

test('more workers than there are cores, or cells, give the same page', async () => {
  const [one, many] = await Promise.all(['1', '64'].map((jobs) => tickover(['sweep', short, '--vary', 'engine.inertia=0.1,0.2', '--jobs', jobs])));
  expect(many).toEqual(one);
});

test('nothing of a progress bar reaches a pipe', async () => {
  const { err } = await tickover(['sweep', short, '--vary', 'engine.inertia=0.1:0.3:12', '--jobs', '2']);
  expect(err).toBe('');
  expect(existsSync(join(folder, 'undefined'))).toBe(false);
});
