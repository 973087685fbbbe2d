/** Starts: off → cranking → running at every temperature, given air enough; and what an engine at rest holds. */
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { engineTable } from '../../src/plant/engine.js';
import { createPlant } from '../../src/plant/plant.js';
import { ANGLE } from '../../src/plant/types.js';
import { simulate } from '../../src/loop/simulate.js';
import type { Trace } from '../../src/loop/trace.js';
import { valveFor } from '../plant/any.js';
import { setupOf } from './setups.js';

const ZERO_C = 273.15;

/** A start at a coolant temperature, the air command held. */
const start = (coolant: number, hold: number, engine: object = {}): Trace =>
  simulate(
    setupOf({
      engine, controller: { hold }, run: { duration: 12 },
      drill: { start: { engine: 'off', coolant: coolant + ZERO_C }, events: [{ do: 'starter', at: 0.5, hold: 5 }] },
    } as never),
  );
const speed = (trace: Trace): Float64Array => trace.columns.speedRpm.slice(0, trace.rows);
/** Time from the starter to the catch at 450 rpm, s. */
const caughtAfter = (trace: Trace): number => speed(trace).findIndex((rpm) => rpm >= 450) * trace.recordS - 0.5;

describe('a start', () => {
  test.each([[-20, 80], [0, 70], [20, 60], [80, 45]])('at %f °C catches and runs up with an air command of %f', (coolant, hold) => {
    const trace = start(coolant, hold);
    expect(trace.stalled).toBe(false);
    expect(trace.end.engine).toBe('running');
    expect(caughtAfter(trace)).toBeGreaterThan(0.1);
    expect(caughtAfter(trace)).toBeLessThan(2.5);
    expect(Math.max(...speed(trace))).toBeGreaterThan(900);
    expect(speed(trace).at(-1)!).toBeGreaterThan(600);
  });

  test('with a fitted alternator, a wall film and a stepper that homes likewise', () => {
    const trace = simulate(
      setupOf({
        engine: { alternator: { fitted: 'yes' }, wallFilm: { is: 'on' }, warmUp: { is: 'on' } },
        valve: { kind: 'stepper', homing: true, parked: 120, lost: 20 },
        controller: { hold: 100 }, run: { duration: 14 },
        drill: { start: { engine: 'off', coolant: 20 + ZERO_C }, events: [{ do: 'starter', at: 2.5, hold: 5 }] },
      } as never),
    );
    expect(trace.stalled).toBe(false);
    expect(trace.end.engine).toBe('running');
    expect(trace.columns.openingPct[0]).toBeCloseTo(60, 6);
    expect(trace.columns.openingPct[Math.round(1.3 / trace.recordS)]).toBe(0);
    expect(trace.columns.openingPct[trace.rows - 1]).toBeCloseTo(50, 6);
    expect(trace.columns.coolantC[trace.rows - 1]!).toBeGreaterThan(20.5);
  });

  test('cranks slower and catches later the colder it is, the air being the same', () => {
    const [cold, hot] = [start(-20, 80), start(80, 80)];
    const cranking = (trace: Trace): number => speed(trace)[Math.round(0.65 / trace.recordS)]!;
    expect(cranking(cold)).toBeLessThan(cranking(hot));
    expect(caughtAfter(cold)).toBeGreaterThan(caughtAfter(hot));
  });

  test('without air it fires on what the manifold held, and dies', () => {
    const trace = start(80, 0, { throttle: { leak: { by: 'flow', flow: 0 } } });
    expect(caughtAfter(trace)).toBeLessThan(1);
    expect(trace.stalled).toBe(true);
    expect(trace.stallTimeS).toBeLessThan(5);
  });

  test('a starter let go before the first charge burns leaves it standing, and it has not stalled', () => {
    const trace = simulate(
      setupOf({
        controller: { hold: 50 }, run: { duration: 5 },
        drill: { start: { engine: 'off', coolant: 20 + ZERO_C }, events: [{ do: 'starter', at: 0.5, hold: 0.15 }] },
      } as never),
    );
    expect(Math.max(...speed(trace))).toBeGreaterThan(50);
    expect(trace.stalled).toBe(false);
    expect(trace.end.engine).toBe('off');
    expect(speed(trace).at(-1)).toBeLessThan(1e-9);
  });
});

test('an engine that was off has no charge to burn until the crank has turned through the delay', () => {
  const engine = fill(engineTable, {});
  const plant = createPlant(engine, valveFor(engine));
  Object.assign(plant.inputs, { air: 0.5, spark: 0.2, starter: true });
  plant.reset({ omega: 0, pressure: null, vehicleSpeed: null, engine: 'off' });
  let burnt = 0;
  for (let k = 0; k < 3000 && burnt === 0; k++) {
    plant.advance();
    burnt = plant.observe().indicated;
    if (plant.state[ANGLE]! < 2 * Math.PI - 0.1) expect(burnt).toBe(0);
  }
  expect(burnt).toBeGreaterThan(0);
});
