import { expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { withValues } from '../../src/scenario/index.js';
import { createPlants } from '../../src/search/plants.js';
import { readSuite } from './suite.js';

const rough = await readSuite(`
engine: { roughness: 8 %, driveline: { gears: [8, 14, 21] } }
run: { duration: 4 s, seed: 7 }
valve: { kind: stepper, backlash: 3 }
drill:
  start: { gear: 3, speed: 1800 rpm }
  events: [{ do: clutch, at: 1 s }, { do: load, at: 2 s, torque: 9 N m }, { do: throttle, at: 3 s, opening: 20 % }]`);

test('a plant used again gives the bits of a new one, whatever it went through before', () => {
  const plants = createPlants();
  const [scenario] = rough as [(typeof rough)[number]];
  const other = withValues(scenario, new Map([['controller.pid.ki', 0.4]]));
  for (const each of [scenario, other, scenario]) {
    const used = simulate(each, { plant: plants.of(each) });
    expect(used.columns).toEqual(simulate(each).columns);
  }
});

test('a plant is used again for other gains, and not for another engine, valve or seed', () => {
  const plants = createPlants();
  const [scenario] = rough as [(typeof rough)[number]];
  const first = plants.of(scenario);
  expect(plants.of(withValues(scenario, new Map([['controller.pid.ki', 0.4]])))).toBe(first);
  for (const [key, value] of [['engine.inertia', 0.2], ['valve.steps', 150], ['run.seed', 8]] as const) {
    expect(plants.of(withValues(scenario, new Map([[key, value]])))).not.toBe(first);
  }
});
