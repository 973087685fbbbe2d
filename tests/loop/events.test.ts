/** Machines, electrical loads and unasked-for air in a drill: when they act, how much, and what is refused. */
import { describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import type { Trace } from '../../src/loop/trace.js';
import { type Differing, RPM, setupOf } from './setups.js';

const run = (given: Differing): Trace => simulate(setupOf({ ...given, run: { duration: 8, ...given.run } }));
const at = (trace: Trace, column: keyof Trace['columns'], seconds: number): number => trace.columns[column][Math.round(seconds / trace.recordS)]!;
/** Air held, so that nothing but the load moves the engine. */
const held = { controller: { hold: 45 } } as const;

describe('machines', () => {
  const machines = [
    { name: 'compressor', torque: 6, engage: 0.2, kick: 0.5, kickTime: 1 },
    { name: 'drive', squareAt1000: 12 },
    { name: 'pump', power: 300 },
  ];

  test('a constant torque takes hold in a straight line, with a kick that dies away', () => {
    const trace = run({ ...held, engine: { machines }, drill: { events: [{ do: 'machine', at: 2, name: 'compressor', hold: 4 }] } });
    expect(at(trace, 'loadNm', 1.99)).toBe(0);
    expect(at(trace, 'loadNm', 2.1)).toBeCloseTo(3 * (1 + 0.5 * 0.9), 6);
    expect(at(trace, 'loadNm', 2.5)).toBeCloseTo(6 * (1 + 0.5 * 0.5), 6);
    expect(at(trace, 'loadNm', 4)).toBe(6);
    expect(at(trace, 'loadNm', 6.1)).toBeCloseTo(3, 6);
    expect(at(trace, 'loadNm', 7)).toBe(0);
    expect(trace.events[0]).toMatchObject({ atS: 2, engagedS: 2, name: 'compressor', what: 'compressor on for 4 s' });
  });

  test('a torque that grows with the square of the speed and a constant power follow the crank', () => {
    const trace = run({ ...held, engine: { machines }, drill: { events: [{ do: 'machine', at: 1, name: 'drive' }, { do: 'machine', at: 4, name: 'drive', on: false }, { do: 'machine', at: 5, name: 'pump' }] } });
    for (const t of [1.5, 2, 3.5]) expect(at(trace, 'loadNm', t)).toBeCloseTo(12 * (at(trace, 'speedRpm', t) / 1000) ** 2, 9);
    expect(at(trace, 'loadNm', 4.5)).toBe(0);
    expect(at(trace, 'loadNm', 7)).toBeCloseTo(300 / (at(trace, 'speedRpm', 7) * RPM), 9);
  });

  test('against a held air the square law brakes itself: it sags less than the same torque held', () => {
    const lowest = (event: object, engine: object): number => {
      const trace = run({ ...held, engine, drill: { events: [{ at: 2, ...event }] } } as never);
      return Math.min(...trace.columns.speedRpm.slice(0, trace.rows));
    };
    const start = at(run({ ...held }), 'speedRpm', 1);
    const square = { machines: [{ name: 'drive', squareAt1000: 5 * (1000 / start) ** 2 }] };
    expect(lowest({ do: 'machine', name: 'drive' }, square)).toBeGreaterThan(lowest({ do: 'load', torque: 5 }, {}) + 20);
  });

  test('one that the controller knows waits for its lead', () => {
    const trace = run({
      engine: { machines }, controller: { loads: [{ name: 'compressor', air: 8, leadS: 0.6 }] },
      drill: { events: [{ do: 'machine', at: 2, name: 'compressor' }] },
    });
    expect(trace.events[0]!.engagedS - 2).toBeCloseTo(0.6, 1);
    expect(at(trace, 'loadNm', 2.5)).toBe(0);
    expect(at(trace, 'loadNm', 5)).toBe(6);
  });

  test('a later request is not ended by the hold of an earlier one', () => {
    const trace = run({ ...held, engine: { machines }, drill: { events: [{ do: 'machine', at: 1, name: 'compressor', hold: 3 }, { do: 'machine', at: 3, name: 'compressor' }] } });
    expect(at(trace, 'loadNm', 7.5)).toBe(6);
  });

  test('one that is not there, or there twice, is refused by name', () => {
    expect(() => run({ engine: { machines }, drill: { events: [{ do: 'machine', at: 1, name: 'compresor' }] } })).toThrow(/^drill\.events\.0\.name: compresor is none of engine\.machines: compressor, drive, pump/);
    expect(() => run({ engine: { machines: [machines[0]!, machines[0]!] } })).toThrow(/^engine\.machines\.1\.name: compressor is there already/);
  });
});

describe('electrical loads', () => {
  const engine = { alternator: { fitted: 'yes' } } as const;

  test('cost torque at the crank in time, P/(η·ω), and sag the supply at first', () => {
    const setup = setupOf({ engine, controller: { hold: 60 }, run: { duration: 8 }, drill: { events: [{ do: 'electrical', at: 2, name: 'fan', power: 250 }] } });
    const trace = simulate(setup);
    const torque = (watts: number, t: number): number => watts / (0.6 * at(trace, 'speedRpm', t) * RPM);
    expect(at(trace, 'loadNm', 1.5)).toBeCloseTo(torque(180, 1.5), 3);
    expect(at(trace, 'loadNm', 2)).toBeLessThan(torque(200, 2));
    expect(at(trace, 'loadNm', 4)).toBeGreaterThan(torque(425, 4));
    expect(at(trace, 'loadNm', 4)).toBeLessThan(torque(445, 4));
  });

  test.each([120, 150, 180])('a fan of %f W, no air fed forward, dips the default loop by 30 to 75 rpm, as recorded fans do, and it settles within 12 s', (power) => {
    // eron93br/carOBD (IEEE document 8891367): 48 rpm on average, 71 at worst, settled by 12 s; a range, not a target
    const trace = run({
      engine, run: { duration: 20 }, controller: { spark: { rateDegPerRpm: 0.08, authorityDeg: 4 } },
      drill: { events: [{ do: 'electrical', at: 3, name: 'fan', power }] },
    });
    const speed = trace.columns.speedRpm.slice(0, trace.rows);
    const before = at(trace, 'speedRpm', 2.9);
    expect(before - Math.min(...speed)).toBeGreaterThan(30);
    expect(before - Math.min(...speed)).toBeLessThan(75);
    for (const s of speed.slice(1500)) expect(Math.abs(s - before)).toBeLessThan(10);
  });

  test('need an alternator', () => {
    expect(() => run({ drill: { events: [{ do: 'electrical', at: 1, power: 100 }] } })).toThrow(/^drill\.events\.0\.do: electrical needs an alternator/);
  });

  test('a supply held from outside for a while leaves the alternator to itself again', () => {
    const trace = run({ engine, controller: { hold: 60 }, drill: { events: [{ do: 'supply', at: 2, voltage: 10.5, hold: 2 }] } });
    expect(at(trace, 'loadNm', 3)).toBe(0);
    expect(at(trace, 'openingPct', 3)).toBeLessThan(at(trace, 'openingPct', 1) - 3);
    expect(at(trace, 'loadNm', 7)).toBeGreaterThan(1);
  });
});

describe('air that nobody asked for', () => {
  test('is there from its time to the end of its hold, as much as the bench says at choked flow, and sums by name', () => {
    const trace = run({ ...held, drill: { events: [{ do: 'air', at: 2, name: 'purge', flow: 0.4e-3, hold: 3 }, { do: 'air', at: 3, name: 'leak', flow: 0.2e-3 }] } });
    const rise = (t: number): number => at(trace, 'airGs', t) - at(trace, 'airGs', 1.9);
    // the bench has 20 °C, the standard air 15 °C: √(293.15/288.15) more
    const thin = Math.sqrt(293.15 / 288.15);
    expect(rise(2.01)).toBeCloseTo(0.4 * thin, 4);
    expect(rise(3.01)).toBeCloseTo(0.6 * thin, 3);
    expect(rise(5.01)).toBeCloseTo(0.2 * thin, 3);
    expect(at(trace, 'speedRpm', 4)).toBeGreaterThan(at(trace, 'speedRpm', 1.9) + 30);
  });

  test('more than the step can follow is refused, saying how much would do', () => {
    expect(() => run({ engine: { throttle: { bore: 0.02 } }, valve: { kind: 'solenoid', size: { by: 'flow', flow: 3e-3 } }, drill: { events: [{ do: 'air', at: 1, flow: 30e-3 }] } })).toThrow(/^drill\.events\.0\.flow: 30 g\/s .* at most \d+ g\/s$/);
  });
});

test('the trace tells the coolant, and a drill puts it', () => {
  const trace = run({ ...held, drill: { start: { coolant: 300 }, events: [{ do: 'coolant', at: 2, temperature: 310 }] } });
  expect(at(trace, 'coolantC', 1)).toBeCloseTo(26.85, 9);
  expect(at(trace, 'coolantC', 3)).toBeCloseTo(36.85, 9);
});
