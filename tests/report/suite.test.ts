import { expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { suiteTable } from '../../src/report/suite.js';
import { scoreTrace } from '../../src/score/index.js';
import { readSuite } from '../search/suite.js';

const runs = (
  await readSuite(`
run: { duration: 7 }
limits: { sag: 150 rpm }
drills:
  - { name: nothing happens, events: [] }
  - { name: a small load, events: [{ do: load, at: 2, torque: 2 }] }
  - { name: a load too many, events: [{ do: load, at: 2, torque: 8 }] }
  - { name: far too much, events: [{ do: load, at: 2, torque: 60 }] }`)
).map((scenario) => ({ drill: scenario.drill.name, scored: scoreTrace(simulate(scenario), scenario.limits, scenario.scoring), scoring: scenario.scoring }));

test('a suite is one line a drill: whether it passes, and the number that decided', () => {
  const lines = suiteTable(runs, { columns: 80, colour: false });
  const line = (name: string): string => lines.find((each) => each.startsWith(name)) ?? '';
  expect(line('nothing happens')).toMatch(/passes/);
  expect(line('a small load')).toMatch(/passes .*(sag|settling|IAE) [\d.]+ \S+$/);
  expect(line('a load too many')).toMatch(/fails .*sag \d+ rpm, allowed 150 rpm$/);
  expect(line('far too much')).toMatch(/stalls .*stalls at [\d.]+ s$/);
  expect(lines.at(-1)).toBe('2 of 4 drills do not pass.');
  for (const each of lines) expect([...each].length).toBeLessThanOrEqual(80);
});

test('when all pass, it says so', () => {
  expect(suiteTable(runs.slice(0, 2), { columns: 80, colour: false }).at(-1)).toBe('All 2 drills pass.');
});
