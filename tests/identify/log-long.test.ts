/** Logs with more readings than are held: which parts are kept, that they are whole, and that the rest is said to be left out. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { resample } from '../../src/identify/log/index.js';
import { readingOf } from '../../src/identify/log/cells.js';
import { createScanner } from '../../src/identify/log/scan.js';
import { addReading, addSeries, advance, createStore, endStore } from '../../src/identify/log/store.js';
import { worthOf } from '../../src/identify/log/worth.js';
import { read, rows, said, table, times, values } from './logs.js';

const series = (of: (k: number) => number, n: number) => ({ length: n, timeS: Float64Array.from({ length: n }, (_, k) => k), values: Float64Array.from({ length: n }, (_, k) => of(k)) });

/** Driving at 2500 rpm all day, but for an idle from 6000 to 6400 s, and rows each second. */
const HOURS = 12_000;
const idles = (k: number): boolean => k >= 6000 && k < 6400;
const drive = table('Time [s],Engine speed [rpm],Throttle [%]', HOURS, (k) => [k, idles(k) ? 800 + (k % 7) : 2500 + (k % 50), idles(k) ? 0 : 15]);

describe('of a log that is too long', () => {
  it('the idle is kept, every row of it', async () => {
    const log = await read(drive, [], { mostReadings: 4000 });
    const kept = times(log);
    expect(kept.length).toBeLessThanOrEqual(2100);
    expect(rows(400).every((k) => kept.includes(6000 + k))).toBe(true);
    kept.forEach((t, k) => expect(values(log, 'speed')[k]).toBe(idles(t) ? 800 + (t % 7) : 2500 + (t % 50)));
  });

  it('what is left out is said, is no gap, and nothing goes on across it', async () => {
    const log = await read(drive, [], { mostReadings: 4000 });
    expect(said(log)).toMatch(/more readings than are held: of 3\.3 hours, .* with the most idling and events in them are looked at/);
    expect(log.report).toMatchObject({ gaps: [], rows: HOURS, averagedS: null, durationS: HOURS - 1 });
    const kept = log.report.kept ?? [];
    expect(log.breaks).toEqual(kept.slice(1).map(({ fromS }) => fromS));
    const { stretches, left } = resample(log, 1);
    expect(stretches).toHaveLength(kept.length);
    stretches.forEach(({ startS, rows: n }, i) => expect([startS, startS + n - 1]).toEqual([kept[i]?.fromS, kept[i]?.toS]));
    expect(left.every(({ because }) => because === 'the log holds more than is kept')).toBe(true);
  });

  it('any part can be read whole', async () => {
    const log = await read(drive, [], { fromS: 100, toS: 1100, mostReadings: 4000 });
    expect([times(log).length, log.report.kept]).toEqual([1001, null]);
  });

  it('the same is true of one row a reading, whose names are known only on the way, and whose unit is wrong', async () => {
    const long = `time;name;value;unit\n${rows(HOURS).map((k) => `${k};Engine speed;${((idles(k) ? 800 + (k % 7) : 2000 + (k % 50)) / 60).toFixed(4)};rpm\n${k}.5;Throttle;${idles(k) ? 0 : 15};%`).join('\n')}\n`;
    const log = await read(long, [], { mostReadings: 4000 });
    const kept = new Set(times(log));
    expect(rows(400).every((k) => kept.has(6000 + k))).toBe(true);
  });

  it('and has more than 20 rows a second, they are averaged first', async () => {
    const log = await read(table('Time [s],Engine speed [rpm]', 40_000, (k) => [(k / 200).toFixed(3), 800 + 50 * (k % 2 === 0 ? 1 : -1)]), [], { mostReadings: 6000 });
    expect(log.report.averagedS).toBeCloseTo(0.04, 6);
    expect(log.report.kept).toBeNull();
    expect(Math.max(...values(log, 'speed').map((v) => Math.abs(v - 800)))).toBeLessThanOrEqual(7);
  });
});

describe('the store', () => {
  it('never holds more than its budget and a row, whatever the rate', () => {
    fc.assert(fc.property(fc.array(fc.tuple(fc.integer({ min: 1, max: 2000 }), fc.double({ min: 0.001, max: 30, noNaN: true })), { minLength: 1, maxLength: 8 }), (runs) => {
      const store = createStore(1000, () => ([s]) => (s?.length ?? 0) % 7);
      addSeries(store, false);
      addSeries(store, true);
      let [t, most] = [0, 0];
      for (const [n, step] of runs) {
        for (let k = 0; k < n; k++) {
          advance(store, (t += step));
          addReading(store, 0, t);
          addReading(store, 1, k % 2);
          most = Math.max(most, store.held);
        }
      }
      expect(most).toBeLessThanOrEqual(1004);
      const { series: [first], cuts, kept } = endStore(store);
      const held = first?.timeS ?? new Float64Array();
      // a mean of times is the mean of values that are the times
      expect(held.every((at, k) => Math.abs((first?.values[k] as number) - at) < 1e-6)).toBe(true);
      expect(held.every((at, k) => k === 0 || at > (held[k - 1] as number))).toBe(true);
      expect(cuts.length).toBe(Math.max(0, (kept ?? []).length - 1));
    }), { numRuns: 60 });
  });
});

describe('a part of a log is worth more', () => {
  const none = { throttle: null, coolant: null, switches: [], slope: 1 };
  const idle = worthOf({ ...none, speed: series(() => 800, 300) });
  it.each<[string, number]>([
    ['than driving, for its idle', idle - worthOf({ ...none, speed: series(() => 2500, 300) })],
    ['than a steady idle, for a start', worthOf({ ...none, speed: series((k) => (k < 20 ? 0 : 800), 300) }) - idle],
    ['for each return', worthOf({ ...none, speed: series((k) => (k % 60 < 20 ? 2000 : 800), 300) }) - worthOf({ ...none, speed: series((k) => (k < 100 ? 2000 : 800), 300) })],
    ['for a load that is switched', worthOf({ ...none, speed: series(() => 800, 300), switches: [series((k) => (k > 90 ? 1 : 0), 300)] }) - idle],
    ['for a warm-up', worthOf({ ...none, speed: series(() => 800, 300), coolant: series((k) => 20 + k / 6, 300) }) - idle],
    ['than coasting with the throttle shut is worth with it open', idle - worthOf({ ...none, speed: series(() => 800, 300), throttle: series((k) => (k < 30 ? 0 : 20), 300) })],
  ])('%s', (_, more) => {
    expect(more).toBeGreaterThan(0);
  });
});

describe('a line that is scanned', () => {
  const notation = { decimal: ',', thousands: null } as const;
  const number = fc.oneof(fc.integer({ min: -99_999, max: 99_999 }).map(String), fc.double({ min: -1e4, max: 1e4, noNaN: true }).map((x) => x.toFixed(3).replace('.', ',')), fc.constantFrom('', '-', 'on', '1e3', '12 rpm', '  7 ', '+4', ',5', '5,', '1,2,3', '123456789012345678'));
  it('reads as its cells do, one by one, quoted or not', () => {
    fc.assert(fc.property(fc.array(fc.tuple(number, fc.boolean()), { minLength: 1, maxLength: 8 }), fc.string({ maxLength: 3 }), (cells, around) => {
      const line = cells.map(([cell, quoted]) => (quoted ? `"${cell}"` : cell)).join(';');
      const out = new Float64Array(cells.length);
      const scan = createScanner(';', notation, Int32Array.from(cells, (_, k) => k), (cell) => readingOf(cell, notation));
      expect(scan(around + line + around, around.length, around.length + line.length, out)).toBe(cells.length);
      expect([...out]).toEqual(cells.map(([cell]) => readingOf(cell, notation)));
    }));
  });

  it('passes over columns that are not wanted, and gives up on marks within fields', () => {
    const scan = createScanner(',', { decimal: '.', thousands: null }, Int32Array.from([-1, 0]), () => Number.NaN);
    const out = new Float64Array(1);
    expect([scan('a "b" c,5,x', 0, 11, out), out[0]]).toEqual([3, 5]);
    expect([scan('"a,b",5', 0, 7, out), out[0]]).toEqual([2, 5]);
    expect(scan('"a ""b""",5', 0, 11, out)).toBe(-1);
  });
});
