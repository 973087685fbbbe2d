/** Even grids from uneven, held and broken readings; cells. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { resample, type Stretch } from '../../src/identify/log/index.js';
import { isNothing, numberOf, readingOf } from '../../src/identify/log/cells.js';
import { idle, read, rows, said, table } from './logs.js';

const column = (stretch: Stretch | undefined, name: string): number[] => [...(stretch?.columns.get(name as 'speed')?.values ?? [])];

describe('a resampled log', () => {
  it('of readings on the grid is those readings', async () => {
    const log = await read(table('Time,RPM', 100, (k) => [k / 10, idle(k / 10).rpm]));
    const { stretches, left } = resample(log, 0.1);
    expect(left).toEqual([]);
    expect(column(stretches[0], 'speed')).toEqual(rows(100).map((k) => idle(k / 10).rpm));
  });

  it('lies on a straight line between readings, wherever they are', async () => {
    const at = (k: number): number => Number((k * 0.31 + 0.1 * Math.sin(k)).toFixed(3));
    const log = await read(table('Time,RPM', 60, (k) => [at(k), 700 + 10 * at(k)]));
    const [stretch] = resample(log, 0.1).stretches;
    column(stretch, 'speed').forEach((v, k) => expect(v).toBeCloseTo(700 + 10 * ((stretch as Stretch).first + k) * 0.1 + 10 * at(0), 6));
  });

  it('of faster readings is their mean, so that what the grid cannot show does not come back as something slow', async () => {
    const log = await read(table('Time,RPM', 4000, (k) => [(k / 200).toFixed(3), 800 + 50 * (k % 2 === 0 ? 1 : -1)]));
    const got = column(resample(log, 0.1).stretches[0], 'speed').slice(1, -1);
    expect(Math.max(...got.map((v) => Math.abs(v - 800)))).toBeLessThan(6);
  });

  it('ends a stretch at a gap and where the clock was put back, and makes nothing up', async () => {
    const log = await read(table('Time,RPM', 120, (k) => [(k < 40 ? k / 10 : k < 80 ? 11 + k / 10 : (k - 80) / 10).toFixed(1), 800 + k]));
    const { stretches, left } = resample(log, 0.1);
    expect(stretches.map(({ rows: n }) => n)).toEqual([40, 40, 40]);
    expect(left[0]).toMatchObject({ fromS: 3.9, toS: 15 });
    expect(column(stretches[1], 'speed')[0]).toBe(840);
    expect(column(stretches[2], 'speed')[0]).toBe(880);
  });

  it('marks what is not known in a channel that is not required', async () => {
    const log = await read(table('Time,RPM,MAP', 200, (k) => [k / 10, 800 + (k % 3), k > 50 && k < 150 ? '' : 33 + (k % 2)]));
    const [stretch] = resample(log, 0.1).stretches;
    expect(stretch?.rows).toBe(200);
    const map = stretch?.columns.get('map');
    expect([map?.known?.[50], map?.known?.[51], map?.known?.[149], map?.known?.[150]]).toEqual([1, 0, 0, 1]);
    expect(map?.values[100]).toBeNaN();
    expect(stretch?.columns.get('speed')?.known).toBeNull();
    expect(resample(log, 0.1, { required: ['speed', 'map'] }).stretches).toHaveLength(2);
  });

  it('holds a switch', async () => {
    const log = await read(table('Time,RPM,Fan', 40, (k) => [k, 800 + (k % 3), k < 20 ? 0 : 1]));
    expect(column(resample(log, 0.5).stretches[0], 'load:fan').slice(36, 44)).toEqual([0, 0, 0, 0, 1, 1, 1, 1]);
  });

  it('of a channel that is read anew every two seconds goes straight from reading to reading', async () => {
    // a ramp of 5 rpm/s read every 2 s, repeated in rows of 0.1 s
    const log = await read(table('Time,RPM', 600, (k) => [(k / 10).toFixed(1), 700 + 10 * Math.floor(k / 20)]));
    expect(log.channels.get('speed')?.refreshS).toBeCloseTo(2, 6);
    expect(said(log)).toContain('speed is read anew only about every 2 s, though rows come every 0.1 s');
    const [stretch] = resample(log, 0.1).stretches;
    column(stretch, 'speed').slice(0, 570).forEach((v, k) => expect(v).toBeCloseTo(700 + k / 2, 6));
  });

  it('does not make a long ramp of a step after a long rest of such a channel', async () => {
    const read2 = (k: number): number => (k < 300 ? 700 + (Math.floor(k / 20) % 2) * 8 : k < 700 ? 750 : 900 + (Math.floor(k / 20) % 2) * 8);
    const log = await read(table('Time,RPM', 1000, (k) => [(k / 10).toFixed(1), read2(k)]));
    expect(log.channels.get('speed')?.refreshS).toBeCloseTo(2, 6);
    const got = column(resample(log, 0.1).stretches[0], 'speed');
    expect(got[660]).toBeCloseTo(750, 6);
    expect(got[720]).toBeGreaterThan(890);
  });

  it('takes a noisy speed at full rate for what it is', async () => {
    const log = await read(table('Time,RPM', 600, (k) => [(k / 10).toFixed(1), Math.round(800 + 20 * Math.sin(k * k))]));
    expect(log.channels.get('speed')?.refreshS).toBeNull();
  });

  it('is refused for no period and without what it requires', async () => {
    const log = await read(table('Time,RPM', 60, (k) => [k, 800 + (k % 2)]));
    expect(() => resample(log, 0)).toThrow('above 0');
    expect(() => resample(log, 1, { required: ['map'] })).toThrow('has no map');
  });
});

describe('a cell', () => {
  const plain = { decimal: '.', thousands: null } as const;

  it('that holds a number is that number to the last bit', () => {
    fc.assert(fc.property(fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.integer(), fc.integer({ min: -99999, max: 99999 }).map((k) => k / 1000)), (x) => Object.is(numberOf(String(x), plain), x + 0) || numberOf(String(x), plain) === x));
    for (const text of ['0.1', '-0.30', '123456789.12345', '.5', '5.', '1e3', '1E-3', ' 7 ', '+4']) expect(numberOf(text, plain)).toBe(Number(text));
  });

  it.each(['', ' ', '-', '.', '0x1F', 'Infinity', '1.2.3', '1e', 'abc', '0b1'])('that holds %j holds none', (text) => {
    expect(numberOf(text, plain)).toBeNaN();
  });

  it('may have its unit behind it, or be a word', () => {
    expect([readingOf('800 rpm', plain), readingOf('83°C', plain), readingOf('14.1V', plain), readingOf('On', plain), readingOf('aus', plain)]).toEqual([800, 83, 14.1, 1, 0]);
    expect(readingOf('12 monkeys 7', plain)).toBe(12);
    expect(readingOf('fuel cut', plain)).toBeNaN();
    expect(isNothing(' N/A ')).toBe(true);
  });
});
