/** Traces for the eye, and the fingerprint of their bits. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { thin } from '../../src/page/thin.js';
import { traceBits } from '../../src/page/trace-bits.js';
import { first } from './scenarios.js';

const columnsOf = (values: readonly number[]): { timeS: Float64Array; v: Float64Array } => ({ timeS: Float64Array.from(values, (_, i) => i), v: Float64Array.from(values) });

describe('a thinned trace', () => {
  test('loses no dip and no spike, keeps its ends of time, and has no more points than asked for', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 1, maxLength: 400 }), fc.integer({ min: 4, max: 60 }), (values, most) => {
        const { timeS, columns, by } = thin(columnsOf(values), values.length, most);
        const v = [...columns.v!];
        expect(v.length).toBe(timeS.length);
        expect(v.length).toBeLessThanOrEqual(most);
        expect([Math.min(...v), Math.max(...v)]).toEqual([Math.min(...values), Math.max(...values)]);
        expect([timeS[0], timeS.at(-1)]).toEqual([0, values.length - 1]);
        expect([...timeS]).toEqual([...timeS].sort((a, b) => a - b));
        if (values.length <= most) expect([by, v]).toEqual([1, values]);
      }),
    );
  });

  test('gives lowest and highest in the order in which they came', () => {
    const { columns } = thin(columnsOf([0, 5, -5, 0, 0, -7, 7, 0]), 8, 4);
    expect([...columns.v!]).toEqual([5, -5, -7, 7]);
  });

  test('leaves out what lies beyond its rows', () => {
    expect([...thin(columnsOf([1, 2, 9]), 2).columns.v!]).toEqual([1, 2]);
  });
});

describe('the fingerprint of a trace', () => {
  test('changes with the last bit of one number, with an event and with a row', async () => {
    const trace = simulate(await first('solenoid.yaml'));
    const bits = traceBits(trace);
    expect(bits).toMatch(/^[0-9a-f]{16}$/);
    expect(traceBits(simulate(await first('solenoid.yaml')))).toBe(bits);
    const nudged = { ...trace, columns: { ...trace.columns, mapKpa: trace.columns.mapKpa.slice() } };
    nudged.columns.mapKpa[700]! *= 1 + 2 ** -52;
    expect(nudged.columns.mapKpa[700]).not.toBe(trace.columns.mapKpa[700]);
    const others = [nudged, { ...trace, rows: trace.rows - 1 }, { ...trace, events: trace.events.slice(1) }, { ...trace, end: { ...trace.end, because: 'else' } }];
    const found = [bits, ...others.map(traceBits)];
    expect(new Set(found).size).toBe(found.length);
    const swapped = { ...trace, columns: { ...trace.columns, airGs: trace.columns.fuelKgh, fuelKgh: trace.columns.airGs } };
    expect(traceBits(swapped)).not.toBe(bits);
  });
});
