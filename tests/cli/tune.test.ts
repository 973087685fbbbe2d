/** `tickover tune`. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const LOADS = `title: two loads
run: { duration: 6 }
controller: { base: [[80, 22]] }
drills:
  - { name: load, events: [{ do: load, at: 1, name: load, torque: 6 }] }
  - { name: pulse, events: [{ do: load, at: 1, name: pulse, torque: 5, hold: 0.6 }] }
`;
const file = put('loads.yaml', LOADS);
const command = (...more: string[]): string[] => ['tune', file, '--uncertainty', 'none', '--budget', '400', ...more];

test.each([80, 120])('prints gains, margins, drills, reasons, answers and the caution, within %i columns', async (columns) => {
  const { code, out, err } = await tickover(command('--gain-scale', 'kp=100'), { columns });
  expect([code, err]).toEqual([0, '']);
  for (const wanted of [/^Tuned: every limit is kept/m, /^kp /m, /^spark rate/m, /^tuned, trim off/m, /→/, /Air alone, at its best/, /With spark trim/, /^Why: /m, /On integral alone/, /Spent: \d+ sets of gains/]) expect(out).toMatch(wanted);
  expect(out.trimEnd().split('\n').at(-1)).toMatch(/^Simulated, not measured/);
  expectWithin(out, columns);
});

test('any number of workers gives the same bytes; the file it writes is one that run takes, with the same score', async () => {
  const out = join(folder, 'tuned.yaml');
  const [one, two] = await Promise.all([tickover(command('--json', '--jobs', '1', '--out', out)), tickover(command('--json', '--jobs', '2'))]);
  expect(two!.out).toBe(one!.out);
  const { tuned } = JSON.parse(one!.out) as { tuned: { score: number; settings: Record<string, number> } };
  const again = put('again.yaml', LOADS.replace('controller: { base: [[80, 22]] }', `controller: { from: ${out} }`));
  const ran = JSON.parse((await tickover(['run', again, '--json'])).out) as { score: number };
  expect(ran.score).toBeCloseTo(tuned.score, 9);
  expect(readFileSync(out, 'utf8')).toMatch(/^# Gains computed by tickover tune/);
  await refused(command('--out', again), /is there already, and tune did not write it/);
});

test('an interrupt ends with the best so far, and says so', async () => {
  const out = join(folder, 'interrupted.yaml');
  const said = await tickover(['tune', 'scenarios/gains.yaml', '--budget', '100000000', '--out', out, '--jobs', '2'], { interruptMs: 15_000 });
  expect(said.code).toBe(130);
  expect(said.err).toMatch(/interrupted/);
  expect(existsSync(out)).toBe(said.out !== '');
});

test('a limit that cannot be kept is named, with where it binds; exit code 1', async () => {
  const { code, out } = await tickover(command('--settling', '0.3', '--air-only'));
  expect(code).toBe(1);
  expect(out.replace(/\s+/g, ' ')).toMatch(/Not all limits can be kept by what was tried; the best falls short: settling takes [\d.]+ s \((load|pulse), as described\), 0\.3 s allowed/);
});

describe('bad input is refused before anything runs', () => {
  test.each([
    [['--uncertainty', 'engine.inertai=0.1:0.2'], /--uncertainty.*did you mean engine\.inertia/],
    [['--uncertainty', 'engine.inertia=0.2:0.1'], /must lie below/],
    [['--uncertainty', 'engine.inertia=0:0.1'], /outside/],
    [['--uncertainty', 'controller.pid.kp=0.01:0.02'], /no matter of the engine/],
    [['--terms', 'p'], /--terms p: i, pi or pid/],
    [['--with', 'entry.windw'], /did you mean entry\.window/],
    [['--with', 'pid.kp'], /is tuned as it is/],
    [['--ms', '0.9'], /--ms 0\.9: a number above 1/],
    [['--settling', '0'], /--settling 0: a number above 0/],
    [['--jobs', '0'], /--jobs: 0 is no whole number/],
    [['--set', 'controller.hold=22'], /nothing to tune/],
    [['--set', 'controller.clamp.highest=10'], /no idle/],
    [['--out', 'nowhere/at/all.yaml'], /cannot be written/],
  ])('%j', async (more, message) => {
    await refused(['tune', file, ...more], message);
  });

  test('a suite that stalls whatever the gains is told as such', async () => {
    await refused(['tune', put('stalls.yaml', LOADS.replace('torque: 6', 'torque: 60')), '--uncertainty', 'none', '--budget', '200'], /every one of \d+ sets of gains stalls the\s+engine/);
  });
});
