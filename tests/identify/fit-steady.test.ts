/** The command at which a fitted engine rests: of any engine that a fit may come to, the odd ones too. */
import { expect, test } from 'vitest';
import { fittedFrom } from '../../src/identify/fit/index.js';
import { equilibriumAir } from '../../src/identify/fit/steady.js';
import { planned } from './fit-logs.js';

test('a plenum far too small for any ordinary step has the same resting point, and an engine without one says so', async () => {
  const base = fittedFrom(await planned(), []);
  const at = (engine: typeof base.engine): number => equilibriumAir({ ...base, engine }, 84, 0.24, 363, 363);
  const rests = at(base.engine);
  expect(rests).toBeGreaterThan(0.1);
  expect(rests).toBeLessThan(0.3);
  expect(at({ ...base.engine, manifold: { ...base.engine.manifold, volume: 1e-5 } })).toBe(rests);
  const friction = { ...base.engine.friction, fmep: 20e5 } as typeof base.engine.friction;
  expect(at({ ...base.engine, friction })).not.toBeLessThan(1);
});
