/** `tickover sensitivity`. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);
const VARY = ['--vary', 'engine.inertia=0.08:0.3', '--vary', 'controller.pid.kp=0.005:0.08:log'];
const command = (...more: string[]): string[] => ['sensitivity', short, ...VARY, '--samples', '16', ...more];

test.each([80, 120])('prints a ranked chart a metric, what it means, and the caution, within %i columns', async (columns) => {
  const { code, out, err } = await tickover(command(), { columns });
  expect([code, err]).toEqual([0, '']);
  for (const wanted of [/^sag, rpm$/m, /^stall margin, rpm$/m, /^(inertia|kp) +[█░]+ +\d+ %/m, /inertia is engine\.inertia, from 0\.08 to 0\.3 kg m\^2/, /16 base points, 64 runs,\s+seed 1/]) expect(out).toMatch(wanted);
  expect(out.trimEnd().split('\n').at(-1)).toMatch(/^Simulated, not measured/);
  expectWithin(out, columns);
});

test('by Morris says which way each setting goes', async () => {
  const { code, out } = await tickover(command('--method', 'morris', '--metric', 'sag'));
  expect(code).toBe(0);
  expect(out).toMatch(/^inertia .* lowers$/m);
  expect(out).toMatch(/16 trajectories, 48 runs/);
  expect(out).not.toContain('stall margin');
});

test('any number of workers gives the same bytes, page, JSON and CSV; another seed others', async () => {
  const said = await Promise.all([1, 2].map((jobs) => tickover(command('--jobs', String(jobs), '--csv', join(folder, `${jobs}.csv`)))));
  const objects = await Promise.all([['--jobs', '1'], ['--jobs', '2'], ['--seed', '5']].map((more) => tickover(command('--json', ...more))));
  expect(said[1]).toEqual(said[0]);
  expect(objects[1]).toEqual(objects[0]);
  expect(objects[2]!.out).not.toBe(objects[0]!.out);
  const [one, two] = [1, 2].map((jobs) => readFileSync(join(folder, `${jobs}.csv`), 'utf8'));
  expect(two).toBe(one);
  expect(one!.split('\r\n')).toHaveLength(1 + 5 * 2 + 1);
  const { metrics } = JSON.parse(objects[0]!.out) as { metrics: { metric: string; keys: { key: string; total: number | null }[] }[] };
  const sag = metrics.find(({ metric }) => metric === 'sag')!;
  expect(sag.keys.map(({ key }) => key)).toEqual(['engine.inertia', 'controller.pid.kp']);
  expect(one).toContain(`sag,rpm,engine.inertia,`);
  expect(one).toContain(String(sag.keys[0]!.total));
});

test('an interrupt keeps what was run', async () => {
  const { code, out, err } = await tickover(['sensitivity', 'scenarios/gains.yaml', ...VARY, '--samples', '4096', '--method', 'morris', '--metric', 'sag'], { interruptMs: 4000 });
  expect(code).toBe(130);
  expect(err).toMatch(/interrupted: \d+ of 12288 runs were made/);
  expect(out).toMatch(/Simulated, not measured/);
});

describe('bad input is refused before anything runs', () => {
  test.each([
    [['--vary', 'engine.inertia=0.1:0.3:5'], /--vary.*engine\.inertia.*a range is wanted here/],
    [['--vary', 'engine.inertai=0.1:0.3'], /did you mean engine\.inertia/],
    [['--vary', 'engine.inertia=0.3:0.1'], /must lie below/],
    [[...VARY, '--method', 'monte'], /--method monte: sobol or morris is wanted/],
    [[...VARY, '--metric', 'sagg'], /--metric +sagg: no such metric; there are score, .*did you mean sag\?/],
    [[...VARY, '--samples', '0'], /--samples: 0 is no whole number/],
    [[...VARY, '--samples', '100000'], /400000 runs; at most 200000/],
    [[...VARY, '--seed', '-1'], /--seed: -1 is no whole number/],
    [[...VARY, '--jobs', '0'], /--jobs: 0/],
    [[...VARY, '--json', '--csv', '-'], /both write to standard output/],
    [[...VARY, '--csv', join(folder, 'nowhere', 'a.csv')], /the folder is not there/],
  ])('%j', async (args, message) => {
    await refused(['sensitivity', short, ...args], message);
    expect(existsSync(join(folder, 'a.csv'))).toBe(false);
  });
});
