/** Logs as people have them: odd headers, odd stamps, odd units, and files that are no logs. One invented file each. */
import { gzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fieldsOf } from '../../src/identify/log/cells.js';
import { idle, plain, read, rows, said, table, times, values } from './logs.js';

const N = 120;
const rpm = (k: number): number => idle(k / 10).rpm;
const kpa = (k: number): number => idle(k / 10).kpa;
const speeds = rows(N).map(rpm);
const two = (n: number): string => String(n).padStart(2, '0');
const mean = (v: readonly number[]): number => v.reduce((sum, x) => sum + x, 0) / v.length;
const bytes = (text: string, encoding: BufferEncoding): Uint8Array => new Uint8Array(Buffer.from(text, encoding));
const log = (header: string, row: (k: number) => readonly (string | number)[], delimiter = ','): string => table(header, N, row, delimiter);

describe('a header', () => {
  it('may have line breaks in its titles', async () => {
    const got = await read(log('"Time\n[s]","Engine\r\nspeed [rpm]","MAP ""raw""\n[kPa]"', (k) => [k / 10, rpm(k), kpa(k)]));
    expect(values(got, 'speed')).toEqual(speeds);
    expect(got.report.channels.map(({ column }) => column)).toEqual(['Engine speed [rpm]', 'MAP "raw" [kPa]']);
  });

  it('with a quotation mark that is never closed, or inches in it, swallows nothing', async () => {
    const inches = await read(log('Time [s],RPM,MAP ("Hg)', (k) => [k / 10, rpm(k), (kpa(k) / 3.386389).toFixed(3)]));
    expect(mean(values(inches, 'map'))).toBeCloseTo(33, 0);
    const open = await read(log('"Time,RPM,MAP', (k) => [k === 50 ? '"5' : k / 10, rpm(k), kpa(k)]));
    expect(values(open, 'speed')).toHaveLength(N);
  });

  it('may stand in a comment, below rows of facts, or below groups of columns', async () => {
    const commented = await read(log('# made on the bench\n# Time,RPM,MAP', (k) => [k / 10, rpm(k), kpa(k)]));
    expect(values(commented, 'map')).toEqual(rows(N).map(kpa));
    const facts = 'Recorder,3\nSerial,12345\nDate,2024-03-05,10:11:12\nRate,10,Hz\nNotes,"blue, small",\n2024-03-05,10:11:12\n\n';
    const below = await read(facts + log('Time,RPM,MAP,ECT,Load', (k) => [k / 10, rpm(k), kpa(k), 82, 25]));
    expect(values(below, 'speed')).toEqual(speeds);
    const grouped = await read(log('Engine,,,Vehicle\nTime,Speed,Temperature,Speed\ns,rpm,°C,km/h', (k) => [k / 10, rpm(k), 82, 0]));
    expect([...grouped.channels.keys()].sort()).toEqual(['coolant', 'speed', 'vss']);
    expect(values(grouped, 'speed')).toEqual(speeds);
  });

  it('may name a column twice: the same values are taken once, others are asked about by number', async () => {
    const twins = await read(log('Time,RPM,RPM,MAP', (k) => [k / 10, rpm(k), rpm(k), kpa(k)]));
    expect(values(twins, 'speed')).toEqual(speeds);
    expect(said(twins)).toContain('speed: 2 columns called RPM hold the same; #2 is read');
    await expect(read(log('Time,RPM,RPM', (k) => [k / 10, rpm(k), rpm(k) + 50]))).rejects.toThrow('could be RPM (#2) or RPM (#3); give --map speed=#NUMBER');
  });

  it('may be missing, and the message says how to go on', async () => {
    await expect(read(rows(40).map((k) => `${k / 10},${rpm(k)},33`).join('\n'))).rejects.toThrow('there is no header to say which column is the engine speed; give its number, as in --map speed=#2. There are 3 columns');
  });

  it('is where a message about its columns points', async () => {
    await expect(read(`Recorder,3\n\n${log('Time,MAP,ECT', (k) => [k / 10, kpa(k), 82])}`)).rejects.toThrow(/^log\.csv:3:1 {2}speed: no column is plainly the engine speed/);
  });
});

describe('cells', () => {
  it('all in quotation marks, with thousands set apart', async () => {
    const got = await read(log('"Time","RPM","MAP"', (k) => [`"${k / 10}"`, `"1,${rpm(k)}"`, `"${kpa(k)}"`]));
    expect(values(got, 'speed')).toEqual(speeds.map((v) => v + 1000));
  });

  it.each(["1'", '1 ', '1\u00a0', '1\u202f'])('with thousands as in %j', async (before) => {
    const got = await read(log('Time;RPM', (k) => [k / 10, `${before}${rpm(k)}`], ';'));
    expect(values(got, 'speed')).toEqual(speeds.map((v) => v + 1000));
  });

  it('with their units behind them tell the unit, in words or by one sign', async () => {
    const got = await read(log('Time,RPM,ECT,Speed,MAP', (k) => [`${k / 10} s`, `${rpm(k)} revolutions_per_minute`, '180 ℉', '31 mph', `${kpa(k) * 10} hPa`]));
    expect(times(got).at(-1)).toBeCloseTo(11.9, 9);
    expect(values(got, 'coolant')[0]).toBeCloseTo(82.22, 2);
    expect(values(got, 'vss')[0]).toBeCloseTo(49.9, 1);
    expect(values(got, 'map')[7]).toBeCloseTo(kpa(7), 9);
  });

  it('of a log of one row a reading have them too', async () => {
    const got = await read(`stamp,name,value\n${rows(N).map((k) => `${k / 5},RPM,${rpm(k)}\n${k / 5 + 0.1},ECT,180 °F`).join('\n')}\n`);
    expect(got.report.form).toBe('one row a reading');
    expect(values(got, 'coolant')[3]).toBeCloseTo(82.22, 2);
  });

  it('in rows below the end that sum up are no readings', async () => {
    const got = await read(`${plain()}\nMin,781,31,82\nMax,819,35,84\nAverage,800,33,83\nEnd of log\n`);
    expect(values(got, 'speed')).toHaveLength(100);
    expect(said(got)).toContain('4 rows without a time that can be read left out, the first on line 103');
  });

  it('are cut as they are however they are quoted', () => {
    const cell = fc.string({ unit: fc.constantFrom('a', '1', ' ', '"', ';', '.'), maxLength: 5 });
    fc.assert(fc.property(fc.array(cell, { minLength: 1, maxLength: 6 }), (cells) => {
      const line = cells.map((c) => `"${c.replaceAll('"', '""')}"`).join(';');
      expect(fieldsOf(line, ';')).toEqual(cells);
    }));
  });
});

describe('stamps', () => {
  const at = (k: number): { h: number; m: number; s: string } => {
    const t = 43_194 + k / 10; // just before noon
    return { h: Math.floor(t / 3600), m: Math.floor((t % 3600) / 60), s: (t % 60).toFixed(3).padStart(6, '0') };
  };
  it.each<[string, (k: number) => string]>([
    ['of twelve hours', (k) => `${((at(k).h + 11) % 12) + 1}:${two(at(k).m)}:${at(k).s} ${at(k).h < 12 ? 'AM' : 'p.m.'}`],
    ['behind a date with the month first', (k) => `3/25/2024 ${((at(k).h + 11) % 12) + 1}:${two(at(k).m)}:${at(k).s} ${at(k).h < 12 ? 'AM' : 'PM'}`],
    ['behind the name of a month', (k) => `05-Mar-2024 ${two(at(k).h)}:${two(at(k).m)}:${at(k).s}`],
    ['behind a month in German', (k) => `5. Mrz 2024 ${two(at(k).h)}:${two(at(k).m)}:${at(k).s}`],
    ['amid a date in words, with a zone', (k) => `Tue Mar 05 ${two(at(k).h)}:${two(at(k).m)}:${at(k).s} GMT+01:00 2024`],
    ['with a colon before the milliseconds', (k) => `${two(at(k).h)}:${two(at(k).m)}:${at(k).s.replace('.', ':')}`],
    ['without any signs', (k) => `20240305T${two(at(k).h)}${two(at(k).m)}${at(k).s}`],
    ['as days of a spreadsheet', (k) => (45_356.42 + k / 864_000).toFixed(9)],
  ])('%s', async (_, stamp) => {
    const got = await read(log('Timestamp;RPM', (k) => [stamp(k), rpm(k)], ';'));
    expect(values(got, 'speed')).toEqual(speeds);
    expect(got.durationS).toBeCloseTo(11.9, 3);
    expect(got.report.time.jumps).toEqual([]);
  });

  it('without seconds are coarse', async () => {
    const got = await read(log('Time,RPM', (k) => [`2024-03-05 10:${two(11 + Math.floor(k / 30))}`, rpm(k)]));
    expect(got.report.time.coarseS).toBe(60);
    expect(values(got, 'speed')).toHaveLength(N);
  });

  it('have their date in a column before them', async () => {
    const got = await read(log('Date,Time,RPM', (k) => ['2024-03-05', `${two(at(k).h)}:${two(at(k).m)}:${at(k).s}`, rpm(k)]));
    expect([got.report.time.column, values(got, 'speed').length]).toEqual(['Time', N]);
  });

  it('without a name are what hardly ever falls, and no temperature that comes and goes', async () => {
    const got = await read(log('CATALYST_TEMPERATURE (),ENGINE_RUN (),RPM ()', (k) => [430 + (k % 5), 40 + Math.floor(k / 3), rpm(k)]));
    expect(said(got)).toContain('column ENGINE_RUN () is taken for it');
  });

  it('that are given and do not run are refused', async () => {
    await expect(read(plain(), ['time=MAP'])).rejects.toThrow('column MAP does not run as time does');
  });
});

describe('manifold pressure that counts from the open air is noticed, and what was done is said:', () => {
  it.each<[string, string, (k: number) => string]>([
    ['vacuum in inches of mercury', 'Manifold vacuum (inHg)', (k) => ((101.325 - kpa(k)) / 3.386389).toFixed(3)],
    ['vacuum in kPa', 'Intake vacuum [kPa]', (k) => (101.325 - kpa(k)).toFixed(1)],
    ['vacuum with its sign', 'Manifold vacuum [kPa]', (k) => (kpa(k) - 101.325).toFixed(1)],
    ['gauge pressure, by its sign', 'MAP [kPa]', (k) => (kpa(k) - 101.325).toFixed(1)],
    ['gauge pressure, by its unit', 'MAP [psig]', (k) => ((kpa(k) - 101.325) / 6.894757).toFixed(3)],
    ['gauge pressure without a unit that only bar can be', 'MAP', (k) => ((kpa(k) - 101.325) / 100).toFixed(4)],
  ])('%s', async (_, title, of) => {
    const got = await read(log(`Time,RPM,${title}`, (k) => [k / 10, rpm(k), of(k)]));
    expect(said(got)).toMatch(/counts (down )?from the open air.*Made absolute with 101\.3 kPa, since the log has no barometer/);
    values(got, 'map').forEach((v, k) => expect(Math.abs(v - kpa(k))).toBeLessThan(0.1));
  });

  it('with the barometer of the log, where it has one', async () => {
    const got = await read(log('Time,RPM,Manifold vacuum [kPa],Barometric pressure [hPa]', (k) => [k / 10, rpm(k), (85 - kpa(k)).toFixed(1), 850]));
    expect(said(got)).toContain('the 85 kPa of Barometric pressure [hPa]');
    expect(values(got, 'map')[4]).toBeCloseTo(kpa(4), 6);
  });

  it('left out where its unit cannot be told', async () => {
    const got = await read(log('Time,RPM,Vacuum', (k) => [k / 10, rpm(k), (20 + (k % 3)).toFixed(1)]));
    expect(got.channels.has('map')).toBe(false);
    expect(said(got)).toContain('it is left out; give --map map=COLUMN [unit]');
  });
});

describe('values', () => {
  it('in mmHg without a unit are doubted, and kept', async () => {
    const got = await read(log('Time,RPM,MAP', (k) => [k / 10, rpm(k), (kpa(k) / 0.1333224).toFixed(1)]));
    expect(said(got)).toContain('is rare for manifold absolute pressure; as mmHg it would be 33');
    expect(mean(values(got, 'map'))).toBeGreaterThan(200);
  });

  it('of a drive without an idle are no wrong unit', async () => {
    const got = await read(log('Time [s],RPM [rpm]', (k) => [k / 10, 2800 + 400 * Math.sin(k / 9)]));
    expect(said(got)).not.toContain('cannot be');
  });

  it.each([['atm', 101.325], ['mmHg', 0.1333224], ['kPa', 1], ['kg/cm²', 98.0665], ['MPa', 1000]])('in %s are converted', async (unit, size) => {
    const got = await read(log(`Time;RPM;MAP [${unit}]`, (k) => [k / 10, rpm(k), (kpa(k) / size).toFixed(6)], ';'));
    expect(values(got, 'map')[9]).toBeCloseTo(kpa(9), 2);
  });
});

describe('what is no table is refused, and what to do is said:', () => {
  it.each<[string, string | Uint8Array, string]>([
    ['a picture', Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, ...rows(200)]), 'is a picture'],
    ['packed', new Uint8Array(gzipSync(plain())), 'is packed by gzip: unpack it first'],
    ['a spreadsheet', Uint8Array.from([0x50, 0x4b, 3, 4, ...rows(200)]), 'save the sheet as CSV'],
    ['JSON', '{"time": [0, 1, 2],\n "rpm": [800, 801, 802]}\n', 'is JSON, no table'],
    ['a page', '<!DOCTYPE html>\n<table><tr><td>1</td></tr></table>\n', 'is a page or XML, no table'],
    ['columns apart by blanks', log('Time RPM MAP', (k) => [`${k / 10}   ${rpm(k)}   ${kpa(k)}`]), 'has its columns set apart by blanks: commas, semicolons or tabs are wanted'],
  ])('%s', async (_, content, message) => {
    await expect(read(content)).rejects.toThrow(message);
  });

  it('a stretch outside the log', async () => {
    await expect(read(plain(), [], { fromS: 500, toS: 600 })).rejects.toThrow('no row from 500 s to 600 s: the log goes from 0 to 9.9 s');
  });
});

describe('text', () => {
  it.each<BufferEncoding>(['utf16le', 'latin1'])('in %s without a mark is told by its bytes', async (encoding) => {
    const got = await read(bytes(plain(), encoding));
    expect(values(got, 'coolant')).toHaveLength(100);
  });

  it('is the same however its bytes are cut, whatever its line ends', async () => {
    const mixed = rows(40).map((k) => `${k / 10},${rpm(k)}${['\n', '\r\n', '\r'][k % 3]}`).join('');
    await fc.assert(fc.asyncProperty(fc.integer({ min: 1, max: 60 }), async (size) => {
      expect(values(await read(bytes(`Time,RPM\n${mixed}`, 'utf8'), [], { size }), 'speed')).toEqual(speeds.slice(0, 40));
    }), { numRuns: 40 });
  });
});
