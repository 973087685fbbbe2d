import { describe, expect, it } from 'vitest';
import { toSI } from '../../src/parameter/unit.js';
import { load, loadAll, problems } from './files.js';

describe('--set', () => {
  const text =
    'engine: { inertia: 0.3 }\ncontroller: { base: [[0, 50], [80, 30]] }\ndrill: { events: [{ at: 1, do: load, torque: 5 }] }\n';

  it('sets numbers, units, text, flags, choices, list items and curve points, last of all and in order', async () => {
    const set = [
      'engine.inertia=0.5',
      'engine.inertia=5 lb ft^2',
      'title=two words: more',
      'engine.name=x',
      'drill.start.settled=no',
      'controller.entry.driven=ignored',
      'drill.events.0.torque=7',
      'controller.base.1.1=31',
      'controller.spark.base.0.1=15 deg',
      'engine.wax=[[0, 5], [60 degC, 0]]',
      'controller.entry.forcedAfter=2',
      'controller.entry.forcedAfter=null',
    ];
    const scenario = await load(text, set);
    expect(scenario.engine.inertia).toBeCloseTo(0.2107, 4);
    expect(scenario.title).toBe('two words: more');
    expect(scenario.drill).toMatchObject({ start: { settled: false }, events: [{ torque: 7 }] });
    expect(scenario.controller).toMatchObject({
      base: { x: [0, 80], y: [50, 31] },
      spark: { baseDeg: { x: [80], y: [15] } },
      entry: { driven: 'ignored', forcedAfterS: null },
    });
    expect(scenario.engine).toMatchObject({ wax: { x: [273.15, 333.15], y: [toSI(5, 'mm^2'), 0] } });
  });

  it('changes a variant that came from a file, but not one whose keys the main file says', async () => {
    expect(
      (await load({ 'a.yaml': 'valve: { from: v.yaml }\n', 'v.yaml': 'lag: 0.1\n' }, ['valve.kind=stepper'])).valve.kind,
    ).toBe('stepper');
    expect(await problems('valve: { lag: 0.1 }\n', ['valve.kind=stepper'])).toEqual([
      expect.stringMatching(/^s\.yaml:1:10 {2}valve\.lag: unknown key with kind: stepper/),
    ]);
  });

  it('means every drill of a suite by drill, and one by its number', async () => {
    const suite = 'drills:\n  - { events: [{ at: 1, do: load, torque: 5 }] }\n  - { events: [{ at: 2, do: load, torque: 6 }] }\n';
    const { scenarios } = await loadAll(suite, ['drill.events.0.torque=7', 'drills.1.events.0.at=3']);
    expect(scenarios.map(({ drill }) => drill.events[0])).toMatchObject([
      { at: 1, torque: 7 },
      { at: 3, torque: 7 },
    ]);
    expect(await problems(suite, ['drills.2.name=x', 'drills=1'])).toHaveLength(2);
  });

  it('is told off like a file, with no line', async () => {
    const told: Readonly<Record<string, string>> = {
      'engine.inertia=3 rpm': 'engine.inertia: 3 rpm is not in kg m^2',
      'engine.inertai=1': 'engine.inertai: unknown key with model: mean-value; did you mean inertia?',
      'engin.inertia=1': 'engin.inertia: unknown key; did you mean engine?',
      'drill.events.1.at=1': 'drill.events.1.at: 1 is none of its items; it has 0 to 0',
      'controller.loads.0.air=1': 'controller.loads.0.air: 0 is none of its items; it has none',
      nonsense: 'nonsense: write key=value, such as engine.inertia=0.2',
      'engine=1': 'engine: cannot be set whole; set its keys one by one',
      'engine.inertia.x=1': 'engine.inertia.x: has no key x',
      'drills.0.name=x': 'drills.0.name: there are no drills; the one is drill',
      'engine.wax=[[0, 1': 'engine.wax: a list of pairs [coolant, area] is wanted, not [[0, 1',
    };
    for (const [set, message] of Object.entries(told)) {
      expect(await problems(text, [set])).toEqual([`--set  ${message}`]);
    }
    expect(await problems(text, Object.keys(told))).toHaveLength(Object.keys(told).length);
  });
});
