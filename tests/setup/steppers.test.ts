/** The other engines on a stepper: the valve makes no difference to what settings must hold. */
import { expect, test } from 'vitest';
import { compute, STEPPERS } from './engines.js';

test.each(Object.entries(STEPPERS))('the settings of the %s with a stepper pass every drill, and none stalls a fifth off', { timeout: 300_000 }, async (_, text) => {
  const { drills, corners, scenario } = await compute(text);
  expect(drills.filter(({ after }) => !after.passes).map(({ name, after }) => `${name}: ${after.verdict}`)).toEqual([]);
  expect(corners.filter(({ stalls }) => stalls.length > 0)).toEqual([]);
  expect(scenario.controller.pid).toMatchObject({ kp: 0, kd: 0 });
});
