/** Every file that is shipped does what it is there for. */
import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, root, scratch, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { put } = scratch();

const yamlIn = (folder: string): string[] => readdirSync(join(root, 'scenarios', folder)).filter((name) => name.endsWith('.yaml')).map((name) => join('scenarios', folder, name));

/** A drill each; how many hold is counted below. */
const BADLY_SET = Array.from({ length: 28 }, (_, i) => (i === 0 ? /^Stalls 4\.\d+ s into the run, 2\.\d+ s after free-rev/m : i === 1 ? /^Stalls .* after clutch in/m : /^Misses \d limits: sag/m));

/** What each scenario comes to: exit code, and how its verdicts start, a drill each. */
const OUTCOMES: Readonly<Record<string, readonly [code: 0 | 1, ...verdicts: RegExp[]]>> = {
  'scenarios/solenoid.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/stepper.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/three.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/six.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/eight.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/regression.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/free-rev.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/gains.yaml': [0, /^Does not settle at 2\.0 s \(load\)/m, /^Holds: .*\(steering\)/m, /^Holds: .*\(free-rev\)/m],
  'scenarios/job.yaml': [0, ...Array.from({ length: 28 }, () => /^Holds/m)],
  'scenarios/badly-set.yaml': [1, ...BADLY_SET],
  'scenarios/badly-set-stepper.yaml': [1, ...BADLY_SET],
  'scenarios/studies/free-rev-early.yaml': [1, /^Stalls 4\.\d+ s into the run, 2\.\d+ s after free-rev/m],
  'scenarios/studies/free-rev-windowed.yaml': [0, /^Holds: deepest sag/m],
  'scenarios/studies/solenoid-pid.yaml': [0, /^Holds: .*\(load\)/m, /^Holds: .*\(steering\)/m, /^Holds: .*\(free-rev\)/m, /^Holds: .*\(clutch in\)/m],
  'scenarios/studies/stepper-integral.yaml': [0, /^Holds: .*\(load\)/m, /^Holds: .*\(steering\)/m, /^Holds: .*\(free-rev\)/m, /^Holds: .*\(clutch in\)/m],
  'scenarios/studies/altitude.yaml': [0, ...Array.from({ length: 3 }, () => /^Holds: deepest sag/m)],
  'scenarios/studies/fuel-cut.yaml': [0, /^Holds: .*\(free-rev\)/m, /^Holds: .*\(free-rev\)/m, ...Array.from({ length: 3 }, () => /^Holds: .*\(clutch in\)/m)],
  'scenarios/studies/load-air.yaml': [0, /^Holds: .*\(air-conditioner\)/m],
  'scenarios/studies/load-lead.yaml': [0, /^Holds: .*\(air-conditioner\)/m],
  'scenarios/studies/tuned-calm.yaml': [0, /^Holds: .*\(steering\)/m],
  'scenarios/studies/tuned-balanced.yaml': [0, /^Holds: .*\(steering\)/m],
  'scenarios/studies/tuned-quick.yaml': [0, /^Holds: .*\(steering\)/m],
  'scenarios/studies/wall-film.yaml': [0, ...Array.from({ length: 3 }, () => /^Holds: .*\(load\)/m), ...Array.from({ length: 3 }, () => /^Holds: .*\(free-rev\)/m)],
  'scenarios/studies/spark-rate-delay.yaml': [0, /^Holds: /m],
  'scenarios/studies/spark-rate-rough.yaml': [0, /^Holds: deepest sag/m],
};

test('every shipped scenario has its outcome stated here', () => {
  expect([...yamlIn(''), ...yamlIn('studies')].sort()).toEqual(Object.keys(OUTCOMES).sort());
});

describe.each(Object.entries(OUTCOMES))('%s', (file, [code, ...verdicts]) => {
  test('runs as it is meant to, within 80 and within 120 columns', async () => {
    const each = [80, 120].map(async (columns) => {
      const said = await tickover(['run', file], { columns });
      expect([said.code, said.err]).toEqual([code, '']);
      for (const verdict of verdicts) expect(said.out).toMatch(verdict);
      expect(said.out.match(/^(Holds|Stalls|Misses|Hunts|Does not)/gm)).toHaveLength(verdicts.length);
      expectWithin(said.out, columns);
      expect(said.out.trimEnd().split('\n').at(-1)).toBe('Simulated, not measured. Outdoors or extracted, wheels chocked, brake on.');
    });
    await Promise.all(each);
  });

  test('checks', async () => {
    const said = await tickover(['check', file], { columns: 80 });
    expect([said.code, said.err]).toEqual([0, '']);
    expectWithin(said.out, 80);
  });
});

describe('a shipped part', () => {
  const from = (path: string): string => `{from: ${JSON.stringify(join(root, path))}}`;
  const parts = ['engines', 'valves', 'controllers', 'drills'].flatMap(yamlIn);

  test.each(parts)('%s stands in a scenario of its own', async (part) => {
    const four = `engine: ${from('scenarios/engines/four-1.8.yaml')}\n`;
    const name = basename(part);
    const text = part.includes('/engines/')
      ? `engine: ${from(part)}\n`
      : part.includes('/valves/')
        ? `${four}valve: ${from(part)}\n`
        : part.includes('/controllers/')
          ? `${four}valve: ${from(`scenarios/valves/${name}`)}\ncontroller: ${from(part)}\n`
          : `engine: ${from('scenarios/engines/four-1.8-fitted.yaml')}\ndrill: ${from(part)}\n`; // some switch what hangs on a car
    const said = await tickover(['check', put(name, text)]);
    expect([said.code, said.err]).toEqual([0, '']);
    expect(said.out).toContain('Valid: ');
  });
});

test('the study of early entry can be compared as its comment says: one stalls, the other holds', async () => {
  const said = await tickover(['compare', 'scenarios/studies/free-rev-early.yaml', 'scenarios/studies/free-rev-windowed.yaml'], { columns: 80 });
  expect(said.code).toBe(1);
  expect(said.out).toMatch(/^entry at once: Stalls/m);
  expect(said.out).toMatch(/^entry windowed: Holds/m);
  expectWithin(said.out, 80);
});

/** Comments of scenarios hold command lines that readers will copy. */
test.each([
  ['scenarios/studies/spark-rate-delay.yaml', 'controller.spark.rate', 'engine.inertia'],
  ['scenarios/studies/spark-rate-rough.yaml', 'controller.spark.rate', 'engine.inertia'],
])('%s can be swept as its comment says: a heavy crank takes the highest rates', async (file, rate, inertia) => {
  const said = await tickover(['sweep', file, '--vary', `${rate}=0.1,1.5,4`, '--vary', `${inertia}=0.08,0.4`, '--json']);
  expect(said.err).toBe('');
  const { rows } = JSON.parse(said.out) as { readonly rows: readonly { readonly values: Record<string, number>; readonly missed: readonly string[] }[] };
  expect(rows).toHaveLength(6);
  const missed = (r: number, j: number): readonly string[] => rows.find(({ values }) => values[rate] === r && values[inertia] === j)!.missed;
  expect(missed(4, 0.08)).not.toEqual([]);
  expect(missed(0.1, 0.4)).toEqual([]);
  if (file.includes('delay')) expect([missed(0.1, 0.08), missed(1.5, 0.08), missed(1.5, 0.4), missed(4, 0.4)]).toEqual([[], ['huntingRpm'], [], ['huntingRpm']]);
});

describe('a drill of the whole job', () => {
  const names = async (file: string): Promise<readonly string[]> => {
    const { out } = await tickover(['check', file, '--json']);
    const { scenarios } = JSON.parse(out) as { readonly scenarios: readonly { readonly settings: readonly { readonly path: string; readonly text: string }[] }[] };
    return scenarios.map(({ settings }) => settings.find(({ path }) => path === 'drill.name')!.text);
  };

  test('runs on its own by the command in its comment, and is the only one that the command runs', async () => {
    const files = yamlIn('drills');
    const all = await names('scenarios/job.yaml');
    const run = files.map(async (file) => {
      const [, part] = /tickover run scenarios\/job\.yaml --drill ('[^']+'|\S+)$/m.exec(readFileSync(join(root, file), 'utf8')) ?? [];
      expect([file, part]).toEqual([file, expect.any(String)]);
      const wanted = part!.replaceAll("'", '');
      const found = all.includes(wanted) ? [wanted] : all.filter((name) => name.toLowerCase().includes(wanted));
      expect([file, found.length]).toEqual([file, 1]);
      return found[0]!;
    });
    expect((await Promise.all(run)).sort()).toEqual([...all].sort());
  });

  test.each(['badly-set.yaml', 'badly-set-stepper.yaml'])('is in %s too', async (file) => {
    expect(await names(`scenarios/${file}`)).toEqual(await names('scenarios/job.yaml'));
  });

  test.each(['badly-set.yaml', 'badly-set-stepper.yaml'])('%s fails at least eight of them, in more than one way', async (file) => {
    const { out, code } = await tickover(['run', `scenarios/${file}`, '--brief'], { columns: 120 });
    expect(code).toBe(1);
    const rows = out.split('\n').filter((line) => / (passes|fails|stalls) +[\d.]+ /.test(line));
    expect(rows).toHaveLength(28);
    const failing = rows.filter((line) => !/ passes /.test(line));
    expect(failing.length).toBeGreaterThanOrEqual(8);
    for (const way of [/ stalls .* stalls at /, / fails .* sag \d+ rpm, allowed/, / fails .* settling .*, allowed/]) expect(failing.some((line) => way.test(line))).toBe(true);
    expect(out).toContain(`${failing.length} of 28 drills do not pass.`);
  });
});

test('--drill runs those drills that have it in their name, and refuses a name that none has', async () => {
  const { out, code } = await tickover(['run', 'scenarios/job.yaml', '--drill', 'FAN'], { columns: 80 });
  expect(code).toBe(0);
  expect(out).toMatch(/^The idle job, 1\.8 L four with a solenoid · electric fan$/m);
  expect(out.match(/^Holds/gm)).toHaveLength(1);
  const exact = await tickover(['run', 'scenarios/job.yaml', '--drill', 'steady idle', '--brief'], { columns: 80 });
  expect(exact.out).toContain('All 1 drill pass.');
  const two = await tickover(['run', 'scenarios/job.yaml', '--drill', 'wall film', '--brief'], { columns: 80 });
  expect(two.out).toContain('All 2 drills pass.');
  await refused(['run', 'scenarios/job.yaml', '--drill', 'electric fam'], /^--drill: no drill of scenarios\/job\.yaml has electric fam in its name; did you mean electric fan\?\nits drills: cold start, −20 °C; /);
  await refused(['run', 'scenarios/job.yaml', '--drill', ' '], /--drill: no drill/);
});
