/** How logs are written: delimiters, decimals, headers, encodings, line ends. One invented file each. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { idle, plain, read, rows, said, table, times, values } from './logs.js';

const speeds = rows(100).map((k) => idle(k / 10).rpm);

describe('a log', () => {
  it('as it should be gives its channels in their units, and nothing to say', async () => {
    const log = await read(plain());
    expect(values(log, 'speed')).toEqual(speeds);
    expect(times(log)).toEqual(rows(100).map((k) => Number((k / 10).toFixed(1))));
    expect([...log.channels.keys()].sort()).toEqual(['coolant', 'map', 'speed']);
    expect(log.report).toMatchObject({ form: 'one row a sample', delimiter: 'comma', decimal: '.', rows: 100, gaps: [], left: [] });
    expect(log.report.notes).toEqual([]);
    expect(log.report.channels.map(({ by }) => by)).toEqual(['sure', 'sure', 'sure']);
  });

  it('is the same however its bytes are cut', async () => {
    const bytes = new TextEncoder().encode(plain(30));
    const whole = await read(bytes);
    await fc.assert(fc.asyncProperty(fc.integer({ min: 1, max: 300 }), async (size) => {
      const cut = await read(bytes, [], { size });
      expect(values(cut, 'map')).toEqual(values(whole, 'map'));
      expect(cut.report).toEqual(whole.report);
    }), { numRuns: 40 });
  });

  it.each([[';', 'semicolon'], ['\t', 'tab'], ['|', 'bar']])('with %j between its fields', async (delimiter, name) => {
    const log = await read(plain().replaceAll(',', delimiter));
    expect(values(log, 'speed')).toEqual(speeds);
    expect(log.report.delimiter).toBe(name);
  });

  it('with semicolons and decimal commas', async () => {
    const log = await read(plain().replaceAll(',', ';').replaceAll('.', ','));
    expect(values(log, 'map')).toEqual(rows(100).map((k) => idle(k / 10).kpa));
    expect(log.report.decimal).toBe(',');
  });

  it('with commas between its fields and decimal commas in quotation marks', async () => {
    const log = await read(table('"Time [s]","Engine speed [rpm]","MAP [kPa]"', 40, (k) => [`"${(k / 10).toFixed(1).replace('.', ',')}"`, idle(k / 10).rpm, `"${String(idle(k / 10).kpa.toFixed(1)).replace('.', ',')}"`]));
    expect(values(log, 'map')).toEqual(rows(40).map((k) => idle(k / 10).kpa));
    expect(times(log)[7]).toBeCloseTo(0.7, 12);
  });

  it('with thousands set apart: 1.234,5', async () => {
    const log = await read(table('Zeit [s];Drehzahl [1/min];Saugrohrdruck [mbar]', 40, (k) => [`${k},0`, `1.2${10 + k},5`, `33${k % 10},0`], ';'));
    expect(values(log, 'speed')).toEqual(rows(40).map((k) => 1210.5 + k));
    expect(values(log, 'map')[3]).toBeCloseTo(33.3, 9);
  });

  it('with a byte-order mark, CRLF line ends and quoted names', async () => {
    const log = await read(new TextEncoder().encode(`\ufeff${plain().replace('Time [s]', '"Time [s]"').replaceAll('\n', '\r\n')}`));
    expect(values(log, 'speed')).toEqual(speeds);
    expect(log.report.time.column).toBe('Time [s]');
  });

  it('with the line ends of old', async () => {
    expect(values(await read(plain().replaceAll('\n', '\r'), [], { size: 11 }), 'speed')).toEqual(speeds);
  });

  it('in UTF-16, and in the Western code page with its own °', async () => {
    const wide = await read(new Uint8Array(Buffer.from(`\ufeff${plain()}`, 'utf16le')));
    expect([wide.report.encoding, values(wide, 'coolant').length]).toEqual(['UTF-16', 100]);
    const western = await read(new Uint8Array(Buffer.from(plain(), 'latin1')));
    expect(western.report.encoding).toBe('Windows-1252');
    expect(western.report.channels.find(({ name }) => name === 'coolant')?.unitRead).toBe('°C');
  });

  it('with a row of units below the names', async () => {
    const log = await read(plain().replace(/^.*\n/, 'Time,Engine speed,MAP,Coolant\ns,rpm,mbar,°C\n'));
    expect(log.report.channels.find(({ name }) => name === 'map')?.unitGiven).toBe('mbar');
    expect(log.channels.get('speed')?.timeS.length).toBe(100);
  });

  it('with words and comments before its header, and blank and comment lines within', async () => {
    const lines = plain().split('\n');
    lines.splice(50, 0, '', '# the fan comes on', '');
    const log = await read(`Recorded on a bench\nOperator: nobody\n# comment, with, commas, in\n\n${lines.join('\n')}`);
    expect(values(log, 'speed')).toEqual(speeds);
    expect(said(log)).toContain('2 lines before the header passed over');
  });

  it('with trailing commas in data and header', async () => {
    const log = await read(plain().replace(/\n/g, ',,\n'));
    expect(values(log, 'coolant')).toEqual(rows(100).map((k) => idle(k / 10).c));
    expect(log.report.left).toEqual([]);
    expect(values(await read(plain().replace(/(\d)\n/g, '$1,\n')), 'speed')).toEqual(speeds);
  });

  it('whose header comes again in the middle, and one row of which is a marker', async () => {
    const lines = plain().split('\n');
    lines.splice(60, 0, lines[0] as string, 'MARK,,,');
    const log = await read(lines.join('\n'));
    expect(values(log, 'speed')).toEqual(speeds);
    expect(said(log)).toContain('the header comes 1 time more');
    expect(said(log)).toContain('1 row without a time that can be read left out, the first on line 62');
  });

  it('whose last row is cut off in a field, or in a number, does without it', async () => {
    for (const cut of [3, 8]) {
      const text = plain().trimEnd();
      const log = await read(text.slice(0, -cut));
      expect(log.report.notes).toContain('the last row is cut off, and left out');
      expect(values(log, 'speed')).toEqual(speeds.slice(0, -1));
    }
    expect(values(await read(plain().trimEnd()), 'speed')).toHaveLength(100);
    expect(values(await read(plain().trimEnd().slice(0, -1)), 'speed')).toHaveLength(99);
  });

  it('with words for no reading, and readings with their units behind them', async () => {
    const log = await read(table('Time,RPM,MAP,ECT', 40, (k) => [k / 10, k % 5 === 0 ? '---' : `${idle(k / 10).rpm} rpm`, k % 7 === 0 ? 'NaN' : `${idle(k / 10).kpa} kPa`, k % 4 === 0 ? '' : '83°C']));
    expect(values(log, 'speed')).toHaveLength(32);
    expect(log.report.channels.find(({ name }) => name === 'map')?.missing).toBe(6);
    expect(new Set(values(log, 'coolant'))).toEqual(new Set([83]));
  });

  it('without a header is read by the numbers of its columns', async () => {
    const log = await read(plain().replace(/^.*\n/, ''), ['time=#1', 'speed=#2', 'map=#3 [kPa]']);
    expect(values(log, 'speed')).toEqual(speeds);
    expect(said(log)).toContain('there is no header');
  });

  it('with a switch in words', async () => {
    const log = await read(table('Time,RPM,Clutch,A/C', 40, (k) => [k / 10, idle(k / 10).rpm, k < 20 ? 'pressed' : 'released', k < 30 ? 'OFF' : 'ON']));
    expect(values(log, 'clutch')).toEqual(rows(40).map((k) => (k < 20 ? 1 : 0)));
    expect(log.channels.get('load:air-conditioner')).toMatchObject({ switch: true });
  });

  it('of one row a reading is sorted into channels', async () => {
    const text = `"SECONDS";"NAME";"VALUE";"UNITS"\n${rows(60).map((k) => {
      const t = (k * 0.7).toFixed(2);
      return `"${t}";"Engine RPM";"${idle(k).rpm}";"rpm"\n"${(k * 0.7 + 0.2).toFixed(2)}";"Intake manifold absolute pressure";"${idle(k).kpa}";"kPa"\n"${(k * 0.7 + 0.4).toFixed(2)}";"Engine coolant temperature";"${idle(k).c}";"℃"`;
    }).join('\n')}\n`;
    const log = await read(text.replaceAll('℃', '°C'));
    expect(log.report.form).toBe('one row a reading');
    expect(values(log, 'speed')).toEqual(rows(60).map((k) => idle(k).rpm));
    expect(times(log, 'map')[1]).toBeCloseTo(0.9, 9);
    expect([...log.channels.keys()].sort()).toEqual(['coolant', 'map', 'speed']);
  });
});

describe('what is no log is refused:', () => {
  it.each<[string, string | Uint8Array, string]>([
    ['an empty file', '', 'is empty'],
    ['blank lines', '\n\n\n', 'is empty'],
    ['binary rubbish', Uint8Array.from({ length: 5000 }, (_, k) => (k * 7919) % 251), 'is no text'],
    ['a letter', 'Dear sir,\nthe engine runs badly.\nYours\n', 'holds no rows of data'],
    ['a header alone', 'Time,RPM,MAP\n', 'holds no rows of data'],
    ['no column of time', 'RPM,MAP\n800,33\n790,34\n810,32\n799,33\n', 'no column runs as time does'],
    ['no speed', table('Time [s],MAP [kPa]', 40, (k) => [k, 33 + (k % 2)]), 'no column is plainly the engine speed'],
    ['a clock that stands', table('Time [s],RPM', 60, (k) => [5, 800 + (k % 3)]), 'no column runs as time does'],
  ])('%s', async (_, content, message) => {
    await expect(read(content)).rejects.toThrow(message);
  });

  it('one line without an end', async () => {
    await expect(read('a'.repeat(1_200_000))).rejects.toThrow('this is no log');
  });
});

it('a row of units that calls a switch 0 or 1 is one', async () => {
  const log = await read(`time,speed,closed\ns,rpm,0 or 1\n${rows(40).map((k) => `${k / 20},${800 + (k % 3)},1`).join('\n')}\n`);
  expect(values(log, 'speed').slice(0, 3)).toEqual([800, 801, 802]);
  expect(log.channels.has('speed')).toBe(true);
});
