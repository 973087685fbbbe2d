/** Knobs, and a scenario as text again. */
import { readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { knobGroups, withSetting } from '../../src/page/settings.js';
import { scenarioText } from '../../src/page/scenario-text.js';
import { createPacker, unpack } from '../../src/report/page-payload.js';
import { loadScenarioOrThrow } from '../../src/scenario/load.js';
import { numericKeys } from '../../src/scenario/leaves.js';
import type { Scenario } from '../../src/scenario/table.js';
import { first, root, shipped } from './scenarios.js';

const reread = async (text: string): Promise<Scenario> => (await loadScenarioOrThrow('copied.yaml', { read: () => text }))[0]!;
const { stringify } = JSON;
/** All but which keys were said: a copied file leaves defaults unsaid. */
const settings = ({ airGiven: _said, ...rest }: Scenario): object => rest;

const files = ['', 'studies/'].flatMap((folder) => readdirSync(`${root}scenarios/${folder}`).filter((name) => name.endsWith('.yaml')).map((name) => `${folder}${name}`));

describe('a scenario copied as text', () => {
  test.each(files)('is the same scenario when it is read again: %s', async (name) => {
    for (const scenario of await shipped(name)) expect(settings(await reread(scenarioText(scenario, [])))).toEqual(settings(scenario));
  });

  test('keeps changed settings to the last bit, choices and absences too', async () => {
    let scenario = await first('stepper.yaml');
    for (const [path, value] of [
      ['controller.pid.ki', 0.1 + 0.2], ['engine.inertia', 0.123456789012345], ['controller.entry.driven', 'stationary'],
      ['controller.entry.forcedAfter', 3.7], ['controller.pid.antiWindup', 'back-calculation'], ['valve.steps', 240],
    ] as const) scenario = withSetting(scenario, path, value);
    expect(settings(await reread(scenarioText(scenario, ['as it stands'])))).toEqual(settings(scenario));
    const back = withSetting(scenario, 'controller.entry.forcedAfter', null);
    expect(back.controller.entry.forcedAfterS).toBeNull();
    expect(settings(await reread(scenarioText(back, [])))).toEqual(settings(back));
  });

  test('lets no title or comment break out of its line', async () => {
    const scenario = { ...(await first('solenoid.yaml')), title: 'a: "b"\n# c\u2028 - [x' };
    const text = scenarioText(scenario, ['first\nrun: {duration: 3 s}', 'second\u2028x: 1']);
    expect(settings(await reread(text))).toEqual(settings(scenario));
  });
});

describe('knobs', () => {
  test.each(['solenoid.yaml', 'stepper.yaml', 'regression.yaml'])('of %s are there for every numeric key of valve and controller but periods and ranges', async (name) => {
    const scenario = await first(name);
    const paths = new Set(knobGroups(scenario).flatMap(({ knobs }) => knobs.map(({ path }) => path)));
    const keys = numericKeys(scenario).map(({ path }) => path).filter((path) => /^(valve|controller)\./.test(path) && !/\.\d+\.0$/.test(path));
    expect(keys.filter((path) => !paths.has(path))).toEqual(['controller.period', 'controller.range']);
    expect(paths.has('engine.inertia')).toBe(true);
    expect(paths.has('controller.entry.driven')).toBe(true);
  });

  test('give the value that a file would say, and take it back unchanged', async () => {
    const scenario = await first('solenoid.yaml');
    for (const { knobs } of knobGroups(scenario)) {
      for (const knob of knobs) expect(stringify(withSetting(scenario, knob.path, knob.value).engine), knob.path).toBe(stringify(scenario.engine));
    }
  });

  test('refuse what is out of range, no choice, or no setting, and say what is allowed', async () => {
    const scenario = await first('solenoid.yaml');
    expect(() => withSetting(scenario, 'controller.pid.kp', -1)).toThrow(/outside 0 … 20/);
    expect(() => withSetting(scenario, 'controller.entry.driven', 'sometimes')).toThrow(/none of clutch-or-neutral/);
    expect(() => withSetting(scenario, 'controller.pid.kp', null)).toThrow(/a number is wanted/);
    expect(() => withSetting(scenario, 'controller.nonsense', 'x')).toThrow(/no such setting/);
  });
});

test('a suite is packed with each section once, and unpacked to the same scenarios', async () => {
  const suite = await shipped('job.yaml');
  const packer = createPacker();
  const packed = suite.map((scenario) => packer.pack(scenario));
  const sections = JSON.parse(stringify(packer.sections)) as unknown[];
  expect(packed.map((one) => unpack(sections, one))).toEqual(suite);
  expect(stringify(sections).length).toBeLessThan(0.4 * stringify(suite).length);
  expect(() => unpack([], packed[0]!)).toThrow(/missing/);
});
