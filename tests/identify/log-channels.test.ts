/** Which column is which, and in which unit: as given, as guessed, and where the header is wrong. One invented file each. */
import { describe, expect, it } from 'vitest';
import { parseMap, parseMappingFile } from '../../src/identify/log/index.js';
import { idle, plain, read, rows, said, table, values } from './logs.js';

const K = rows(200);
const mean = (v: readonly number[]): number => v.reduce((sum, x) => sum + x, 0) / v.length;
/** A log of some columns, each its title and its value at row k; time is added. */
const log = (columns: Readonly<Record<string, (k: number) => number | string>>, map: readonly string[] = []) =>
  read(table(['Time [s]', ...Object.keys(columns)].join(';'), K.length, (k) => [(k / 10).toFixed(1), ...Object.values(columns).map((of) => of(k))], ';'), map);
const rpm = (k: number): number => idle(k / 10).rpm;
const kpa = (k: number): number => idle(k / 10).kpa;
const channelOf = async (columns: Parameters<typeof log>[0], channel: string) => (await log(columns)).report.channels.find(({ name }) => name === channel);

describe('names are known by their meaning', () => {
  it.each([
    'Engine RPM', 'engine_speed', 'EngineSpeed', 'RPM', 'Motordrehzahl (1/min)', 'Drehzahl', 'Régime moteur (tr/min)', 'Régimen del motor', 'Rotação do motor', 'ENGINE_RPM ()', 'Speed [rpm]',
  ])('engine speed: %s', async (title) => {
    expect((await channelOf({ [title]: rpm, 'Vehicle speed [km/h]': () => 0, 'Idle target speed [rpm]': () => 800 }, 'speed'))?.column).toBe(title);
  });

  it.each<[string, string, (k: number) => number]>([
    ['map', 'INTAKE_MANIFOLD_PRESSURE ()', kpa], ['map', 'Saugrohrdruck [hPa]', (k) => 10 * kpa(k)], ['map', 'Pression d’admission (mbar)', (k) => 10 * kpa(k)], ['map', 'Presión de admisión', kpa],
    ['coolant', 'ECT', () => 85], ['coolant', 'COOLANT_TEMPERATURE ()', () => 85], ['coolant', 'Kühlmitteltemperatur °C', () => 85], ['coolant', 'Température eau', () => 85], ['coolant', 'Temperatura del refrigerante', () => 85],
    ['iat', 'INTAKE_AIR_TEMP ()', () => 35], ['iat', 'Ansauglufttemperatur', () => 35], ['iat', 'Temperatura do ar', () => 35],
    ['spark', 'TIMING_ADVANCE ()', (k) => 10 + (k % 5)], ['spark', 'Zündwinkel [°KW]', (k) => 10 + (k % 5)], ['spark', 'Avance à l’allumage', (k) => 10 + (k % 5)],
    ['vss', 'VEHICLE_SPEED ()', (k) => k % 40], ['vss', 'Geschwindigkeit', (k) => k % 40], ['vss', 'Speed (km/h)', (k) => k % 40],
    ['throttle', 'THROTTLE ()', () => 16], ['throttle', 'TP', () => 16], ['throttle', 'Drosselklappe [%]', () => 16],
    ['supply', 'CONTROL_MODULE_VOLTAGE ()', () => 14.1], ['supply', 'Batteriespannung [V]', () => 14.1],
    ['air', 'Idle valve duty [%]', (k) => 30 + (k % 3)], ['air', 'IAC steps', (k) => 120 + (k % 3)], ['maf', 'MAF (g/s)', (k) => 2.5 + (k % 3) / 10], ['target', 'Solldrehzahl', () => 800],
    ['clutch', 'Kupplung', (k) => (k > 50 ? 1 : 0)], ['load:fan', 'Cooling fan', (k) => (k > 50 ? 1 : 0)],
  ])('%s: %s', async (channel, title, of) => {
    const others = { 'ABSOLUTE_BAROMETRIC_PRESSURE ()': () => 95, 'CATALYST_TEMPERATURE_BANK1 ()': () => 420, 'Oil temperature': () => 90, 'RELATIVE_THROTTLE_POSITION ()': () => 3 };
    const got = await channelOf({ RPM: rpm, ...others, [title]: of }, channel);
    expect(got?.column).toBe(title);
  });

  it('and what is nothing of the sort is left, and listed', async () => {
    const got = await log({ RPM: rpm, 'Barometric pressure': () => 101, 'Fuel trim': () => 2, 'Oil temperature': () => 90 });
    expect(got.report.left).toEqual(['Barometric pressure', 'Fuel trim', 'Oil temperature']);
    expect([...got.channels.keys()]).toEqual(['speed']);
  });

  it('two that serve equally well are asked about where the channel is needed, and left out where it is not', async () => {
    await expect(log({ 'Engine speed left': rpm, 'Engine speed right': rpm })).rejects.toThrow('speed: could be Engine speed left or Engine speed right; give --map speed=COLUMN');
    const got = await log({ RPM: rpm, 'Throttle left': () => 5, 'Throttle right': () => 5 });
    expect(got.channels.has('throttle')).toBe(false);
    expect(said(got)).toContain('throttle could be Throttle left or Throttle right, and is left out; --map throttle=COLUMN takes one');
  });
});

describe('columns are given', () => {
  it('by title, by name without unit, in any case, by number, with a unit, and as loads', async () => {
    const columns = { 'X1 (rpm)': rpm, 'Druck 7': (k: number) => 10 * kpa(k), lamp: (k: number) => (k > 9 ? 'on' : 'off') };
    const got = await log(columns, ['speed=x1', 'map=Druck 7 [mbar]', 'load:lamps=#4']);
    expect(values(got, 'speed')).toEqual(K.map(rpm));
    expect(values(got, 'map')[5]).toBeCloseTo(kpa(5), 9);
    expect(values(got, 'load:lamps').filter((v) => v === 0)).toHaveLength(10);
    expect(got.report.channels.every(({ by }) => by === 'given')).toBe(true);
  });

  it.each<[string, string]>([
    ['speed=Engine sped', 'no column is called Engine sped; did you mean Engine speed'],
    ['speed=#9', 'there is no column #9; the log has 4'],
    ['speed=Engine speed [furlong]', 'furlong is no unit that is known'],
    ['speed=Coolant [°C]', 'is in °C, which is no unit of engine speed'],
  ])('wrongly: %s', async (map, message) => {
    await expect(read(plain(), [map])).rejects.toThrow(message);
  });

  it('twice by a name that two columns have', async () => {
    await expect(log({ RPM: rpm, 'RPM ': rpm }, ['speed=RPM'])).rejects.toThrow('2 columns are called RPM; say which by number: #2, #3');
  });

  it('in a way that cannot be read', () => {
    const { problems } = parseMap(['sped=RPM', 'speed', 'map=', 'iat=a', 'iat=b']);
    expect(problems.map(({ message }) => message)).toEqual([
      expect.stringContaining('no such channel; did you mean speed? There are time, speed, map'), expect.stringContaining('channel=column is wanted'), 'a column is wanted', 'is given twice',
    ]);
  });

  it('in a file, with places of what is wrong in it', () => {
    const good = parseMappingFile('map.yaml', 'speed: Engine RPM [rpm]\nload:fan: Fan relay\n# more\nmap: "#4"\n');
    expect(good.problems).toEqual([]);
    expect(good.mapping.map(({ channel, column, unit }) => [channel, column, unit])).toEqual([['speed', 'Engine RPM [rpm]', 'rpm'], ['load:fan', 'Fan relay', null], ['map', '#4', null]]);
    const { problems } = parseMappingFile('map.yaml', 'speed: RPM\n  \nspead: x\nmap: [1]\n');
    expect(problems).toMatchObject([{ line: 3, column: 1, path: 'spead' }, { line: 4, column: 1, path: 'map', message: 'a column is wanted' }]);
    expect(parseMappingFile('map.yaml', 'a: b: c').problems[0]).toMatchObject({ file: 'map.yaml', line: 1 });
    expect(parseMappingFile('map.yaml', '- a').problems).toHaveLength(1);
  });
});

describe('units', () => {
  it.each<[string, string, (k: number) => number, number]>([
    ['map', 'MAP [psi]', (k) => kpa(k) / 6.894757, 33], ['map', 'MAP [bar]', (k) => kpa(k) / 100, 33], ['map', 'MAP (inHg)', (k) => kpa(k) / 3.386389, 33],
    ['speed', 'Engine speed [rad/s]', (k) => (rpm(k) * Math.PI) / 30, 800], ['speed', 'Engine speed [Hz]', (k) => rpm(k) / 60, 800], ['speed', 'Engine speed [krpm]', (k) => rpm(k) / 1000, 800],
    ['coolant', 'ECT [°F]', () => 185, 85], ['coolant', 'ECT [K]', () => 358.15, 85], ['vss', 'VSS [mph]', () => 20, 32.18688], ['throttle', 'Throttle [fraction]', () => 0.16, 16], ['maf', 'MAF [kg/h]', () => 9, 2.5],
  ])('of the header are converted: %s from %s', async (channel, title, of, wanted) => {
    const got = await log({ ...(channel === 'speed' ? {} : { RPM: rpm }), [title]: of });
    expect(Math.abs(mean(values(got, channel)) / wanted - 1)).toBeLessThan(0.02);
    expect(said(got)).not.toContain('cannot be');
  });

  it.each<[string, string, (k: number) => number, string, number]>([
    ['psi that are called kPa', 'MAP [kPa]', (k) => Number((kpa(k) / 6.894757).toFixed(2)), 'read as psi', 33],
    ['psi that could be inches of mercury but for the open air at key-on', 'MAP [kPa]', (k) => (k < 9 ? 14.6 : 6.1), 'read as psi', 44],
    ['degrees Fahrenheit called °C', 'ECT [°C]', (k) => 180 + (k % 9), 'read as degF', 84.4],
    ['degrees Fahrenheit without a unit', 'ECT', (k) => 180 + (k % 9), 'read as degF', 84.4],
    ['a part of one without a unit is no per cent', 'Battery voltage [V]', () => 14_100, 'read as mV', 14.1],
  ])('%s are noticed, and what was done is said', async (_, title, of, message, wanted) => {
    const got = await log({ RPM: rpm, [title]: of });
    const name = [...got.channels.keys()].find((c) => c !== 'speed') as string;
    expect(said(got)).toContain(message);
    expect(Math.abs(mean(values(got, name)) / wanted - 1)).toBeLessThan(0.02);
  });

  it.each<[string, (k: number) => number, string]>([
    ['radians a second', (k) => Number(((rpm(k) * Math.PI) / 30).toFixed(1)), 'read as rad/s'],
    ['hertz', (k) => Number((rpm(k) / 60).toFixed(2)), 'read as Hz'],
  ])('a speed in %s called rpm is noticed', async (_, of, message) => {
    const got = await log({ 'Engine speed [rpm]': of });
    expect(said(got)).toContain(message);
    expect(Math.abs(mean(values(got, 'speed')) / 800 - 1)).toBeLessThan(0.02);
  });

  it('that the user gives stand, and their oddity is said', async () => {
    const got = await log({ RPM: rpm, 'MAP [kPa]': (k) => kpa(k) / 6.894757 }, ['map=MAP [kPa]', 'speed=RPM [rpm]']);
    expect(said(got)).toContain('read as psi'); // the title has the brackets: they are the header's
    const firm = await log({ RPM: rpm, 'MAP (kPa)': (k) => kpa(k) / 6.894757 }, ['map=MAP [kPa]']);
    const both = await log({ RPM: rpm, 'MAP [kPa]': () => 6.1 });
    expect(said(both)).toContain('they could be psi or inHg: give the unit. Kept as kPa');
    expect(said(firm)).toContain('Kept, since the unit was given');
    expect(mean(values(firm, 'map'))).toBeLessThan(6);
  });

  it('a throttle that rests at 16 % is told, not mended', async () => {
    const got = await log({ RPM: rpm, 'Throttle [%]': (k) => (k > 100 && k < 120 ? 40 : 15.7 + (k % 2) * 0.4) });
    expect(got.report.closedThrottlePct).toBeCloseTo(15.9, 0);
    expect(said(got)).toMatch(/the shut throttle reads 1[56](\.\d)? %, not 0/);
    expect(Math.min(...values(got, 'throttle'))).toBe(15.7);
  });

  it('a key-on before the start is told', async () => {
    const got = await log({ RPM: (k) => (k < 60 ? 0 : rpm(k)), 'MAP [kPa]': (k) => (k < 60 ? 99 : kpa(k)) });
    expect(got.report.stopped).toEqual([{ fromS: 0, toS: 5.9 }]);
    expect(said(got)).toContain('the engine stands for 5.9 s');
  });

  it('a signal that never moves is told, and an empty column left out', async () => {
    const got = await log({ RPM: () => 800, 'MAP [kPa]': () => '' });
    expect(said(got)).toContain('speed never moves: it is 800 rpm throughout');
    expect(said(got)).toContain('map: column MAP [kPa] holds no readings, and is left out');
  });
});
