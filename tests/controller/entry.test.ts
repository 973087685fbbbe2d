/** When the loop may close and when it opens again, as a table of cases. Target 800 rpm, window 150, hysteresis 100. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createEntryState, entryTable, OPEN, stepEntry } from '../../src/controller/entry.js';
import type { Measured } from '../../src/controller/types.js';
import { fill } from '../../src/parameter/fill.js';
import { idling } from './measured.js';

const TARGET = 800;
const PERIOD = 0.02;

type Tick = Partial<Measured>;
/** Closed or not after each tick. */
function closedAfter(given: object, ticks: readonly Tick[]): boolean[] {
  const settings = fill(entryTable, given as never);
  const state = createEntryState();
  return ticks.map((tick) => {
    const closed = stepEntry(settings, state, PERIOD, idling(tick), TARGET);
    expect(state.closed).toBe(closed);
    expect(state.because === null).toBe(closed);
    return closed;
  });
}
const because = (given: object, tick: Tick): string | null => {
  const state = createEntryState();
  stepEntry(fill(entryTable, given as never), state, PERIOD, idling(tick), TARGET);
  return state.because;
};

describe('one tick', () => {
  test.each<[string, object, Tick, string | null]>([
    ['idling in neutral', {}, {}, null],
    ['just below the window’s edge', {}, { speedRpm: 949.9 }, null],
    ['at the window’s edge', {}, { speedRpm: 950 }, OPEN.window],
    ['above it', {}, { speedRpm: 1500 }, OPEN.window],
    ['far below target, about to stall', {}, { speedRpm: 350 }, null],
    ['cranking', {}, { engine: 'cranking' }, OPEN.engine],
    ['off', {}, { engine: 'off' }, OPEN.engine],
    ['stalled', {}, { engine: 'stalled' }, OPEN.engine],
    ['throttle just shut', {}, { throttlePct: 0.99 }, null],
    ['throttle at the edge of shut', {}, { throttlePct: 1 }, OPEN.throttle],
    ['a throttle that never quite shuts, told so', { throttleShutPct: 4 }, { throttlePct: 3 }, null],
    ['in gear, clutch up', {}, { inNeutral: false }, OPEN.driven],
    ['in gear, clutch down', {}, { inNeutral: false, clutchPressed: true }, null],
    ['in neutral, rolling', {}, { vehicleSpeedKmh: 50 }, null],
    ['by standing still: standing in gear', { driven: 'stationary' }, { inNeutral: false }, null],
    ['by standing still: rolling in neutral', { driven: 'stationary' }, { vehicleSpeedKmh: 3 }, OPEN.driven],
    ['by standing still: below its speed', { driven: 'stationary' }, { vehicleSpeedKmh: 2.9 }, null],
    ['not looked at: in gear at speed', { driven: 'ignored' }, { inNeutral: false, vehicleSpeedKmh: 60 }, null],
    ['a wider window', { windowRpm: 800 }, { speedRpm: 1599 }, null],
    ['the engine is named before the throttle, that before the car', {}, { engine: 'off', throttlePct: 50, inNeutral: false }, OPEN.engine],
    ['the throttle is named before the car', {}, { throttlePct: 50, inNeutral: false }, OPEN.throttle],
  ])('%s', (_name, given, tick, reason) => {
    expect(because(given, tick)).toBe(reason);
  });
});

describe('over ticks', () => {
  test('hysteresis: closed below 950 rpm, it stays so to 1050 and opens above, to close again below 950 only', () => {
    const speeds = [940, 960, 1049, 1050, 1051, 1000, 951, 949];
    expect(closedAfter({}, speeds.map((speedRpm) => ({ speedRpm })))).toEqual([true, true, true, true, false, false, false, true]);
  });

  test.each<[string, Tick]>([['the throttle', { throttlePct: 10 }], ['the car', { inNeutral: false }], ['the engine', { engine: 'stalled' }]])(
    'opens at once when %s says so, closes at once when it no longer does', (_name, tick) => {
      expect(closedAfter({}, [{}, tick, {}])).toEqual([true, false, true]);
    });

  const high: Tick = { speedRpm: 1400 };
  const times = (n: number, tick: Tick): Tick[] => Array.from({ length: n }, () => tick);

  test('never forces without a forced-entry time', () => {
    expect(closedAfter({}, times(3000, high)).some(Boolean)).toBe(false);
  });

  test.each([0.1, 0.5, 2])('forces after %f s above the window, not a tick sooner', (forcedAfterS) => {
    const waited = Math.round(forcedAfterS / PERIOD);
    expect(closedAfter({ forcedAfterS }, times(waited + 3, high)).indexOf(true)).toBe(waited);
  });

  test('any other condition that fails starts the forced-entry time afresh', () => {
    for (const broken of [{ throttlePct: 5 }, { inNeutral: false }, { engine: 'cranking' as const }]) {
      const ticks = [...times(24, high), { ...high, ...broken }, ...times(40, high)];
      expect(closedAfter({ forcedAfterS: 0.5 }, ticks).indexOf(true)).toBe(25 + 25);
    }
  });

  test('a forced entry is not left for speed, but is for any other condition, and has to be waited for again', () => {
    const ticks = [...times(26, high), { speedRpm: 2500 }, { speedRpm: 4000 }, { ...high, throttlePct: 5 }, high];
    expect(closedAfter({ forcedAfterS: 0.5 }, ticks).slice(25)).toEqual([true, true, true, false, false]);
  });

  test('a loop that closed by its window and left by its speed waits the forced-entry time from there', () => {
    const ticks = [{}, ...times(40, { speedRpm: 1400 })];
    expect(closedAfter({ forcedAfterS: 0.5 }, ticks).indexOf(true, 1)).toBe(1 + 25);
  });

  test('whatever is measured, it is closed only while every other condition holds', () => {
    const tick = fc.record({
      speedRpm: fc.integer({ min: 0, max: 3000 }), throttlePct: fc.constantFrom(0, 0.5, 1, 30), inNeutral: fc.boolean(), clutchPressed: fc.boolean(),
      vehicleSpeedKmh: fc.constantFrom(0, 2, 10), engine: fc.constantFrom('running' as const, 'cranking' as const, 'running' as const),
    });
    const settings = fc.record({ driven: fc.constantFrom('clutch-or-neutral', 'stationary', 'ignored'), forcedAfterS: fc.constantFrom(null, 0.1) });
    fc.assert(
      fc.property(settings, fc.array(tick, { minLength: 1, maxLength: 60 }), (given, ticks) => {
        const closed = closedAfter(given, ticks);
        return ticks.every((t, i) => {
          const free =
            given.driven === 'ignored' || (given.driven === 'stationary' ? t.vehicleSpeedKmh < 3 : t.inNeutral || t.clutchPressed);
          const may = t.engine === 'running' && t.throttlePct < 1 && free;
          if (!may) return closed[i] === false;
          return closed[i] === true || t.speedRpm >= TARGET + 150;
        });
      }),
      { numRuns: 200 },
    );
  });
});
