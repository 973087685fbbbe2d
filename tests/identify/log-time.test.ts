/** Time in logs: how stamps are written, and all that goes wrong with them. One invented file each. */
import { describe, expect, it } from 'vitest';
import { idle, plain, read, rows, said, table, times, values } from './logs.js';

const speedAt = (k: number): number => idle(k / 10).rpm;
const timed = (stamp: (k: number) => string | number, header = 'Time', n = 100): string => table(`${header},Engine speed [rpm]`, n, (k) => [stamp(k), speedAt(k)]);
const two = (n: number): string => String(n).padStart(2, '0');

describe('stamps are read', () => {
  it.each<[string, (k: number) => string | number, string]>([
    ['in milliseconds, as the header says', (k) => k * 100, 'Time [ms]'],
    ['in milliseconds, as their steps say', (k) => 40_000 + k * 100, 'Time'],
    ['in milliseconds since 1970', (k) => 1_700_000_000_000 + k * 100, 'timestamp'],
    ['in seconds since 1970', (k) => (1_700_000_000 + k / 10).toFixed(1), 'timestamp'],
    ['in microseconds', (k) => k * 100_000, 'Time (us)'],
    ['in minutes', (k) => (k / 600).toFixed(9), 'Time (minutes)'],
    ['as times of day', (k) => `09:59:${two(55 + Math.floor(k / 10)).slice(-2)}.${k % 10}00`.replace(/59:(6\d)/, (_, s) => `60:${two(Number(s) - 60)}`).replace('09:60', '10:00'), 'Time'],
    ['as dates and times, ISO 8601', (k) => new Date(Date.UTC(2024, 1, 28, 23, 59, 55) + k * 100).toISOString(), 'timestamp'],
    ['as dates and times with a blank and a zone', (k) => `${new Date(Date.UTC(2024, 1, 28, 23, 59, 55) + k * 100).toISOString().replace('T', ' ').replace('Z', '')}+02:00`, 'Date time'],
    ['as dates, day first', (k) => `28.02.2024 12:00:${two(Math.floor(k / 10))}.${k % 10}`, 'Zeit'],
    ['as minutes and seconds', (k) => `3:${two(Math.floor(k / 10))}.${k % 10}`, 'Elapsed'],
  ])('%s', async (_, stamp, header) => {
    const log = await read(timed(stamp, header));
    expect(log.report.time.periodS).toBeCloseTo(0.1, 6);
    expect(log.durationS).toBeCloseTo(9.9, 5);
    expect(times(log)[0]).toBe(0);
  });

  it('over midnight', async () => {
    const log = await read(timed((k) => (k < 50 ? `23:59:5${5 + Math.floor(k / 10)}.${k % 10}` : `00:00:0${Math.floor((k - 50) / 10)}.${k % 10}`)));
    expect(log.durationS).toBeCloseTo(9.9, 9);
    expect(log.breaks).toEqual([]);
  });

  it('from a column without a name for it, since it alone runs as time does', async () => {
    const log = await read(table('Engine run,RPM,ECT', 60, (k) => [k, speedAt(k), 80]));
    expect(said(log)).toContain('column Engine run is taken for it, since it alone runs as time does');
  });

  it('as given, and a column that holds none is refused', async () => {
    const text = table('a,b,RPM', 30, (k) => [k, 'x', speedAt(k)]);
    expect((await read(text, ['time=a [ms]'])).durationS).toBeCloseTo(0.029, 9);
    await expect(read(text, ['time=b'])).rejects.toThrow('--map  time: column b holds no times: x');
  });
});

describe('what goes wrong with stamps', () => {
  it('whole seconds that repeat are spread evenly over the second, and it is said', async () => {
    const log = await read(timed((k) => Math.floor((k + 3) / 10)));
    expect(times(log).slice(1).map((t, k) => t - (times(log)[k] as number)).every((d) => Math.abs(d - 0.1) < 1e-9)).toBe(true);
    expect(said(log)).toContain('about 10 rows share a stamp of 1 s; they are spread evenly over it, and any may be out by up to 1 s');
    expect(log.report.time.coarseS).toBe(1);
  });

  it('whole seconds shared unevenly still rise, and no row leaves its second', async () => {
    const stamps = rows(120).map((k) => Math.floor(k * 0.37 + 0.3 * Math.sin(k)));
    const log = await read(timed((k) => stamps[k] as number, 'Time [s]', 120));
    const got = times(log);
    expect(got.slice(1).every((t, k) => t > (got[k] as number))).toBe(true);
    got.slice(5).forEach((t, k) => expect(Math.floor(t + (got[0] as number) + 1e-9 + 1)).toBeGreaterThanOrEqual(stamps[k + 5] as number));
  });

  it('rows that come twice are counted once', async () => {
    const lines = plain().split('\n');
    lines.splice(30, 0, lines[29] as string);
    lines.splice(60, 0, lines[59] as string);
    const log = await read(lines.join('\n'));
    expect(log.report.time).toMatchObject({ duplicates: 2, conflicts: 0 });
    expect(values(log, 'speed')).toEqual(rows(100).map(speedAt));
  });

  it('of two rows with one stamp and other values the first is kept, and what it lacks is filled in', async () => {
    const log = await read(timed((k) => k / 10).replace('\n2.5,', '\n2.5,9000\n2.5,'));
    expect(log.report.time.conflicts).toBe(1);
    expect(values(log, 'speed')[25]).toBe(9000);
    const sparse = await read(table('Time,RPM,MAP', 100, (k) => [(Math.floor(k / 2) / 10).toFixed(1), k % 2 === 0 ? speedAt(k) : '', k % 2 === 1 ? 33 + (k % 3) : '']), [], {});
    expect(sparse.channels.get('speed')?.timeS).toHaveLength(50);
    expect(sparse.channels.get('map')?.timeS).toHaveLength(50);
  });

  it('a row out of order is left out', async () => {
    const lines = plain().split('\n');
    const [late] = lines.splice(40, 1);
    lines.splice(43, 0, late as string);
    const log = await read(lines.join('\n'));
    expect(log.report.time.backward).toBe(1);
    expect(times(log)).toHaveLength(99);
    expect(log.breaks).toEqual([]);
  });

  it('a clock that is put back starts a new stretch, and time goes on', async () => {
    const log = await read(timed((k) => (500 + (k < 60 ? k : k - 60) / 10).toFixed(1)));
    expect(log.report.time.jumps).toHaveLength(1);
    expect(log.report.time.jumps[0]).toMatchObject({ line: 62 });
    expect(log.breaks[0]).toBeCloseTo(6, 9);
    expect(times(log)).toHaveLength(100);
    expect(log.durationS).toBeCloseTo(9.9, 9);
    expect(said(log)).toContain('the clock goes back by 5.9 s at line 62');
  });

  it('one stamp far ahead is left out; a clock that stays ahead leaves a gap', async () => {
    const stray = await read(timed((k) => (k === 50 ? 99_999 : k / 10)));
    expect(stray.report.time.stray).toBe(1);
    expect(stray.durationS).toBeCloseTo(9.9, 9);
    const ahead = await read(timed((k) => (k < 50 ? k / 10 : 1000 + k / 10)));
    expect(ahead.report.gaps).toHaveLength(1);
    expect(ahead.durationS).toBeCloseTo(1009.9, 9);
  });

  it('a gap of 11 s is told, and nothing is made up for it', async () => {
    const log = await read(timed((k) => (k < 50 ? k / 10 : 11 + k / 10)));
    expect(log.report.gaps).toEqual([{ fromS: 4.9, toS: 16 }]);
    expect(said(log)).toContain('1 gap, the longest of 11.1 s; nothing is made up for them');
  });

  it('uneven steps stay as they are', async () => {
    const stamps = rows(100).map((k) => Number((k * 0.1 + 0.03 * Math.sin(7 * k)).toFixed(3)));
    const log = await read(timed((k) => stamps[k] as number));
    times(log).forEach((t, k) => expect(t).toBeCloseTo((stamps[k] as number) - (stamps[0] as number), 9));
  });

  it('a clock that stands still from some row on is refused', async () => {
    const text = `${timed((k) => k / 10)}${'10,800\n'.repeat(20_010)}`;
    await expect(read(text)).rejects.toThrow('the clock stands still');
  });
});
