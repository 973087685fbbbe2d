import { describe, expect, test } from 'vitest';
import { either, whatDoes } from '../../src/setup/why.js';
import { readSuite } from '../search/suite.js';

const load = `drill: { events: [{ do: load, at: 2, torque: 6 }] }\nrun: { duration: 9 }`;
const one = async (text: string) => (await readSuite(text))[0]!;

describe('a knob', () => {
  const key = { path: 'k', unit: '', min: 0, max: 10, integer: false };

  test('is halved and doubled, within its range', () => {
    expect(either({ ...key, value: 2 })).toEqual([1, 4]);
    expect(either({ ...key, value: 8 })).toEqual([4, 10]);
  });

  test('at zero, or where it may be negative, is moved by a tenth of its range', () => {
    expect(either({ ...key, value: 0 })).toEqual([0, 1]);
    expect(either({ ...key, min: -10, value: 2 })).toEqual([0, 4]);
  });

  test('that is whole stays whole', () => {
    expect(either({ ...key, integer: true, value: 5, max: 9 })).toEqual([3, 9]);
  });
});

test('less integral settles later, far too much stalls or never settles', async () => {
  const scenario = await one(`${load}\ncontroller: { pid: { kp: 0.02, ki: 0.03, kd: 0.004 } }`);
  const { lower, higher, runs } = whatDoes(scenario, 'controller.pid.ki', { lower: 0.008, higher: 0.3 });
  expect(runs.map(({ value }) => value)).toEqual([0.008, 0.03, 0.3]);
  expect(lower).toMatch(/^lower: .*(settles later|does not settle)/);
  expect(higher).toMatch(/^higher: .*(stalls|does not settle|hunts)/);
});

test('a heavier crank sags less, and the direction turns round with the knob', async () => {
  const scenario = await one(load);
  const { lower, higher } = whatDoes(scenario, 'engine.inertia');
  expect(lower).toContain('sags deeper');
  expect(higher).toContain('sags less');
});

test('a setting that this drill does not feel is said to make no difference', async () => {
  const { lower, higher } = whatDoes(await one(load), 'engine.driveline.mass');
  expect([lower, higher]).toEqual(['lower: no difference worth speaking of', 'higher: no difference worth speaking of']);
});

test('a key that is unknown, not given, or cannot move both ways is refused by name', async () => {
  const scenario = await one(load);
  expect(() => whatDoes(scenario, 'controller.pid.kii')).toThrow('controller.pid.kii: no numeric key of this scenario; did you mean controller.pid.ki?');
  expect(() => whatDoes(scenario, 'controller.entry.forcedAfter')).toThrow('not given in this scenario; give it a value first');
  expect(() => whatDoes(scenario, 'controller.clamp.lowest')).toThrow('must lie either side of 0; say which with --lower and --higher');
  expect(() => whatDoes(scenario, 'controller.pid.ki', { lower: 0.5 })).toThrow('must lie either side');
});
