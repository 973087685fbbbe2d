/** The live bench's loop is the loop of a run, taken in stretches. */
import { describe, expect, test } from 'vitest';
import { COLUMNS, type ColumnName, type Columns } from '../../src/loop/trace.js';
import { simulate } from '../../src/loop/simulate.js';
import { createLive, type Live, MOST_UNDRAINED } from '../../src/page/live.js';
import { withSetting } from '../../src/page/settings.js';
import { traceBits } from '../../src/page/trace-bits.js';
import type { Scenario } from '../../src/scenario/table.js';
import { first, shipped } from './scenarios.js';

const names = Object.keys(COLUMNS) as ColumnName[];

/** Presses a drill's events at their times, and goes on in uneven stretches. */
function playBy(scenario: Scenario, live: Live): Columns {
  const { step } = scenario.run;
  const parts: Columns[] = [];
  const due = [...scenario.drill.events].sort((a, b) => a.at - b.at);
  const last = Math.round(scenario.run.duration / step);
  let k = 0;
  const goTo = (to: number): void => {
    for (let stretch = 7; k < to; stretch = (3 * stretch) % 211) {
      const steps = Math.min(stretch, to - k);
      live.advance(steps);
      k += steps;
      parts.push(live.drain().columns);
    }
  };
  for (const event of due) {
    if (Math.round(event.at / step) > last) continue;
    goTo(Math.round(event.at / step));
    live.press(event);
  }
  goTo(last + 1);
  return Object.fromEntries(names.map((name) => [name, Float64Array.from(parts.flatMap((part) => [...part[name]]))])) as Columns;
}

describe('a live run', () => {
  test.each(['free-rev.yaml', 'studies/free-rev-early.yaml', 'stepper.yaml', 'regression.yaml'])('with the events of %s pressed at their times is that run, bit for bit', async (name) => {
    for (const scenario of await shipped(name)) {
      const live = createLive(scenario);
      const columns = playBy(scenario, live);
      const trace = simulate(scenario);
      const cut = Object.fromEntries(names.map((column) => [column, columns[column].subarray(0, trace.rows)])) as Columns;
      const same = { rows: columns.timeS.length, columns: cut, events: live.events, open: trace.open, end: trace.end };
      expect(traceBits(same)).toBe(traceBits(trace));
      expect(live.stalled() !== null).toBe(trace.stalled);
      if (trace.stalled) expect(live.stalled()).toBe(trace.end.because);
      expect(live.open().map(({ because }) => because)).toEqual(trace.open.map(({ because }) => because));
    }
  });

  test('of every drill of the whole job comes to the same bits, clutch, gears, machines, starter and all', async () => {
    const drills = (await shipped('job.yaml')).filter(({ run }) => run.duration <= 20);
    expect(drills.length).toBeGreaterThan(8);
    for (const scenario of drills) {
      const live = createLive(scenario);
      const columns = playBy(scenario, live);
      const trace = simulate(scenario);
      expect(traceBits({ rows: columns.timeS.length, columns, events: live.events, open: trace.open, end: trace.end }), scenario.drill.name).toBe(traceBits(trace));
    }
  });

  test('takes a changed gain at its next tick and keeps the integral', async () => {
    const scenario = await first('solenoid.yaml');
    const live = createLive(scenario);
    live.advance(2000);
    const before = live.drain().columns;
    live.change(withSetting(scenario, 'controller.pid.kp', 0.1));
    live.advance(2000);
    const after = live.drain().columns;
    const [air, next] = [before.air.at(-1)!, after.air[0]!];
    expect(Math.abs(next - air)).toBeLessThan(2); // no bump: at rest the proportional part is next to nothing
    live.press({ do: 'load', at: 0, name: 'try', torque: 8, power: 0, rise: 0, hold: null });
    const other = createLive(scenario);
    other.advance(4000);
    other.press({ do: 'load', at: 0, name: 'try', torque: 8, power: 0, rise: 0, hold: null });
    for (const one of [live, other]) one.advance(600);
    const lowest = (run: Live): number => Math.min(...run.drain().columns.speedRpm);
    expect(lowest(live)).not.toBe(lowest(other));
  });

  test('takes another inertia at the speed and pressure of the moment', async () => {
    const scenario = await first('solenoid.yaml');
    const live = createLive(scenario);
    live.advance(3000);
    const speed = live.drain().columns.speedRpm.at(-1)!;
    live.change(withSetting(scenario, 'engine.inertia', 0.3));
    live.advance(500);
    const { speedRpm, sensedRpm } = live.drain().columns;
    for (const reading of [...speedRpm, ...sensedRpm]) expect(Math.abs(reading - speed)).toBeLessThan(30);
  });

  test('refuses settings that contradict each other and goes on with the old ones', async () => {
    const scenario = await first('solenoid.yaml');
    const live = createLive(scenario);
    const wrong = { ...scenario, controller: { ...scenario.controller, clamp: { lowest: 50, highest: 10 } } };
    expect(() => live.change(wrong)).toThrow(/clamp/);
    live.advance(1000);
    expect(live.stalled()).toBeNull();
    expect(() => live.press({ do: 'machine', at: 0, name: 'no such', on: true, hold: null })).toThrow(/none of engine.machines/);
  });

  test('keeps the last rows, and no more memory, when nobody takes them', async () => {
    const live = createLive(await first('solenoid.yaml', ['run.record=0.001']));
    live.advance(30_000);
    const { rows, columns } = live.drain();
    expect(rows).toBeGreaterThanOrEqual(MOST_UNDRAINED);
    expect(rows).toBeLessThanOrEqual(2 * MOST_UNDRAINED);
    expect(columns.timeS.at(-1)).toBeCloseTo(29.999, 9);
    live.advance(100);
    const after = live.drain();
    expect(after.rows).toBe(100);
    expect(after.columns.timeS[0]).toBeCloseTo(30, 9);
  });
});
