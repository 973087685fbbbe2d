import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { loadScenario, numericKeys, referencePage, scenarioSchema } from '../../src/scenario/index.js';
import { load, reader } from './files.js';

// zod reads JSON Schema back: a judge of the schema that had no part in making it
// (`not`, which it does not know, apart)
const { not, ...known } = scenarioSchema() as { not: unknown } & Exclude<Parameters<typeof z.fromJSONSchema>[0], boolean>;
const judge = z.fromJSONSchema(known);
const accepts = (text: string): boolean => judge.safeParse(parse(text)).success;
const loads = async (text: string): Promise<boolean> =>
  (await loadScenario('s', { read: reader({ s: text, 'x.yaml': '{}' }) })).scenarios !== null;

describe('the JSON Schema', () => {
  it('takes what the loader takes', async () => {
    for (const text of [
      'title: t\nnotes:\n',
      'engine: { from: x.yaml, inertia: 5 lb ft^2, manifold: { volume: 3 }, friction: { law: barnes-moss, scale: 1.1 } }',
      'valve: { kind: stepper, steps: 150, rate: 150 step/s, size: { by: area, area: 50 mm² } }\ncontroller: { hold: 120, pid: { kp: 0.5 step/rpm } }',
      'controller: { base: [[-20, 75], [20 degC, 50 %]], entry: { forcedAfter: null, driven: ignored }, loads: [{ name: fan, lead: 0.8 s }] }',
      'engine: { driveline: { gears: [8] } }\ndrill: { start: { settled: no, coolant: −5 °C }, events: [{ at: 1, do: load, torque: 8 }, { at: 2.5 s, do: clutch, pedal: up }] }',
      'drills: [{ from: x.yaml }, { name: two }]\nlimits: { sag: 100 }\nscoring: { weights: { sag: 0 } }\nrun: { seed: 3 }',
      'engine: { model: regression, delay: { by: angle, angle: 300 } }',
      'drills: [{ name: high, engine: { ambient: { altitude: 2000 m } }, run: { duration: 60 }, limits: { sag: 90 } }]',
      'drill: { from: x.yaml, engine: { from: x.yaml, roughness: 5 }, scoring: { settlingBand: 40 rpm } }',
    ]) {
      expect([text, await loads(text)]).toEqual([text, true]);
      expect([text, accepts(text)]).toEqual([text, true]);
    }
  });

  it('refuses what needs no units to be refused', async () => {
    for (const text of [
      'engin: {}',
      'engine: { inertai: 0.2 }',
      'engine: { inertia: 9 }',
      'engine: { inertia: abc }',
      'engine: { inertia: "012" }',
      'engine: { cylinders: 3.5 }',
      'engine: { cylinders: 4 m }',
      'engine: { inertia: [1] }',
      'engine: { friction: { law: none } }',
      'valve: { kind: stepper, lag: 0.1 }',
      'controller: { base: [[1]] }',
      'controller: { base: [] }',
      'controller: { base: [[1, 2, 3]] }',
      'controller: { hold: 3000 }',
      'controller: { entry: { driven: perhaps } }',
      'drill: { events: [{ at: 1 }] }',
      'drill: { engine: { inertai: 1 } }',
      'drills: [{ valve: { kind: stepper } }]',
      'drill: { events: [{ do: gear, at: 1 }] }',
      'drill: { events: [{ do: mark, at: 1, torque: 2 }] }',
      'drill: { start: { settled: 1 } }',
      'drills: []',
      'controller: { loads: [{ air: 2 }] }',
      'engine: { inertia: null }',
      'engine: { from: 3 }',
      'engine: { manifold: { from: x.yaml } }',
      'from: x.yaml',
    ]) {
      expect([text, await loads(text)]).toEqual([text, false]);
      expect([text, accepts(text)]).toEqual([text, false]);
    }
  });

  it('refuses drill beside drills', () => {
    expect(not).toEqual({ required: ['drill', 'drills'] });
  });

  it('describes every key', () => {
    const walk = (node: unknown, path: string): void => {
      if (typeof node !== 'object' || node === null) return;
      for (const [key, value] of Object.entries(node as Record<string, unknown>)) {
        if (key === 'properties')
          for (const [name, property] of Object.entries(value as object))
            expect([`${path}.${name}`, typeof (property as { description?: unknown }).description]).toEqual([
              `${path}.${name}`,
              'string',
            ]);
        walk(value, `${path}.${key}`);
      }
    };
    walk(scenarioSchema(), '');
  });
});

describe('the reference page', () => {
  const page = referencePage();

  it('has a line for every key of any scenario, in sound tables', async () => {
    for (const text of [
      'title: a',
      'valve: { kind: stepper }',
      'engine: { model: regression }',
      'drill: { events: [{ at: 1, do: load }] }',
    ]) {
      for (const { path } of numericKeys(await load(text))) {
        const key = path.replace(/\.\d+\.[01]$/, '').replace(/\.\d+(?=\.|$)/g, '.0');
        expect(page).toContain(`\`${key}\``);
      }
    }
    for (const line of page.split('\n').filter((l) => l.startsWith('|'))) expect(line.split(/(?<!\\)\|/)).toHaveLength(8);
  });

  it('gives unit, default, range, meaning and source', () => {
    expect(page).toMatch(/\| `engine\.inertia` \| kg m\^2 \| `0\.15` \| 0\.01 … 2 \| crank.*\| assumed, beside 0\.14/);
    expect(page).toMatch(/\| `controller\.pid\.kp` \| %\/rpm or step\/rpm \| `0\.02` \|/);
    expect(page).toMatch(/with `kind: stepper`[\s\S]*\| `valve\.steps` \| step \| `200` \| 10 … 2000, whole \|/);
  });
});
