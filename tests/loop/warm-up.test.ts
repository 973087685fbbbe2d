/** The default warm-up beside a recorded one: a range, not a target. */
import { expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { stepCost } from '../../src/loop/step-check.js';
import { setupOf } from './setups.js';

const ZERO_C = 273.15;

// eron93br/carOBD (IEEE document 8891367), a 1.5 L four from 27 °C; the target is the speed that it was seen at
test('1.5 L at the recorded speeds warms from 27 °C as the recorded car does, within 5 °C, for ten minutes', () => {
  const trace = simulate(
    setupOf({
      engine: { displacement: 1.5e-3, warmUp: { is: 'on' }, ambient: { temperature: 27 + ZERO_C } },
      controller: { targetRpm: { x: [27, 32, 37, 72, 77, 87], y: [1420, 1100, 975, 683, 665, 653] } },
      drill: { start: { coolant: 27 + ZERO_C } },
      run: { duration: 600, record: 1 },
    } as never),
  );
  for (const [seconds, recorded] of [[60, 42], [120, 51], [240, 62], [400, 74], [600, 85]] as const) {
    expect(Math.abs(trace.columns.coolantC[seconds]! - recorded), `${seconds} s`).toBeLessThan(5);
  }
  // and no faster than it is warm: the speed follows it down
  for (let s = 1; s <= 600; s++) expect(trace.columns.coolantC[s]!).toBeGreaterThanOrEqual(trace.columns.coolantC[s - 1]!);
  expect(trace.columns.speedRpm[600]!).toBeLessThan(trace.columns.speedRpm[60]! - 250);
});

test('with everything fitted the fixed step costs little', () => {
  const setup = setupOf({
    engine: { alternator: { fitted: 'yes' }, wallFilm: { is: 'on' }, warmUp: { is: 'on' }, fuelCut: { is: 'on' }, machines: [{ name: 'drive', squareAt1000: 12, engage: 0.3 }] },
    run: { duration: 6 },
    drill: { events: [{ do: 'machine', at: 1, name: 'drive' }, { do: 'electrical', at: 3, name: 'lights', power: 120 }] },
  } as never);
  expect(stepCost(setup, simulate(setup)).speedRpm).toBeLessThan(2);
});
