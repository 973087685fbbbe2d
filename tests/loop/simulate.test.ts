/** The loop: ticks counted, events on whole steps, rows where they belong, the same bits twice. */
import { describe, expect, test } from 'vitest';
import { createController } from '../../src/controller/controller.js';
import type { Controller, Measured } from '../../src/controller/types.js';
import { simulate } from '../../src/loop/simulate.js';
import type { ColumnName, Trace } from '../../src/loop/trace.js';
import { RPM, setupOf } from './setups.js';

const column = (trace: Trace, name: ColumnName): number[] => [...trace.columns[name].slice(0, trace.rows)];
const at = (trace: Trace, name: ColumnName, timeS: number): number => trace.columns[name][Math.round(timeS / trace.recordS)]!;

/** A controller that does what the settings say and notes what it is shown. */
function noted(settings: ReturnType<typeof setupOf>['controller']): { readonly controller: Controller; readonly seen: Measured[]; count: number } {
  const inner = createController({ ...settings, airFull: 100 });
  const notes = { seen: [] as Measured[], count: 0, controller: inner };
  notes.controller = {
    ...inner,
    reset() {
      inner.reset();
      notes.count = 0;
      notes.seen.length = 0;
    },
    step(measured) {
      notes.count += 1;
      if (notes.seen.length < 100_000) notes.seen.push({ ...measured, loadRequests: [...measured.loadRequests] });
      return inner.step(measured);
    },
  };
  return notes;
}

describe('time', () => {
  test('ten minutes at 20 ms are 30 001 ticks and 60 001 rows, the last at 600 s', () => {
    const setup = setupOf({ run: { duration: 600 } });
    const notes = noted(setup.controller);
    const trace = simulate(setup, { controller: notes.controller });
    expect(notes.count).toBe(30_001);
    expect(trace.rows).toBe(60_001);
    expect(trace.columns.timeS[trace.rows - 1]).toBe(600);
    expect(trace.end).toEqual({ atS: 600, engine: 'running', because: 'end of the run' });
    expect(column(trace, 'timeS').every((t, i) => Math.abs(t - i / 100) < 1e-12)).toBe(true);
  });

  test.each([[0.001, 0.02, 0.01], [0.0015, 0.0105, 0.003], [0.0005, 0.03, 0.0015]])('with steps of %f s, ticks each %f s, rows each %f s', (step, periodS, record) => {
    const setup = setupOf({ run: { duration: 6, step, record }, controller: { periodS } });
    const notes = noted(setup.controller);
    const trace = simulate(setup, { controller: notes.controller });
    expect(notes.count).toBe(Math.floor(6 / periodS + 1e-9) + 1);
    expect(trace.rows).toBe(Math.floor(6 / record + 1e-9) + 1);
  });

  test.each<[string, object, RegExp]>([
    ['a period', { controller: { periodS: 0.0205 } }, /^controller\.period: 0\.0205 s is no whole number of steps/],
    ['a spacing of rows', { run: { record: 0.0015 } }, /^run\.record: 0\.0015 s/],
    ['a period below one step', { run: { step: 0.0015, record: 0.0015 }, controller: { periodS: 0.001 } }, /^controller\.period/],
  ])('%s that is no whole number of steps is refused by name', (_name, given, message) => {
    expect(() => simulate(setupOf(given))).toThrow(RangeError);
    expect(() => simulate(setupOf(given))).toThrow(message);
  });
});

describe('events', () => {
  test('take hold on the whole step nearest to their time, and the trace says that step', () => {
    const trace = simulate(
      setupOf({
        run: { duration: 3, record: 0.001 },
        drill: { events: [{ do: 'load', at: 0.5004, name: 'a', torque: 5 }, { do: 'load', at: 1.2346, name: 'a', torque: 0 }, { do: 'mark', at: 2 }] },
      }),
    );
    expect(trace.events.map(({ atS, engagedS, name, what }) => [atS, engagedS, name, what])).toEqual([
      [0.5, 0.5, 'a', 'load of 5 N·m'], [1.235, 1.235, 'a', 'load off'], [2, 2, 'mark', 'mark'],
    ]);
    const load = column(trace, 'loadNm');
    expect([load.indexOf(5), load.lastIndexOf(5)]).toEqual([500, 1234]);
  });

  test('a load with a rise comes in a straight line and goes the same way, after its hold', () => {
    const trace = simulate(setupOf({ run: { duration: 4 }, drill: { events: [{ do: 'load', at: 1, torque: 6, rise: 0.5, hold: 1.5 }] } }));
    for (const [t, want] of [[0.99, 0], [1, 0], [1.25, 3], [1.5, 6], [2.49, 6], [2.75, 3], [3, 0], [4, 0]] as const) expect(at(trace, 'loadNm', t)).toBeCloseTo(want, 9);
  });

  test('a load of constant power asks for more torque as the speed falls', () => {
    const trace = simulate(setupOf({ run: { duration: 3 }, drill: { events: [{ do: 'load', at: 1, power: 400 }] } }));
    for (const t of [1, 1.5, 3]) expect(at(trace, 'loadNm', t)).toBeCloseTo(400 / (at(trace, 'speedRpm', t) * RPM), 9);
  });

  test('two loads by name add up; the same name again changes the one', () => {
    const events = [{ do: 'load', at: 0.5, name: 'a', torque: 3 }, { do: 'load', at: 1, name: 'b', torque: 2 }, { do: 'load', at: 1.5, name: 'a', torque: 1 }] as const;
    const trace = simulate(setupOf({ run: { duration: 2 }, drill: { events } }));
    expect([0.7, 1.2, 1.7].map((t) => at(trace, 'loadNm', t))).toEqual([3, 5, 3]);
  });

  test('a load that the controller knows is switched by it, after the lead; the trace tells both times', () => {
    const setup = setupOf({
      run: { duration: 4 },
      controller: { loads: [{ name: 'compressor', air: 8, leadS: 0.6 }] },
      drill: { events: [{ do: 'load', at: 1, name: 'compressor', torque: 6 }, { do: 'load', at: 3, name: 'compressor', torque: 0 }] },
    });
    const notes = noted(setup.controller);
    const trace = simulate(setup, { controller: notes.controller });
    expect(trace.events[0]).toMatchObject({ atS: 1, name: 'compressor' });
    // the tick that lets it through is at 1.6 s; the load follows on the next step
    expect(trace.events[0]!.engagedS).toBeCloseTo(1.601, 9);
    expect(at(trace, 'loadNm', 1.6)).toBe(0);
    expect(at(trace, 'loadNm', 1.61)).toBe(6);
    expect(at(trace, 'loadNm', 2.99)).toBe(6);
    expect(at(trace, 'loadNm', 3.01)).toBe(0);
    expect(at(trace, 'air', 1.01) - at(trace, 'air', 0.99)).toBeGreaterThan(7);
    const asked = notes.seen.map((m) => m.loadRequests[0]);
    expect([asked.indexOf(true), asked.lastIndexOf(true)]).toEqual([50, 149]);
  });

  test('a blip holds the pedal to its speed, lets go there, and the engine comes back', () => {
    const trace = simulate(setupOf({ run: { duration: 12 }, drill: { events: [{ do: 'throttle', at: 1, openingPct: 30, until: 2500 * RPM }] } }));
    const top = Math.max(...column(trace, 'speedRpm'));
    expect(top).toBeGreaterThan(2500);
    expect(top).toBeLessThan(3300);
    expect(Math.max(...column(trace, 'throttlePct'))).toBeGreaterThan(20);
    expect(at(trace, 'throttlePct', 11)).toBe(0);
    expect(trace.open.map((stretch) => stretch.because)).toContain('the throttle is open');
    expect(trace.stalled).toBe(false);
    expect(Math.abs(at(trace, 'speedRpm', 12) - 800)).toBeLessThan(60);
  });

  test('target, coolant, supply, clutch, gear and vehicle speed reach plant and controller', () => {
    const setup = setupOf({
      run: { duration: 8 },
      engine: { driveline: { gears: [8 / 3.6, 15 / 3.6] } },
      drill: {
        events: [
          { do: 'target', at: 1, addRpm: 100 }, { do: 'coolant', at: 2, temperature: 313.15 }, { do: 'supply', at: 3, voltage: 11, hold: 1 },
          { do: 'clutch', at: 5, pedal: 'down', time: 0.2 }, { do: 'gear', at: 6, gear: 1 }, { do: 'vehicle-speed', at: 6.5, speed: 5 },
        ],
      },
    });
    const notes = noted(setup.controller);
    const trace = simulate(setup, { controller: notes.controller });
    const seenAt = (time: number): Measured => notes.seen[Math.round(time / 0.02)]!;
    expect(at(trace, 'targetRpm', 0.99)).toBe(800);
    expect(at(trace, 'targetRpm', 1.5)).toBe(900);
    expect(seenAt(2.5).coolantC).toBeCloseTo(40, 9);
    expect([2.98, 3.5, 4.02].map((t) => seenAt(t).supplyV)).toEqual([14, 11, 14]);
    expect([5.02, 5.08, 5.12, 7].map((t) => seenAt(t).clutchPressed)).toEqual([false, false, true, true]);
    expect([5.9, 6.1].map((t) => seenAt(t).inNeutral)).toEqual([true, false]);
    expect(at(trace, 'vehicleKmh', 6.6)).toBeGreaterThan(17);
  });

  test('the starter turns the engine, which catches and runs', () => {
    const trace = simulate(
      setupOf({ run: { duration: 6 }, drill: { start: { engine: 'off' }, events: [{ do: 'starter', at: 0.5, hold: 2 }] } }),
    );
    expect(at(trace, 'speedRpm', 0.4)).toBe(0);
    expect(trace.end.engine).toBe('running');
    expect(trace.stalled).toBe(false);
    expect(trace.open[0]).toMatchObject({ fromS: 0, because: 'the engine is not running' });
  });
});

describe('the command', () => {
  test('a held one holds the valve still, whatever the engine does', () => {
    for (const valve of [{ kind: 'solenoid' }, { kind: 'stepper' }] as const) {
      const full = valve.kind === 'stepper' ? 200 : 100;
      const trace = simulate(setupOf({ run: { duration: 6 }, valve, controller: { hold: 0.3 * full }, drill: { events: [{ do: 'load', at: 2, torque: 2 }] } }));
      expect(new Set(column(trace, 'air'))).toEqual(new Set([0.3 * full]));
      const opening = column(trace, 'openingPct');
      expect(Math.max(...opening) - Math.min(...opening)).toBeLessThan(1e-12);
      expect(new Set(column(trace, 'closed'))).toEqual(new Set([0]));
      expect(trace.open).toEqual([{ fromS: 0, toS: trace.end.atS, because: 'the command is held' }]);
      expect(at(trace, 'speedRpm', 5)).toBeLessThan(at(trace, 'speedRpm', 1.9) - 20);
    }
  });

  test('a settled start is at rest: target speed, no drift, for ten seconds', () => {
    const trace = simulate(setupOf({ run: { duration: 10, senseResolutionRpm: 0 } }));
    expect(Math.max(...column(trace, 'speedRpm').map((rpm) => Math.abs(rpm - 800)))).toBeLessThan(0.01);
  });
});

describe('rows', () => {
  test('each holds what was seen and applied before the plant moves: the first is the start itself', () => {
    const trace = simulate(setupOf({ run: { duration: 1 }, drill: { start: { speed: 1000 * RPM, settled: false } } }));
    expect(trace.columns.timeS[0]).toBe(0);
    expect(trace.columns.speedRpm[0]).toBeCloseTo(1000, 9);
    expect(trace.columns.sensedRpm[0]).toBe(1000);
  });

  test('a stall ends the run at once, with a last row, a time and a reason', () => {
    const trace = simulate(setupOf({ run: { duration: 10 }, drill: { events: [{ do: 'load', at: 1, torque: 80 }] } }));
    expect(trace.stalled).toBe(true);
    expect(trace.stallTimeS).toBe(trace.end.atS);
    expect(trace.stallTimeS!).toBeGreaterThan(1);
    expect(trace.stallTimeS!).toBeLessThan(2.5);
    expect(trace.end.because).toMatch(/^stalled: .*loads took 80\.0 N·m/);
    expect(trace.columns.timeS[trace.rows - 1]).toBe(trace.stallTimeS);
    expect(trace.columns.speedRpm[trace.rows - 1]).toBeLessThanOrEqual(trace.stallRpm);
  });

  test('the same setup gives the same bits twice, roughness and all; another seed others', () => {
    const run = (seed: number): Trace => simulate(setupOf({ run: { duration: 5, seed }, engine: { roughnessPct: 8 }, drill: { events: [{ do: 'load', at: 2, torque: 5 }] } }));
    const [a, b, c] = [run(7), run(7), run(8)];
    for (const name of Object.keys(a.columns) as ColumnName[]) {
      expect(Buffer.from(a.columns[name].buffer).equals(Buffer.from(b.columns[name].buffer)), name).toBe(true);
    }
    expect(column(a, 'speedRpm')).not.toEqual(column(c, 'speedRpm'));
  });
});
