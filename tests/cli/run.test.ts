/** `tickover run`. */
import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectPlain, expectWithin, refused, scratch, shell, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const SOLENOID = 'scenarios/solenoid.yaml';

/** Metrics that every event has, absent ones as null. */
const METRICS = [
  'sagRpm', 'flareRpm', 'settlingTimeS', 'overshootPct', 'stallMarginRpm', 'stallMarginPct', 'lowestRpm', 'lowestAtS', 'iaeRpmS',
  'huntingRpm', 'huntingHz', 'valveTravelPctPerS', 'sparkActivityDeg', 'saturatedS',
];

describe('the page', () => {
  test('has three charts on one time axis, the table of events, the verdict', async () => {
    const { code, out, err } = await tickover(['run', SOLENOID], { columns: 80 });
    expect([code, err]).toEqual([0, '']);
    expect(out.startsWith('1.8 L four, solenoid, load on and off\n')).toBe(true);
    for (const wanted of [/^speed, rpm/m, /╌ target/, /^air command, %/m, /^spark, °BTDC/m, /^event {2,}a +b$/m, /^a {2}load /m, /^b {2}load /m, /14 s$/m, /^Holds: deepest sag \d+ rpm at 2\.0 s \(load\)/m]) expect(out).toMatch(wanted);
  });

  test.each([40, 80, 120, 200])('keeps within %i columns, and uses them', async (columns) => {
    const { out } = await tickover(['run', SOLENOID, '--step-check'], { columns });
    expectWithin(out, columns);
    expect(Math.max(...out.split('\n').map((line) => [...line].length))).toBeGreaterThan(columns * 0.8);
  });

  test.each([{ NO_COLOR: '1' }, { FORCE_COLOR: '1' }, { FORCE_COLOR: '3', TERM: 'xterm-256color' }, { COLUMNS: 'wide' }, { COLUMNS: '-5' }, { COLUMNS: '0' }, { LINES: '1' }])(
    'is plain text when piped, under %o',
    async (env) => {
      const { code, out } = await tickover(['run', SOLENOID], { env });
      expect(code).toBe(0);
      expectWithin(out, 80);
    },
  );

  test('is the same bytes twice, roughness included', async () => {
    const args = ['run', SOLENOID, '--set', 'engine.roughness=8 %'];
    const [a, b, other] = await Promise.all([tickover(args), tickover(args), tickover([...args, '--set', 'run.seed=2'])]);
    expect(a).toEqual(b);
    expect(other.out).not.toBe(a.out);
  });

  test('of a suite has every drill, and its name', async () => {
    const { out } = await tickover(['run', 'scenarios/gains.yaml']);
    for (const drill of ['load on and off', 'steering pulse', 'free-rev return']) expect(out).toContain(`Gains for the 1.8 L four with a solenoid · ${drill}\n`);
  });

  test('lets nothing of a title act on the terminal', async () => {
    const { code, out } = await tickover(['run', put('title.yaml', `${SHORT.replace('title: short', 'title: "a\\e[31mred\\a \\u202Eback\\r\\nnext\\u200B"')}`)]);
    expect(code).toBe(0);
    expect(out.split('\n')[0]).toMatch(/^ared +back next$/);
  });

  test('--step-check says what the fixed step costs: next to nothing, but not nothing', async () => {
    const { out } = await tickover(['run', SOLENOID, '--step-check'], { columns: 200 });
    const [, step, rpm, kpa] = /^Step check: ([\d.]+) ms fixed against an adaptive integrator .* at most ([\d.e-]+) rpm apart \(at [\d.]+ s\), ([\d.e-]+) kPa \(at [\d.]+ s\)$/m.exec(out)!.map(Number);
    expect(step).toBe(1);
    expect(rpm).toBeGreaterThan(0);
    expect(rpm).toBeLessThan(1);
    expect(kpa).toBeGreaterThan(0);
    expect(kpa).toBeLessThan(0.1);
  });

  test('--step-check costs more with a longer step', async () => {
    const cost = async (step: string): Promise<number> => {
      const { out } = await tickover(['run', SOLENOID, '--step-check', '--json', '--set', `run.step=${step}`]);
      return (JSON.parse(out) as { stepCheck: { speedRpm: number } }).stepCheck.speedRpm;
    };
    const [short, long] = await Promise.all([cost('0.25 ms'), cost('1.25 ms')]);
    expect(long).toBeGreaterThan(2 * short);
  });
});

describe('exit codes', () => {
  test('0 when it holds; 1 when a stated limit is missed, or it stalls; 2 for bad input', async () => {
    const codes = await Promise.all([
      tickover(['run', SOLENOID]),
      tickover(['run', SOLENOID, '--set', 'limits.sag=20 rpm']),
      tickover(['run', SOLENOID, '--set', 'drill.events=[{do: load, at: 1 s, torque: 60 N m}]']),
      tickover(['run', SOLENOID, '--set', 'limits.sag=minus']),
    ]);
    expect(codes.map(({ code }) => code)).toEqual([0, 1, 1, 2]);
    expect(codes[1]!.out).toMatch(/^Misses a limit: sag \d+ rpm at 2\.0 s \(load\), allowed up to 20/m);
    expect(codes[2]!.out).toMatch(/^Stalls 1\.\d+ s into the run/m);
  });
});

describe('--json', () => {
  const parse = async (args: readonly string[]) => JSON.parse((await tickover(['run', ...args, '--json'])).out) as Record<string, unknown>;

  test('is one object: scenario, stalled, events with their metrics, metrics, score', async () => {
    const object = await parse([SOLENOID]);
    expect(object).toMatchObject({ scenario: '1.8 L four, solenoid, load on and off', file: SOLENOID, stalled: false, stallTimeS: null, missed: [], score: expect.any(Number), verdict: expect.stringMatching(/^Holds/) });
    const events = object.events as readonly Record<string, unknown>[];
    expect(events.map(({ atS, name }) => [atS, name])).toEqual([[2, 'load'], [9, 'load']]);
    for (const numbers of [...events, object.metrics as Record<string, unknown>]) {
      for (const name of METRICS) {
        if (numbers[name] === null) expect((numbers.reasons as Record<string, string>)[name]).toMatch(/\w{3}/);
        else expect(Number.isFinite(numbers[name])).toBe(true);
      }
    }
    expect(events[0]!.sagRpm).toBeGreaterThan(100);
    expect(events[1]!.flareRpm).toBeGreaterThan(100);
    expect(object).not.toHaveProperty('trace');
  });

  test('says when and why it stalled', async () => {
    const object = await parse(['scenarios/studies/free-rev-early.yaml']);
    expect(object).toMatchObject({ stalled: true, stallTimeS: expect.any(Number), end: { engine: 'stalled', because: expect.stringMatching(/stalled: /) } });
    expect(object.stallTimeS).toBeGreaterThan(3);
    expect(object.score).toBeGreaterThan(100);
  });

  test('with --trace holds named columns with units, all of one length', async () => {
    const { trace } = (await parse([SOLENOID, '--trace'])) as { trace: { rows: number; columns: Record<string, { unit: string; meaning: string; values: number[] }> } };
    expect(trace.rows).toBe(1501);
    for (const { values, unit, meaning } of Object.values(trace.columns)) {
      expect(values).toHaveLength(1501);
      expect(values.every(Number.isFinite)).toBe(true);
      expect([unit.length > 0, meaning.length > 0]).toEqual([true, true]);
    }
    expect(Object.fromEntries(['timeS', 'speedRpm', 'air', 'mapKpa', 'airGs', 'sparkDeg'].map((name) => [name, trace.columns[name]!.unit]))).toEqual({
      timeS: 's', speedRpm: 'rpm', air: '%', mapKpa: 'kPa', airGs: 'g/s', sparkDeg: '°BTDC',
    });
    expect(trace.columns.timeS!.values.at(-1)).toBe(15);
  });

  test('tells a stepper’s air in steps', async () => {
    const { trace } = (await parse(['scenarios/stepper.yaml', '--trace'])) as { trace: { columns: Record<string, { unit: string }> } };
    expect(trace.columns.air!.unit).toBe('step');
  });

  test('of a suite has a run each, and the score of the whole, their mean', async () => {
    const { runs, score } = (await parse(['scenarios/gains.yaml'])) as { runs: readonly { score: number }[]; score: number };
    expect(runs).toHaveLength(3);
    expect(score).toBeCloseTo(runs.reduce((sum, run) => sum + run.score, 0) / 3, 12);
  });

  test('--trace alone is refused', async () => {
    await refused(['run', SOLENOID, '--trace'], /^--trace goes with --json/);
  });
});

describe('--csv', () => {
  test('has a head of names, units, and a row each; the report is printed as well', async () => {
    const file = join(folder, 'trace.csv');
    const { code, out } = await tickover(['run', SOLENOID, '--csv', file]);
    expect(code).toBe(0);
    expect(out).toContain('Holds: ');
    const lines = readFileSync(file, 'utf8').split('\r\n');
    expect(lines).toHaveLength(1501 + 3);
    expect(lines.at(-1)).toBe('');
    expect(lines[0]!.split(',').slice(0, 3)).toEqual(['timeS', 'speedRpm', 'sensedRpm']);
    expect(lines[1]!.split(',').slice(0, 3)).toEqual(['s', 'rpm', 'rpm']);
    const width = lines[0]!.split(',').length;
    expect(lines.slice(0, -1).every((line) => line.split(',').length === width)).toBe(true);
    expect(lines.slice(2, -1).every((line) => line.split(',').every((field) => Number.isFinite(Number(field)) && field !== ''))).toBe(true);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
  });

  test('takes the place of a file, and follows a link to it', async () => {
    const [file, link] = [put('old.csv', 'old'), join(folder, 'link.csv')];
    symlinkSync(file, link);
    expect((await tickover(['run', put('short.yaml', SHORT), '--csv', link])).code).toBe(0);
    expect(readFileSync(file, 'utf8')).toMatch(/^timeS,/);
    expect(readFileSync(link, 'utf8')).toBe(readFileSync(file, 'utf8'));
  });

  test('is refused before anything is run, where it could not be written', async () => {
    const inside = join(folder, 'a-folder');
    mkdirSync(inside);
    const [file, before] = [put('file.csv', 'kept'), readdirSync(folder).sort()];
    await refused(['run', SOLENOID, '--csv', '/nowhere/at/all.csv'], /^\/nowhere\/at\/all\.csv: cannot be written: the folder is not there$/m);
    await refused(['run', SOLENOID, '--csv', inside], /cannot be written: it is a folder/);
    await refused(['run', SOLENOID, '--csv', `${inside}/`], /cannot be written: it is a folder/);
    await refused(['run', SOLENOID, '--csv', join(file, 'x.csv')], /cannot be written: part of the path is not a folder/);
    await refused(['run', SOLENOID, '--csv', join(folder, 'x'.repeat(300))], /cannot be written: the name is too long/);
    await refused(['run', SOLENOID, '--csv', ''], /the name of a file is wanted/);
    expect(readdirSync(folder).sort()).toEqual(before);
    expect(readFileSync(file, 'utf8')).toBe('kept');
  });

  test('never takes the place of a scenario', async () => {
    const [mine, bare] = [put('mine.yaml', SHORT), put('bare', SHORT)];
    await refused(['run', mine, '--csv', mine], /is a scenario file/);
    await refused(['run', bare, '--csv', bare], /is a scenario file/);
    await refused(['run', bare, '--csv', mine], /is a scenario file/);
    expect([mine, bare].map((file) => readFileSync(file, 'utf8'))).toEqual([SHORT, SHORT]);
  });

  test('leaves a file as it was when the scenario is bad', async () => {
    const file = put('kept.csv', 'kept');
    await refused(['run', put('bad.yaml', 'engine: {inertia: heavy}'), '--csv', file], /inertia/);
    expect(readFileSync(file, 'utf8')).toBe('kept');
  });

  test('that breaks off in the middle leaves what was there, and nothing beside it', async () => {
    const file = put('middle.csv', 'kept');
    const before = readdirSync(folder).sort();
    // no file may grow beyond 16 KiB
    const said = await shell(`ulimit -f 16; $TICKOVER run ${SOLENOID} --csv ${file}`);
    expectPlain(said);
    expect([said.code, said.out]).toEqual([2, '']);
    expect(said.err).toMatch(/middle\.csv: cannot be written: /);
    expect(readFileSync(file, 'utf8')).toBe('kept');
    expect(readdirSync(folder).sort()).toEqual(before);
  });

  test.runIf(existsSync('/dev/full'))('to a device that is full says so, and to one that takes all is fine', async () => {
    await refused(['run', SOLENOID, '--csv', '/dev/full'], /^\/dev\/full: cannot be written: the disk is full$/m);
    expect((await tickover(['run', SOLENOID, '--csv', '/dev/null'])).code).toBe(0);
    expect(existsSync('/dev/null')).toBe(true);
  });

  test('of a suite is refused: several traces do not fit into one file', async () => {
    await refused(['run', 'scenarios/gains.yaml', '--csv', join(folder, 'suite.csv')], /holds 3 drills \(load on and off, steering pulse, free-rev return\).*\nrun one at a time: --drill with a part of its name/);
    expect(existsSync(join(folder, 'suite.csv'))).toBe(false);
  });
});

describe('--csv -', () => {
  test('is the table on standard output and nothing else there', async () => {
    const file = join(folder, 'same.csv');
    const [piped, kept] = [await tickover(['run', SOLENOID, '--csv', '-']), await tickover(['run', SOLENOID, '--csv', file])];
    expect([piped.code, piped.err, kept.code]).toEqual([0, '', 0]);
    expect(piped.out).toBe(readFileSync(file, 'utf8'));
    expect(existsSync('-')).toBe(false);
  });

  test('beside --json is refused: both want standard output', async () => {
    await refused(['run', SOLENOID, '--csv', '-', '--json'], /^--csv - and --json both write to standard output/);
    await refused(['sweep', SOLENOID, '--vary', 'controller.pid.ki=0.01,0.02', '--csv', '-', '--json'], /^--csv - and --json both/);
  });
});

describe('a start that the valve cannot hold at rest', () => {
  const FAST = ['--set', 'controller.target=[[80, 3000]]'];
  const NOTE = /^Note: 3000 rpm needs 1\d\d % of the valve; it gives 100 %: the run does not start\n {2}at rest\.$/m;

  test('is told by check and by run, before the charts, with the exit code as it would be', async () => {
    const [checked, held, run] = await Promise.all([tickover(['check', SOLENOID, ...FAST]), tickover(['check', SOLENOID]), tickover(['run', SOLENOID, ...FAST])]);
    expect([checked.code, held.code]).toEqual([0, 0]);
    expect(checked.out).toMatch(NOTE);
    expect(held.out).not.toContain('Note:');
    expect(run.out).toMatch(NOTE);
    expect(run.out.indexOf('Note:')).toBeLessThan(run.out.indexOf('speed, rpm'));
  });

  test('is told in JSON, and beside a table on standard error', async () => {
    const [run, check, csv] = await Promise.all([tickover(['run', SOLENOID, ...FAST, '--json']), tickover(['check', SOLENOID, ...FAST, '--json']), tickover(['run', SOLENOID, ...FAST, '--csv', '-'])]);
    const wanted = [expect.stringMatching(/^3000 rpm needs/)];
    expect((JSON.parse(run.out) as { warnings: unknown }).warnings).toEqual(wanted);
    expect((JSON.parse(check.out) as { scenarios: readonly { warnings: unknown }[] }).scenarios[0]!.warnings).toEqual(wanted);
    expect(csv.out).toMatch(/^timeS,/);
    expect(csv.err).toMatch(/^Note: 3000 rpm needs/);
  });
});

describe('a reader that goes away', () => {
  test.each(['run scenarios/solenoid.yaml --json --trace', 'check scenarios/solenoid.yaml', 'schema', 'run scenarios/gains.yaml'])('%s | head -1 is quiet', async (args) => {
    const said = await shell(`$TICKOVER ${args} | head -1; echo "code \${PIPESTATUS[0]}"`);
    expectPlain(said);
    expect(said.err).toBe('');
    expect(said.out).toMatch(/^.+\ncode 0\n$/);
  });

  test('of standard error is quiet too, and the code is still 2', async () => {
    const many = put('many.yaml', `engine:\n${Array.from({ length: 2000 }, (_, i) => `  wrong${i}: 1\n`).join('')}`);
    const said = await shell(`$TICKOVER check ${many} 2>&1 >/dev/null | head -1; echo "code \${PIPESTATUS[0]}"`);
    expectPlain(said);
    expect(said.out).toMatch(/^.*many\.yaml:2:3 .*\ncode 2\n$/);
  });
});
