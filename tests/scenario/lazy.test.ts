import { expect, it, vi } from 'vitest';
import { load } from './files.js';

const loaded = vi.hoisted(() => ({ times: 0 }));
vi.mock('../../src/units/conversion.js', async (original) => {
  loaded.times += 1;
  return await original();
});

it('the unit library is loaded only where a quantity is in a unit that is not the documented one', async () => {
  await load(
    'engine: { inertia: 0.2 kg·m², displacement: "1.6", manifold: { temperature: 40 °C } }\ncontroller: { pid: { kp: 0.02 %/rpm } }\n',
  );
  expect(loaded.times).toBe(0);
  expect((await load('engine: { inertia: 5 lb ft^2 }\n')).engine.inertia).toBeCloseTo(0.2107, 4);
  expect(loaded.times).toBe(1);
});
