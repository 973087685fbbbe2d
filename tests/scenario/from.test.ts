import { describe, expect, it } from 'vitest';
import { toSI } from '../../src/parameter/unit.js';
import { load, problems } from './files.js';

describe('what comes from another file', () => {
  const four =
    'inertia: 0.3\nmanifold: { volume: 3, temperature: 50 }\nwax: [[0, 10], [80, 0]]\nfriction: { law: polynomial, torque: 9 }\n';

  it('is overridden key by key at any depth, curves whole, paths being relative to the file they stand in', async () => {
    const { engine } = await load({
      'lab/a.yaml': 'engine:\n  from: ../engines/mine.yaml\n  manifold: { volume: 4 }\n',
      'engines/mine.yaml': 'from: base/four.yaml\nwax: [[20, 5]]\ninertia: 0.4\n',
      'engines/base/four.yaml': four,
    });
    expect(engine).toMatchObject({
      inertia: 0.4,
      manifold: { volume: 0.004, temperature: 323.15 },
      wax: { x: [293.15], y: [toSI(5, 'mm^2')] },
      friction: { law: 'polynomial', torque: 9 },
    });
  });

  it('keeps its variant when single keys of it are overridden', async () => {
    const { engine } = await load({
      'a.yaml': 'engine: { from: four.yaml, friction: { torqueSpeed: 0.01 } }\n',
      'four.yaml': four,
    });
    expect(engine.model === 'mean-value' && engine.friction).toEqual({
      law: 'polynomial',
      torque: 9,
      torqueSpeed: 0.01,
      torqueSpeed2: 0,
    });
  });

  it('loses the keys of its variant when the variant is changed', async () => {
    const { engine } = await load({
      'a.yaml': 'engine: { from: four.yaml, friction: { law: barnes-moss } }\n',
      'four.yaml': four,
    });
    expect(engine.model === 'mean-value' && engine.friction).toEqual({ law: 'barnes-moss', scale: 1 });
  });

  it('keeps what both variants have when the variant is changed', async () => {
    const { valve } = await load({
      'a.yaml': 'valve: { from: v.yaml, kind: stepper }\n',
      'v.yaml': 'lag: 0.1\nflow: [[0, 5], [100, 95]]\n',
    });
    expect(valve).toMatchObject({ kind: 'stepper', flow: { x: [0, 100], y: [5, 95] } });
  });

  it('is still told off for keys that no variant has, in its own place', async () => {
    const texts = { 'a.yaml': 'valve: { from: v.yaml, kind: stepper }\n', 'v.yaml': 'lag: 0.1\nlagg: 0.1\n' };
    expect(await problems(texts)).toEqual([expect.stringMatching(/^v\.yaml:2:1 {2}valve\.lagg: unknown key/)]);
  });

  it('does not excuse keys of the wrong variant in the file itself', async () => {
    expect(
      await problems({ 'a.yaml': 'valve: { from: v.yaml, kind: stepper, lag: 0.1 }\n', 'v.yaml': 'hysteresis: 2\n' }),
    ).toEqual([expect.stringMatching(/^a\.yaml:1:39 {2}valve\.lag: unknown key with kind: stepper/)]);
  });

  it('has its problems shown in its own file, after those of the main one', async () => {
    const texts = { 'z.yaml': 'engine: { from: a.yaml }\nrun: { step: 9 }\n', 'a.yaml': '\ninertia: 99\n' };
    expect(await problems(texts)).toEqual([
      'z.yaml:2:14  run.step: 9 s is outside 0.00001 … 0.005 s',
      'a.yaml:2:10  engine.inertia: 99 kg m^2 is outside 0.01 … 2 kg m^2',
    ]);
  });

  it('may not go in a circle, be missing, be no path, or be no mapping', async () => {
    expect(
      await problems({
        'x/a.yaml': 'engine: { from: b.yaml }\n',
        'x/b.yaml': 'from: c.yaml\n',
        'x/c.yaml': 'from: ./../x/b.yaml\n',
      }),
    ).toEqual(['x/c.yaml:1:7  engine.from: goes in a circle: x/a.yaml → x/b.yaml → x/c.yaml → x/b.yaml']);
    expect(await problems({ './a.yaml': 'engine: { from: a.yaml }\n' })).toEqual([
      expect.stringContaining('goes in a circle: a.yaml → a.yaml'),
    ]);
    expect(await problems({ 'x/a.yaml': 'engine: { from: b.yaml }\n' })).toEqual([
      'x/a.yaml:1:17  engine.from: x/b.yaml cannot be read: there is no such file',
    ]);
    expect(await problems('engine: { from: [b] }\n')).toEqual([
      's.yaml:1:17  engine.from: the path of a file is wanted, not a list',
    ]);
    expect(await problems({ 'a.yaml': 'engine: { from: b.yaml }\n', 'b.yaml': '- 1\n' })).toEqual([
      'b.yaml:1:1  engine: a mapping of keys is wanted, not a list',
    ]);
    expect(await problems('from: b.yaml\n')).toEqual([
      expect.stringContaining('s.yaml:1:1  from: unknown key; from stands inside a section'),
    ]);
  });
});
