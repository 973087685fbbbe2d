/** `compare`, `check`, `schema`, help, and what is no command. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectPlain, expectWithin, refused, root, scratch, shell, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { put } = scratch();
const short = put('short.yaml', SHORT);
const COMMANDS = ['run', 'compare', 'sweep', 'merge', 'sensitivity', 'margins', 'mixture', 'why', 'setup', 'check', 'schema'];

describe('compare', () => {
  const STUDIES = ['scenarios/studies/stepper-integral.yaml', 'scenarios/studies/solenoid-pid.yaml'];

  test.each([80, 120])('lays the same drills over each other, with numbers side by side, within %i columns', async (columns) => {
    const { code, out, err } = await tickover(['compare', ...STUDIES], { columns });
    expect([code, err]).toEqual([0, '']);
    expect(out.match(/^stepper, integral alone · .*: Holds/gm)).toHaveLength(4);
    expect(out.match(/^solenoid, all three terms · .*: Holds/gm)).toHaveLength(4);
    expectWithin(out, columns);
  });

  test('--json holds a run for each', async () => {
    const { out } = await tickover(['compare', 'scenarios/solenoid.yaml', 'scenarios/stepper.yaml', '--json']);
    const { runs } = JSON.parse(out) as { runs: readonly Record<string, unknown>[] };
    expect(runs.map(({ file }) => file)).toEqual(['scenarios/solenoid.yaml', 'scenarios/stepper.yaml']);
    for (const run of runs) expect(run).toMatchObject({ stalled: false, stallTimeS: null, score: expect.any(Number), events: [{ atS: 2 }, { atS: 9 }] });
  });

  test('takes three, the same one twice, and --set for all; exit code 1 when one misses a limit', async () => {
    const { code, out } = await tickover(['compare', short, short, 'scenarios/solenoid.yaml', '--set', 'limits.sag=10 rpm']);
    expect(code).toBe(1);
    expect(out.match(/: Misses/g)).toHaveLength(3);
  });

  test('wants two, and says which file is bad', async () => {
    await refused(['compare', short], /needs two scenarios or more/);
    await refused(['compare'], /missing required argument/);
    await refused(['compare', short, 'missing.yaml'], /^missing\.yaml {2}cannot be read: there is no such file$/m);
  });
});

describe('check', () => {
  test.each([80, 120])('names every setting, its value and where it came from, within %i columns', async (columns) => {
    const { code, out, err } = await tickover(['check', 'scenarios/solenoid.yaml', '--set', 'engine.inertia=0.2 kg m^2'], { columns });
    expect([code, err]).toEqual([0, '']);
    expectWithin(out, columns);
    for (const section of ['engine', 'valve', 'controller', 'drill', 'run', 'limits', 'scoring']) expect(out).toMatch(new RegExp(`^${section}$`, 'm'));
    expect(out).toMatch(/^ {2}inertia +0\.2 kg m\^2 +--set$/m);
    expect(out).toMatch(/^ {2}backPressure +1\.5 kPa +default: assumed$/m);
    expect(out).toMatch(/^ {2}pid\.kp +0\.02 %\/rpm +scenarios\/controllers\/(solenoid\.yaml:10:7)?$/m);
    expect(out).toMatch(/^Valid: 4\d settings given, 1\d\d by default\.$/m);
  });

  test('cuts nothing at 80 columns: unwrapped, the page says what it says at 400', async () => {
    const [narrow, wide] = await Promise.all([80, 400].map((columns) => tickover(['check', 'scenarios/stepper.yaml'], { columns })));
    const letters = (text: string): string => [...text.replace(/\s/g, '')].sort().join('');
    expect(letters(narrow!.out)).toBe(letters(wide!.out));
    expect(narrow!.out).not.toContain('…');
    // most settings take one line or two: a page to read, not a list to scroll
    expect(narrow!.out.split('\n').length).toBeLessThan(2.2 * wide!.out.split('\n').length);
  });

  test('--json has the same settings as data', async () => {
    const { out } = await tickover(['check', 'scenarios/gains.yaml', '--json']);
    const { scenarios } = JSON.parse(out) as { scenarios: readonly { settings: readonly Record<string, unknown>[] }[] };
    expect(scenarios).toHaveLength(3);
    expect(scenarios[0]!.settings.find(({ path }) => path === 'controller.pid.kp')).toMatchObject({ origin: expect.stringMatching(/^scenarios\/gains\.yaml:\d+:\d+$/) });
  });
});

describe('schema', () => {
  test('is JSON on standard output, for a pipe', async () => {
    const said = await shell('$TICKOVER schema | node -e "const s=JSON.parse(require(\'fs\').readFileSync(0)); console.log(Object.keys(s.properties).join())"');
    expectPlain(said);
    expect(said.out.trim().split(',')).toEqual(expect.arrayContaining(['title', 'engine', 'valve', 'controller', 'drill', 'drills', 'run', 'limits', 'scoring']));
  });

  test('--reference is the page of every key', async () => {
    const { code, out } = await tickover(['schema', '--reference']);
    expect(code).toBe(0);
    for (const key of ['engine.inertia', 'controller.pid.kp', 'limits.sag']) expect(out).toContain(key);
  });

  test('takes no file', async () => {
    await refused(['schema', short], /too many arguments/);
  });
});

describe('help', () => {
  test.each([80, 120])('of all and of each command is on standard output, within %i columns, exit code 0', async (columns) => {
    const all = await Promise.all([['--help'], ['help'], ...COMMANDS.flatMap((command) => [[command, '--help'], ['help', command]])].map((args) => tickover(args, { columns })));
    for (const { code, out, err } of all) {
      expect([code, err]).toEqual([0, '']);
      expect(out).toMatch(/^Usage: tickover/);
      expectWithin(out, columns);
    }
    for (const command of COMMANDS) expect(all[0]!.out).toMatch(new RegExp(`^ {2}${command} `, 'm'));
    expect(all[0]!.out).toContain('Exit code: 0 ran');
  });

  test('is not asked for by nothing, which is bad input: it goes to standard error', async () => {
    await refused([], /^Usage: tickover/);
  });

  test('--version is the version of the package', async () => {
    const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
    expect(await tickover(['--version'])).toMatchObject({ code: 0, out: `${version}\n`, err: '' });
  });
});

describe('what is no command or option', () => {
  test.each([
    [['rum', short], /unknown command 'rum'\n\(Did you mean run\?\)/],
    [['sweap', short], /\(Did you mean sweep\?\)/],
    [['simulate', short], /unknown command 'simulate'/],
    [['run', short, '--jsn'], /unknown option '--jsn'\n\(Did you mean --json\?\)/],
    [['run', short, '--set'], /argument missing/],
    [['run', short, '--csv'], /argument missing/],
    [['run', short, short], /too many arguments/],
    [['run'], /missing required argument/],
    [['check'], /missing required argument/],
    [['sweep'], /missing required argument|required option/],
    [['--nonsense'], /unknown option/],
  ] as const)('%j is refused, with the nearest name', async (args, message) => {
    await refused(args, message);
  });
});
