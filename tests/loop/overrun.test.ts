/** A free-rev with the fuel cut on the overrun and without: what the cut does to the fall, and that fuel is back in time. */
import { expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import type { Trace } from '../../src/loop/trace.js';
import { RPM, setupOf } from './setups.js';

const freeRev = (engine: object): Trace =>
  simulate(
    setupOf({
      engine: { throttle: { closingTime: 0.3 }, ...engine },
      run: { duration: 10 },
      drill: { events: [{ do: 'throttle', at: 1, openingPct: 30, until: 3500 * RPM }] },
    } as never),
  );

/** Time from 3000 down to 1600 rpm after the peak, s. */
function fall(trace: Trace): number {
  const speed = trace.columns.speedRpm.slice(0, trace.rows);
  const top = speed.indexOf(Math.max(...speed));
  const passes = (rpm: number): number => speed.findIndex((s, i) => i > top && s <= rpm);
  return (passes(1600) - passes(3000)) * trace.recordS;
}

const cut = { fuelCut: { is: 'on', outSpeed: 2000 * RPM, resumeSpeed: 1400 * RPM, delay: 0, refill: 0.15 } };

test('the cut takes the fuel above its resume speed, never below it, and the engine comes down no slower and does not stall', () => {
  const [without, within] = [freeRev({}), freeRev(cut)];
  expect(Math.min(...without.columns.fuelKgh.slice(0, without.rows))).toBeGreaterThan(0);
  let cutRows = 0;
  for (let i = 0; i < within.rows; i++) {
    if (within.columns.fuelKgh[i] !== 0) continue;
    cutRows += 1;
    // the row before the step in which the speed passes it
    expect(within.columns.speedRpm[i]!).toBeGreaterThan(1400 - 50);
    expect(within.columns.throttlePct[i]!).toBeLessThanOrEqual(1);
  }
  expect(cutRows * within.recordS).toBeGreaterThan(0.1);
  expect(fall(within)).toBeLessThanOrEqual(fall(without));
  expect(within.stalled).toBe(false);
  expect(Math.abs(within.columns.speedRpm[within.rows - 1]! - within.columns.targetRpm[within.rows - 1]!)).toBeLessThan(15);
});

test('and with a wall film under it the engine is caught likewise', () => {
  const trace = freeRev({ ...cut, wallFilm: { is: 'on', fraction: 0.3, time: 0.5 } });
  expect(trace.stalled).toBe(false);
  expect(Math.abs(trace.columns.speedRpm[trace.rows - 1]! - trace.columns.targetRpm[trace.rows - 1]!)).toBeLessThan(15);
});
