import { describe, expect, it } from 'vitest';
import { controllerTable } from '../../src/controller/parameters.js';
import { drillTable, runTable } from '../../src/loop/parameters.js';
import { fill } from '../../src/parameter/fill.js';
import { toSI } from '../../src/parameter/unit.js';
import { engineTable } from '../../src/plant/engine.js';
import { loadScenario, loadScenarioOrThrow, ScenarioError } from '../../src/scenario/index.js';
import { limitsTable, scoringTable } from '../../src/score/parameters.js';
import { load, loadAll, problems, reader } from './files.js';

describe('a scenario file', () => {
  it('that says nothing but a title is all defaults, those of the tables', async () => {
    const scenario = await load('title: nothing else\n');
    expect(scenario.title).toBe('nothing else');
    expect(scenario.engine).toEqual({ model: 'mean-value', ...fill(engineTable) });
    expect(scenario.controller).toEqual({ ...fill(controllerTable), airFull: 100 });
    expect(scenario.drill).toEqual(fill(drillTable));
    expect(scenario.run).toEqual(fill(runTable));
    expect(scenario.limits).toEqual(fill(limitsTable));
    expect(scenario.scoring).toEqual(fill(scoringTable));
  });

  it('is read into what the tables make of the same numbers', async () => {
    const scenario = await load(`
engine:
  inertia: 0.2
  displacement: 1500 cm^3
  fuel: { lambda: [[-20 degC, 0.8], [176 degF, 1]] }
  driveline: { gears: [8, 15 km/h] }
  throttle: { leak: { by: area, area: 4 mm² } }
controller:
  target: [[-20, 1200], [80, 750 rpm]]
  pid: { antiWindup: back-calculation, kp: 0.03 %/rpm }
  loads: [{ name: fan, air: 2 %, lead: 800 ms }]
drill:
  name: a load
  start: { settled: no, coolant: 20 °C }
  events:
    - { at: 2 s, do: load, name: fan, torque: 8 N m }
    - { at: 6, do: target, add: 100 }
run: { duration: 0.5 minute, seed: 7 }
limits: { sag: 100 rpm }
scoring: { weights: { sag: 2 } }
`);
    const engine = fill(engineTable, {
      inertia: 0.2,
      displacement: 1.5e-3,
      fuel: { lambda: { x: [toSI(-20, 'degC'), 353.15], y: [0.8, 1] } },
      driveline: { gears: [8 / 3.6, 15 / 3.6] },
      throttle: { leak: { by: 'area', area: 4e-6 } },
    });
    expect(scenario.engine).toEqual({
      model: 'mean-value',
      ...engine,
      displacement: expect.closeTo(1.5e-3, 15),
      fuel: { ...engine.fuel, lambda: { x: [toSI(-20, 'degC'), expect.closeTo(353.15, 9)], y: [0.8, 1] } },
      driveline: { ...engine.driveline, gears: [expect.closeTo(8 / 3.6, 14), expect.closeTo(15 / 3.6, 14)] },
      throttle: { ...engine.throttle, leak: { by: 'area', area: expect.closeTo(4e-6, 18), discharge: 0.75 } },
    });
    expect(scenario.controller).toEqual({
      ...fill(controllerTable, {
        targetRpm: { x: [-20, 80], y: [1200, 750] },
        pid: { antiWindup: 'back-calculation', kp: 0.03 },
        loads: [{ name: 'fan', air: 2, speedUpRpm: 0, leadS: 0.8 }],
      }),
      airFull: 100,
    });
    expect(scenario.drill.start).toMatchObject({ settled: false, coolant: 293.15 });
    expect(scenario.drill.events.map((event) => [event.at, event.do])).toEqual([
      [2, 'load'],
      [6, 'target'],
    ]);
    expect(scenario.run).toMatchObject({ duration: 30, seed: 7 });
    expect(scenario.limits.sagRpm).toBe(100);
    expect(scenario.scoring.weights.sagRpm).toBe(2);
  });

  it('may take null for what need not be given, which undoes a number from elsewhere', async () => {
    const texts = {
      'a.yaml': 'controller: { from: c.yaml, entry: { forcedAfter: null } }\n',
      'c.yaml': 'entry: { forcedAfter: 2, window: 90 }\n',
    };
    expect((await load(texts)).controller.entry).toMatchObject({ forcedAfterS: null, windowRpm: 90 });
  });

  it('can use anchors and aliases', async () => {
    const scenario = await load('drill:\n  events:\n    - &e { at: 1, do: mark }\n    - *e\n');
    expect(scenario.drill.events).toHaveLength(2);
  });

  it('may start with a byte-order mark and end its lines the other way', async () => {
    expect((await load('\ufefftitle: marked\r\nengine:\r\n  inertia: 0.3\r\n')).engine.inertia).toBe(0.3);
  });

  it('may hold the other plant, which has no gears', async () => {
    expect((await load('engine: { model: regression, airFuel: 14.2 }\n')).engine).toMatchObject({
      model: 'regression',
      airFuel: 14.2,
    });
    expect(await problems('engine: { model: regression }\ndrill: { events: [{ at: 1, do: gear, gear: 1 }] }\n')).toEqual([
      's.yaml:2:32  drill.events.0.do: the regression model has no gears',
    ]);
  });

  it('that is a suite gives one scenario a drill, all else the same', async () => {
    const { scenarios } = await loadAll({
      'suite.yaml': 'title: both\nengine: { inertia: 0.3 }\ndrills:\n  - { from: d/one.yaml, name: first }\n  - name: second\n',
      'd/one.yaml': 'name: one\nevents: [{ at: 1, do: mark }]\n',
    });
    expect(scenarios.map((s) => [s.title, s.drill.name, s.drill.events.length])).toEqual([
      ['both', 'first', 1],
      ['both', 'second', 0],
    ]);
    expect(scenarios[0]!.engine).toEqual(scenarios[1]!.engine);
  });

  it('throws all its problems at once for those who ask that', async () => {
    const asked = loadScenarioOrThrow('s.yaml', { read: reader({ 's.yaml': 'engine: { inertia: 9, cylinders: 0 }\n' }) });
    await expect(asked).rejects.toBeInstanceOf(ScenarioError);
    await expect(asked).rejects.toMatchObject({ problems: [{ path: 'engine.inertia' }, { path: 'engine.cylinders' }] });
  });
});

describe("rows in the valve's unit", () => {
  it('scale their defaults with the steps of a stepper, and the range follows', async () => {
    const { controller } = await load('valve: { kind: stepper, steps: 250 }\n');
    expect(controller.airFull).toBe(250);
    expect(controller.base.y).toEqual([187.5, 125, 82.5, 67.5]);
    expect(controller.clamp).toEqual({ lowest: 0, highest: 250 });
    expect(controller.pid).toMatchObject({ kp: 0.05, ki: 0.05, kd: 0.0125 });
  });

  it('take steps with a stepper and % with a solenoid, ranges scaled', async () => {
    expect(
      (await load('valve: { kind: stepper }\ncontroller: { pid: { kp: 0.4 step/rpm }, hold: 150 step }\n')).controller,
    ).toMatchObject({ pid: { kp: 0.4 }, hold: 150 });
    expect(await problems('controller:\n  pid: { kp: 0.4 step/rpm }\n  hold: 150\n')).toEqual([
      's.yaml:2:14  controller.pid.kp: 0.4 step/rpm is not in %/rpm',
      's.yaml:3:9  controller.hold: 150 % is outside 0 … 100 %',
    ]);
    expect(await problems('valve: { kind: stepper }\ncontroller: { hold: 201, base: [[20, 40 %]] }\n')).toEqual([
      's.yaml:2:21  controller.hold: 201 step is outside 0 … 200 step',
      's.yaml:2:38  controller.base.0.1: 40 % is not in step',
    ]);
  });

  it('are scaled too where single points of a default curve are set', async () => {
    const { controller } = await load('valve: { kind: stepper }\n', ['controller.base.1.1=90']);
    expect(controller.base).toEqual({ x: [-20, 20, 60, 80], y: [150, 90, 66, 54] });
    expect(await problems('valve: { kind: stepper }\n', ['controller.base.1.0=70', 'controller.base.2.1=300'])).toEqual([
      '--set  controller.base.2.1: 300 step is outside 0 … 200 step',
      '--set  controller.base.2.0: 60 does not lie above 70 before it; coolant must ascend',
    ]);
  });

  it('are not judged while the valve is not understood', async () => {
    expect(await problems('valve: { kind: steper }\ncontroller: { hold: 150 step }\n')).toEqual([
      's.yaml:1:16  valve.kind: steper is none of solenoid, stepper, throttle-motor; did you mean stepper?',
    ]);
    expect(
      await problems({ 'a.yaml': 'valve: { from: v.yaml }\ncontroller: { hold: 150 step }\n', 'v.yaml': 'kind: [\n' }),
    ).toEqual([expect.stringMatching(/^v\.yaml:\d+:\d+ {2}is not YAML/)]);
  });
});

describe('the entries', () => {
  it('say each setting once, in its unit, with where it was given or where its default comes from', async () => {
    const { entries } = await loadAll(
      {
        'a.yaml': 'engine:\n  from: e.yaml\ncontroller: { base: [[0 degC, 50], [80, 30 %]] }\n',
        'e.yaml': 'inertia: 5 lb ft^2\ndisplacement: 1.5\n',
      },
      ['run.seed=3'],
    );
    const by = new Map(entries[0]!.map((entry) => [entry.path, entry]));
    expect(by.size).toBe(entries[0]!.length);
    expect(by.get('engine.inertia')).toEqual({ path: 'engine.inertia', text: '0.2107005505 kg m^2', origin: 'e.yaml:1:10' });
    expect(by.get('engine.displacement')!.text).toBe('1.5 L');
    expect(by.get('run.seed')).toEqual({ path: 'run.seed', text: '3', origin: '--set' });
    expect(by.get('controller.base')).toEqual({
      path: 'controller.base',
      text: '0 degC: 50 %, 80 degC: 30 %',
      origin: 'a.yaml:3:21',
    });
    expect(by.get('controller.range')).toEqual({
      path: 'controller.range',
      text: '100 %',
      origin: 'default',
      source: 'the range of the valve',
    });
    expect(by.get('engine.crank.stall')).toMatchObject({
      text: '300 rpm',
      origin: 'default',
      source: expect.stringContaining('assumed'),
    });
    expect(by.get('drill.events')!.text).toBe('none');
    expect(by.get('controller.entry.forcedAfter')!.text).toBe('not given');
    expect(by.get('valve.kind')!.text).toBe('solenoid');
  });
});

it('a loaded scenario is plain data: it survives the way to a worker', async () => {
  const scenario = await load('engine: { inertia: 0.3 }\nvalve: { kind: stepper }\n');
  expect(structuredClone(scenario)).toEqual(scenario);
  expect(JSON.parse(JSON.stringify(scenario))).toEqual(scenario);
});

it('the reader is asked for each file once', async () => {
  const asked: string[] = [];
  const read = reader({ 'a.yaml': 'drills: [{ from: d.yaml }, { from: ./d.yaml }]\n', 'd.yaml': 'name: d\n' });
  await loadScenario('a.yaml', {
    read(path) {
      asked.push(path);
      return read(path);
    },
  });
  expect(asked).toEqual(['a.yaml', 'd.yaml']);
});
