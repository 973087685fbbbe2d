import { describe, expect, it } from 'vitest';
import { numericKeys, withValues } from '../../src/scenario/index.js';
import { load } from './files.js';

const TEXT = `
engine: { driveline: { gears: [8, 15] }, friction: { law: polynomial } }
controller:
  base: [[-20, 150], [80, 60]]
  loads: [{ name: fan, air: 10 }]
drill: { events: [{ at: 1, do: load, torque: 5 }, { at: 2, do: gear, gear: 1 }] }
valve: { kind: stepper, steps: 200 }
`;

describe('the numeric keys of a scenario', async () => {
  const scenario = await load(TEXT);
  const keys = numericKeys(scenario);
  const by = new Map(keys.map((key) => [key.path, key]));

  it('are each there once, with unit, value and range as documented', () => {
    expect(by.size).toBe(keys.length);
    expect(by.get('engine.inertia')).toEqual({
      path: 'engine.inertia',
      unit: 'kg m^2',
      value: 0.15,
      min: 0.01,
      max: 2,
      integer: false,
    });
    expect(by.get('engine.crank.stall')).toMatchObject({ unit: 'rpm', value: 300 });
    expect(by.get('engine.manifold.temperature')).toMatchObject({ unit: 'degC', value: 45 });
    expect(by.get('engine.driveline.gears.1')).toMatchObject({ unit: 'km/h', value: 15, min: 2, max: 120 });
    expect(by.get('engine.friction.torque')).toMatchObject({ value: 8 });
    expect(by.has('engine.friction.fmep')).toBe(false);
    expect(by.get('controller.base.1.1')).toMatchObject({ unit: 'step', value: 60, max: 200 });
    expect(by.get('controller.base.0.0')).toMatchObject({ unit: 'degC', value: -20 });
    expect(by.get('controller.pid.kp')).toMatchObject({ unit: 'step/rpm', value: 0.04, max: 40 });
    expect(by.get('controller.entry.forcedAfter')).toMatchObject({ value: null });
    expect(by.get('drill.events.0.torque')).toMatchObject({ unit: 'N m', value: 5 });
    expect(by.get('engine.cylinders')).toMatchObject({ unit: '', integer: true });
  });

  it('are given to the last digit that a file holds', async () => {
    const exact = await load('engine: { displacement: 1.23456789012345, crank: { stall: 311.123456789012 } }\n');
    const values = new Map(numericKeys(exact).map((key) => [key.path, key.value]));
    expect([values.get('engine.displacement'), values.get('engine.crank.stall')]).toEqual([1.23456789012345, 311.123456789012]);
  });

  it('put back as they stand change nothing, to the bit', () => {
    const values = new Map(keys.filter((key) => key.value !== null).map((key) => [key.path, key.value!]));
    const { airGiven: _, ...same } = withValues(scenario, values);
    const { airGiven: __, ...before } = scenario;
    expect(same).toEqual(before);
  });
});

describe('a scenario with numbers replaced', async () => {
  const scenario = await load(TEXT);

  it('is what --set makes of the same numbers', async () => {
    for (const values of [
      { 'engine.inertia': 0.31 },
      { 'controller.pid.kp': 0.11, 'engine.crank.stall': 280 },
      { 'controller.base.1.1': 55, 'controller.target.0.1': 1000, 'engine.fuel.lambda.0.1': 0.8 },
      { 'drill.events.0.torque': 9, 'drill.events.1.at': 3, 'engine.driveline.gears.1': 14 },
      { 'controller.entry.forcedAfter': 2, 'drill.start.oil': 40, 'limits.sag': 90 },
      { 'controller.loads.0.air': 20, 'controller.loads.0.lead': 0.5 },
      { 'valve.steps': 300 },
      { 'controller.pid.ki': 0.3, 'valve.steps': 250, 'controller.hold': 240, 'valve.rate': 100 },
      { 'valve.steps': 170, 'controller.base.1.1': 33 },
      { 'run.step': 0.0005, 'run.duration': 20, 'run.seed': 5 },
    ] as readonly Record<string, number>[]) {
      const set = Object.entries(values).map(([key, value]) => `${key}=${value}`);
      const expected = await load(TEXT, set);
      const { airGiven, ...varied } = withValues(scenario, new Map(Object.entries(values)));
      const { airGiven: wanted, ...rest } = expected;
      expect(varied).toEqual(rest);
      expect([...airGiven].sort()).toEqual([...wanted].sort());
    }
  });

  it('is so too where curves are defaults', async () => {
    const bare = await load('valve: { kind: stepper }\n');
    const values = { 'valve.steps': 340, 'controller.base.1.1': 133, 'controller.clamp.lowest': 7 };
    const expected = await load(
      'valve: { kind: stepper }\n',
      Object.entries(values).map(([key, value]) => `${key}=${value}`),
    );
    expect(withValues(bare, new Map(Object.entries(values))).controller).toEqual(expected.controller);
    expect(expected.controller).toMatchObject({
      airFull: 340,
      base: { y: [255, 133, expect.closeTo(112.2, 9), expect.closeTo(91.8, 9)] },
      clamp: { lowest: 7, highest: 340 },
    });
  });

  it('is so too when it is varied twice', async () => {
    const twice = withValues(withValues(scenario, new Map([['controller.pid.kp', 0.5]])), new Map([['valve.steps', 400]]));
    const expected = await load(TEXT, ['controller.pid.kp=0.5', 'valve.steps=400']);
    expect(twice.controller).toEqual(expected.controller);
    expect(twice.controller.pid).toMatchObject({ kp: 0.5, ki: 0.08 });
    expect(twice.controller.base.y).toEqual([150, 60]);
  });

  it('leaves the one it came from as it was', () => {
    const before = structuredClone(scenario);
    withValues(
      scenario,
      new Map([
        ['controller.base.1.1', 50],
        ['valve.steps', 100 + 80],
        ['drill.events.0.torque', 1],
      ]),
    );
    expect(scenario).toEqual(before);
  });

  it('is refused for a key that is none, with the nearest, a number out of range, and a contradiction', () => {
    const put = (key: string, value: number) => () => withValues(scenario, new Map([[key, value]]));
    expect(put('controller.pid.kpp', 1)).toThrow(
      new RangeError('controller.pid.kpp: no numeric key of this scenario; did you mean controller.pid.kp?'),
    );
    for (const key of [
      'engine',
      'engine.name',
      'engine.wax',
      'engine.wax.0',
      'engine.wax.0.2',
      'engine.wax.1.0',
      'engine.inertia.x',
      '',
      '__proto__',
      'engine.__proto__',
      'engine.constructor',
      'drill.events.2.at',
      'drill.events.-1.at',
      'drill.events.length',
      'valve.lag',
      'nonsense.at.all',
    ]) {
      expect(put(key, 1)).toThrow(/no numeric key of this scenario/);
    }
    expect(put('engine.inertia', 3)).toThrow(new RangeError('engine.inertia: 3 kg m^2 is outside 0.01 … 2 kg m^2'));
    expect(put('engine.inertia', Number.NaN)).toThrow('engine.inertia: NaN kg m^2 is outside');
    expect(put('engine.cylinders', 3.5)).toThrow('3.5 is not a whole number');
    expect(put('controller.base.1.1', 201)).toThrow('201 step is outside 0 … 200 step');
    expect(put('controller.base.0.0', 90)).toThrow('coolant must ascend');
    expect(put('engine.crank.stall', 500)).toThrow('engine.crank.stall: catch 450 rpm must lie above stall 500 rpm');
    expect(put('drill.events.0.at', 5)).toThrow('drill.events.1.at: 2 s is before the event above it at 5 s');
    expect(put('valve.steps', 100)).toThrow('controller.base.0.1: 150 step is outside 0 … 100 step');
  });
});
