import { describe, expect, it } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { formatProblem, loadScenario } from '../../src/scenario/index.js';
import { loadAll, problems, reader, type Texts } from './files.js';

const SUITE = `
engine: {inertia: 0.2}
run: {duration: 5}
limits: {sag: 100}
drills:
  - {name: plain}
  - name: high
    engine: {ambient: {altitude: 2000 m}}
    limits: {flare: 300}
  - {name: long, run: {duration: 60}}
`;
const altitudes = ({ scenarios }: Awaited<ReturnType<typeof loadAll>>): readonly unknown[] =>
  scenarios.map(({ engine }) => (engine.model === 'mean-value' ? engine.ambient.altitude : null));

describe('a drill with sections of its own', () => {
  it('has them laid over those of its file, key by key, and the others have not', async () => {
    const all = await loadAll(SUITE);
    expect(altitudes(all)).toEqual([0, 2000, 0]);
    expect(all.scenarios.map(({ engine }) => engine.inertia)).toEqual([0.2, 0.2, 0.2]);
    expect(all.scenarios.map(({ run }) => run.duration)).toEqual([5, 5, 60]);
    expect(all.scenarios.map(({ limits }) => [limits.sagRpm, limits.flareRpm])).toEqual([[100, null], [100, 300], [100, null]]);
  });

  it('is told apart in where each setting came from', async () => {
    const { entries } = await loadAll(SUITE);
    const origin = (drill: number, path: string) => entries[drill]!.find((entry) => entry.path === path)!.origin;
    expect(origin(1, 'engine.ambient.altitude')).toBe('s.yaml:8:34');
    expect(origin(0, 'engine.ambient.altitude')).toMatch(/^default/);
    expect(origin(1, 'engine.inertia')).toBe('s.yaml:2:19');
  });

  it('runs with them: the thin air takes a wider opening', async () => {
    const { scenarios } = await loadAll(SUITE);
    const air = scenarios.map((scenario) => simulate(scenario).columns.air[0]!);
    expect(air[1]).toBeGreaterThan(air[0]! * 1.05);
    expect(air[2]).toBe(air[0]);
  });

  const files = (more: Texts): Texts => ({ 's.yaml': 'engine: {inertia: 0.2, cylinders: 6}\ndrill: {from: d/a.yaml, engine: {manifold: {volume: 4 L}}}\n', ...more });

  it('brings them from its own file, and what comes from another stands beside that one', async () => {
    const { scenarios } = await loadAll(files({ 'd/a.yaml': 'name: a\nrun: {duration: 7}\nengine: {inertia: 0.3}\n' }));
    const [{ engine, run }] = scenarios as [(typeof scenarios)[0]];
    expect([engine.inertia, run.duration]).toEqual([0.3, 7]);
    expect(engine).toMatchObject({ cylinders: 6, manifold: { volume: expect.closeTo(0.004, 12) } });
  });

  it('takes an engine that comes from a file in place of the one of its own file', async () => {
    const { scenarios } = await loadAll(files({ 'd/a.yaml': 'engine: {from: e.yaml}\n', 'd/e.yaml': 'displacement: 2.5 L\n' }));
    const [{ engine }] = scenarios as [(typeof scenarios)[0]];
    expect(engine).toMatchObject({ displacement: expect.closeTo(0.0025, 12), cylinders: 4, inertia: 0.15, manifold: { volume: expect.closeTo(0.004, 12) } });
  });

  it('is changed by --set like any other, all drills or one', async () => {
    expect(altitudes(await loadAll(SUITE, ['engine.ambient.altitude=500']))).toEqual([500, 500, 500]);
    expect(altitudes(await loadAll(SUITE, ['drills.2.engine.ambient.altitude=500']))).toEqual([0, 2000, 500]);
    expect(altitudes(await loadAll(SUITE, ['drills.1.engine.ambient.altitude=500', 'engine.inertia=0.4']))).toEqual([0, 500, 0]);
    expect((await loadAll(SUITE, ['drill.run.duration=3'])).scenarios.map(({ run }) => run.duration)).toEqual([3, 3, 3]);
    expect((await loadAll('drill: {name: a}\n', ['drill.run.duration=3'])).scenarios[0]!.run.duration).toBe(3);
    expect((await loadAll('drill: {name: a}\n', ['drill.name=b'])).scenarios[0]!.drill.name).toBe('b');
  });

  it('may change a variant, whose old keys then go', async () => {
    const { scenarios } = await loadAll('engine: {friction: {law: polynomial, torque: 20}}\ndrills: [{engine: {friction: {law: barnes-moss}}}, {}]\n');
    expect(scenarios.map(({ engine }) => (engine.model === 'mean-value' ? engine.friction.law : ''))).toEqual(['barnes-moss', 'polynomial']);
  });
});

describe('a drill whose own sections are wrong', () => {
  it('is told at the place, under its number', async () => {
    expect(await problems('drills:\n  - {name: a}\n  - engine: {inertai: 1, inertia: 9}\n    run: {duration: 4 kg}\n')).toEqual([
      expect.stringMatching(/^s\.yaml:3:14 {2}drills\.1\.engine\.inertai: unknown key.*did you mean inertia\?$/),
      expect.stringMatching(/^s\.yaml:3:35 {2}drills\.1\.engine\.inertia: 9 kg m\^2 is outside/),
      expect.stringMatching(/^s\.yaml:4:21 {2}drills\.1\.run\.duration: .*kg/),
    ]);
  });

  it('is told what its file shares just once', async () => {
    const found = await problems('engine: {inertai: 1}\ndrills: [{engine: {cylinders: 6}}, {engine: {cylinders: 8}}]\n');
    expect(found).toEqual([expect.stringMatching(/^s\.yaml:1:10 {2}engine\.inertai: unknown key/)]);
  });

  it('is told when only it contradicts itself', async () => {
    expect(await problems('drills:\n  - {}\n  - {engine: {crank: {stall: 600 rpm}}}\n')).toEqual([expect.stringMatching(/^s\.yaml:3:30 {2}drills\.1\.engine\.crank\.stall: catch .* must lie above stall 600 rpm$/)]);
    expect(await problems('drills:\n  - {}\n  - {run: {step: 0.7 ms}}\n')).toEqual([expect.stringMatching(/^s\.yaml:3:18 {2}drills\.1\.run\.step: 0\.01 s/), expect.stringMatching(/^s\.yaml:3:18 {2}drills\.1\.run\.step: 0\.02 s/)]);
  });

  it('cannot have a valve or a controller of its own, and is told so', async () => {
    expect(await problems('drills:\n  - {name: a, valve: {kind: stepper}}\n  - controller: {period: 10 ms}\n')).toEqual([
      's.yaml:2:15  drills.0.valve: all drills of a file share its valve; another valve is another file. A drill may have its own engine, run, limits, scoring',
      expect.stringMatching(/^s\.yaml:3:5 {2}drills\.1\.controller: all drills of a file share its controller/),
    ]);
  });

  it('is told of a file that is not there, and of circles', async () => {
    expect(await problems('drills: [{engine: {from: none.yaml}}]\n')).toEqual([expect.stringMatching(/^s\.yaml:1:26 {2}drills\.0\.engine\.from: none\.yaml cannot be read/)]);
    const circle = await problems({ 's.yaml': 'drill: {from: a.yaml}\n', 'a.yaml': 'engine: {from: a.yaml}\n' });
    expect(circle).toEqual([expect.stringMatching(/^a\.yaml:1:16 {2}drill\.engine\.from: goes in a circle/)]);
  });

  it('cannot be set whole, nor set where there is no such drill', async () => {
    const set = (text: string) => loadScenario('s', { read: reader({ s: 'drills: [{}, {}]' }), set: [text] }).then((l) => l.problems.map(formatProblem));
    expect(await set('drills.0.engine=4')).toEqual(['--set  drills.0.engine: cannot be set whole; set its keys one by one']);
    expect(await set('drills.2.engine.inertia=0.2')).toEqual(['--set  drills.2.engine.inertia: 2 is none of the drills, 0 to 1']);
    expect(await set('drills.1.engine.inertia=9')).toEqual([expect.stringMatching(/^--set {2}drills\.1\.engine\.inertia: 9 kg m\^2 is outside/)]);
    expect(await set('drill.engine.inertai=0.2')).toEqual([expect.stringMatching(/^--set {2}drills\.0\.engine\.inertai: unknown key.*did you mean inertia\?$/)]);
  });
});
