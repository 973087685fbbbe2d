/** When the loop may close. Facts of the trade: common practice, no source. */
import { describe, expect, test } from 'vitest';
import { between, highest, lowest, run, shipped, withDrill } from './shipped.js';

/** Files, and the least stall margin that a windowed return leaves, rpm: the heavy engines come back with little to spare. */
const ENGINES = [
  ['three.yaml', 400],
  ['solenoid.yaml', 300],
  ['stepper.yaml', 300],
  ['six.yaml', 100],
  ['eight.yaml', 20],
] as const;
const AT_ONCE = 'controller.entry.window=6000 rpm';
const WINDOWED = 'controller.entry.window=150 rpm';
/** The speed falls from 2000 rpm and more to the idle within this, s. */
const RETURN_S = 1.5;

describe('a free-rev in neutral (common practice, no source)', () => {
  test.each(ENGINES)('%s: entry at once winds the air down and stalls it', async (file) => {
    const { trace, scored } = run(await withDrill(await shipped(file, [AT_ONCE]), 'free-rev return'));
    const [event] = scored.events;
    expect(scored.stalled).toBe(true);
    expect(scored.stallTimeS! - event!.atS).toBeGreaterThan(0.5);
    expect(scored.stallTimeS! - event!.atS).toBeLessThan(5);
    // the air was at its lower stop on the way down, and the loop had put it there
    const way = [event!.atS, scored.stallTimeS!] as const;
    expect(lowest(between(trace, 'air', ...way))).toBe(trace.airLimits[0]);
    expect(highest(between(trace, 'closed', ...way))).toBe(1);
  });

  test.each(ENGINES)('%s: entry windowed comes back, with the air never at its lower stop above the window', async (file, marginRpm) => {
    const { trace, scored } = run(await withDrill(await shipped(file, [WINDOWED]), 'free-rev return'));
    expect(scored.stalled).toBe(false);
    expect(scored.metrics.stallMarginRpm).toBeGreaterThan(marginRpm);
    expect(scored.metrics.settlingTimeS).toBeLessThan(6);
    const { speedRpm, targetRpm, air, timeS } = trace.columns;
    for (let k = 0; k < trace.rows; k++) {
      if (timeS[k]! > 2 && timeS[k]! < 2 + RETURN_S && speedRpm[k]! > targetRpm[k]! + 300) expect(air[k]).toBeGreaterThan(trace.airLimits[0]);
    }
  });

  test('the two shipped studies differ in the entry window alone, and so in whether the engine lives', async () => {
    const early = await shipped('studies/free-rev-early.yaml');
    const windowed = await shipped('studies/free-rev-windowed.yaml');
    const entry = { ...early.controller.entry, windowRpm: windowed.controller.entry.windowRpm };
    expect({ ...early, title: windowed.title, controller: { ...early.controller, entry } }).toEqual(windowed);
    expect(run(early).scored.stalled).toBe(true);
    expect(run(windowed).scored.stalled).toBe(false);
  });

  test('the same engine with the air held comes back too: it is the loop that stalls it', async () => {
    const scenario = await withDrill(await shipped('solenoid.yaml', [AT_ONCE]), 'free-rev return');
    const held = run(scenario, { 'controller.pid.kp': 0, 'controller.pid.ki': 0, 'controller.pid.kd': 0 });
    expect(held.scored.stalled).toBe(false);
    expect(held.scored.metrics.stallMarginRpm).toBeGreaterThan(300);
  });
});

describe('coasting in top gear at 2000 rpm with the throttle shut, then the clutch in (common practice, no source)', () => {
  const OVERRUN = 'overrun, then clutch in';
  const NOT_LOOKED_AT = ['controller.entry.driven=ignored', AT_ONCE];
  const SWITCHED = ['controller.entry.driven=clutch-or-neutral', WINDOWED];

  test.each(ENGINES)('%s: the loop closed on the overrun has wound the air down, and the engine stalls', async (file) => {
    const { trace, scored } = run(await withDrill(await shipped(file, NOT_LOOKED_AT), OVERRUN));
    // before the clutch: closed, far above target, driven by the car, no air left
    expect(lowest(between(trace, 'closed', 1, 6))).toBe(1);
    expect(lowest(between(trace, 'speedRpm', 1, 6))).toBeGreaterThan(1200);
    expect(highest(between(trace, 'clutchNm', 1, 6))).toBeLessThan(0);
    expect(highest(between(trace, 'air', 5, 6))).toBeLessThan(trace.airLimits[0] + 0.5);
    expect(scored.stalled).toBe(true);
    expect(scored.stallTimeS! - 6).toBeLessThan(2);
  });

  test.each(ENGINES)('%s: with the clutch looked at the loop waits, and the engine holds', async (file, marginRpm) => {
    const { trace, scored } = run(await withDrill(await shipped(file, SWITCHED), OVERRUN));
    expect(highest(between(trace, 'closed', 0, 6))).toBe(0);
    expect(trace.open[0]!.because).toBe('the car may be driving the engine');
    expect(lowest(between(trace, 'air', 0, 6))).toBeGreaterThan(trace.airLimits[0]);
    expect(scored.stalled).toBe(false);
    expect(scored.metrics.stallMarginRpm).toBeGreaterThan(marginRpm);
  });

  test('the clutch alone does not save it: the window is wanted too, or the loop winds down after the clutch', async () => {
    const scenario = await withDrill(await shipped('solenoid.yaml', ['controller.entry.driven=clutch-or-neutral', AT_ONCE]), OVERRUN);
    const { trace, scored } = run(scenario);
    expect(highest(between(trace, 'closed', 0, 6))).toBe(0);
    expect(scored.stalled).toBe(true);
  });

  test('nor does the window alone, where entry is forced after a while on the overrun', async () => {
    const scenario = await withDrill(await shipped('solenoid.yaml', ['controller.entry.driven=ignored', WINDOWED, 'controller.entry.forcedAfter=3 s']), OVERRUN);
    const { trace, scored } = run(scenario);
    expect(highest(between(trace, 'closed', 0, 2.9))).toBe(0);
    expect(lowest(between(trace, 'closed', 3.1, 6))).toBe(1);
    expect(scored.stalled).toBe(true);
  });
});
