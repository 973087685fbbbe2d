import { describe, expect, test } from 'vitest';
import { either, whatDoes } from '../../src/setup/why.js';
import { readSuite } from '../search/suite.js';
import { FILES, read } from './engines.js';

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

describe('what each knob does, on the 1.8 L four with a solenoid', () => {
  const ON_AND_OFF = `engine: { inertia: 0.15 }
drill: { events: [{ do: load, at: 2, name: load, torque: 8, rise: 0.05 }, { do: load, at: 9, name: load }] }
run: { duration: 16 }
`;
  const FREE_REV = `drill: { events: [{ do: throttle, at: 2, opening: 30, until: 3000 rpm }] }
run: { duration: 15 }
`;
  const gains = 'pid: { kp: 0.02, ki: 0.03, kd: 0.004 }';
  const LOAD = 'loads: [{ name: load, air: 6.2, lead: 0.3 s }]';
  type Values = { readonly lower?: number; readonly higher?: number };
  const cases: readonly (readonly [knob: string, drill: string, controller: string, values: Values, lower: RegExp, higher: RegExp])[] = [
    ['pid.kp', ON_AND_OFF, gains, {}, /sags deeper.*flares higher/, /sags less.*flares less/],
    ['pid.kp', ON_AND_OFF, gains, { higher: 0.12 }, /sags deeper/, /hunts|stalls/],
    ['pid.ki', ON_AND_OFF, gains, { lower: 0.01 }, /settles later|does not settle/, /settles/],
    ['pid.kd', ON_AND_OFF, gains, {}, /sags deeper/, /sags less/],
    ['pid.kd', ON_AND_OFF, gains, { higher: 0.06 }, /sags deeper/, /hunts|stalls/],
    // a loop that closes far above its target winds the air down, and there is none left as the speed arrives
    ['entry.window', FREE_REV, 'pid: { kp: 0.02, ki: 0.08, kd: 0.004 }, entry: { window: 300 }', {}, /sags less/, /sags deeper|stalls/],
    ['loads.0.air', ON_AND_OFF, `${gains}, ${LOAD}`, {}, /sags deeper/, /sags deeper|stalls/],
    ['loads.0.lead', ON_AND_OFF, `${gains}, ${LOAD}`, { lower: 0, higher: 0.9 }, /sags deeper/, /flares higher/],
    ['openAir.dashpot', FREE_REV, `${gains}, openAir: { dashpot: 5 }`, {}, /sags deeper/, /sags less/],
    ['spark.rate', ON_AND_OFF, `${gains}, spark: { rate: 0.05 }`, {}, /sags deeper.*flares higher/, /sags less.*flares less/],
    ['clamp.lowest', ON_AND_OFF, `${gains}, clamp: { lowest: 15 }`, { lower: 5, higher: 26 }, /no difference/, /hangs above target longer/],
  ];

  test.each(cases)('controller.%s', async (knob, drill, controller, values, lower, higher) => {
    const { scenarios } = await read(FILES['four, solenoid'].replace(/controller:[\s\S]*/, `controller: { base: [[80, 22]], ${controller} }\n${drill.replace(/^engine.*\n/, '')}`));
    const answer = whatDoes(scenarios[0]!, `controller.${knob}`, values);
    expect(answer.lower).toMatch(lower);
    expect(answer.higher).toMatch(higher);
  });

  test('too small a load air sags as the load comes, too large as it leaves (common practice, no source)', async () => {
    const { scenarios } = await read(FILES['four, solenoid'].replace(/controller:[\s\S]*/, `controller: { base: [[80, 22]], ${gains}, ${LOAD} }\n${ON_AND_OFF.replace(/^engine.*\n/, '')}`));
    const { runs } = whatDoes(scenarios[0]!, 'controller.loads.0.air');
    const sags = runs.map(({ scored }) => scored.events.map(({ sagRpm }) => sagRpm ?? 0));
    expect(sags[0]![0]!).toBeGreaterThan(sags[1]![0]! + 20);
    expect(sags[2]![1]!).toBeGreaterThan(sags[1]![1]! + 20);
  });

  test('forced entry: the later, the longer the engine hangs where the base is too high', async () => {
    const controller = 'base: [[80, 40]], entry: { window: 50, forcedAfter: 4 s }, pid: { kp: 0.02, ki: 0.03, kd: 0.004 }';
    const { scenarios } = await read(FILES['four, solenoid'].replace(/controller:[\s\S]*/, `controller: { ${controller} }\ndrill: { start: { settled: no }, events: [{ do: mark, at: 1 }] }\nrun: { duration: 15 }\n`));
    const { lower, higher } = whatDoes(scenarios[0]!, 'controller.entry.forcedAfter');
    expect(lower).toContain('hangs above target less');
    expect(higher).toContain('hangs above target longer');
  });
});
