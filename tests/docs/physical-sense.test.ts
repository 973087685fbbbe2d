/**
 * Does the default engine make physical sense, and does docs/model.md say what it does? Ranges: what a warm idle of a small
 * four may be, set when the model was designed; the recorded figures beside them are named in docs/model.md.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createPlant, engineTable, fill, valveTable } from '../../src/index.js';
import {
  afterLoad,
  column,
  eightNewtonMetres,
  freeRev,
  fromResponse,
  indicatedAt,
  linearised,
  oneNewtonMetre,
  steady,
} from './warm-idle.js';

const read = (page: string): string => readFileSync(new URL(`../../docs/${page}`, import.meta.url), 'utf8');
const page = read('model.md');
const PER_LITRE = 1 / 1.8;

/** Cells of the table row that starts with a name. */
function row(name: string): string[] {
  const found = page.split('\n').filter((line) => line.startsWith(`| ${name} |`));
  if (found.length !== 1) throw new Error(`docs/model.md: ${found.length} rows are named "${name}"`);
  return found[0]!
    .split('|')
    .slice(1, -1)
    .map((cell) => cell.trim());
}

const number = (text: string): number => Number(text.replace('−', '-'));
const print = (value: number, digits: number): string => value.toFixed(digits).replace('-', '−');

/** A number of the page, and whether `value` rounds to it: to as many digits as it is printed with. */
function expectPrinted(printed: string, value: number): void {
  expect(printed).toBe(print(value, printed.split('.')[1]?.length ?? 0));
}

const { at } = steady();
const linear = linearised();
const response = fromResponse(afterLoad(0.01));
const one = oneNewtonMetre();
const eight = eightNewtonMetres();
const lowest = Math.min(...column(eight, 'speedRpm'));
const [late, idle, early] = [2, 12, 22].map(indicatedAt) as [number, number, number];

/** Row of the page → what the code gives, and the range that the page must print. */
const SENSE: readonly (readonly [name: string, value: number, low: number, high: number])[] = [
  ['air, g/s', at.airIn * 1e3, 1.6, 2.8],
  ['manifold pressure, kPa', at.pressure / 1e3, 22, 36],
  ['fuel, kg/h', at.fuel * 3600, 0.4, 0.7],
  ['natural frequency, linearised, delays left out, Hz', linear.frequencyHz, 0.2, 0.6],
  ['damping ratio, linearised, delays left out', linear.damping, 0.3, 0.9],
  ['natural frequency, from a response with delays, Hz', response.frequencyHz, 0.2, 0.6],
  ['damping ratio, from a response with delays', response.damping, 0.3, 0.9],
  ['settling within 2 % after 1 N·m, air held, s', one.settlingS, 1.5, 8],
  ['change of speed for 1 N·m, air held, rpm', one.changeRpm, -100, -5],
  ['lowest speed after 8 N·m, air held, rpm', lowest, 0, 600],
  ['indicated torque gained from 12 to 22 °BTDC, %', 100 * (early / idle - 1), 6, 15],
  ['indicated torque lost from 22 to 12 °BTDC, %', 100 * (1 - idle / early), 6, 15],
  ['indicated torque lost from 12 to 2 °BTDC, %', 100 * (1 - late / idle), 10, 25],
];

describe('the default engine at 800 rpm, warm, no load', () => {
  test.for(SENSE)('%s lies in its range, and the page prints both', ([name, value, low, high]) => {
    const [, printed, range] = row(name);
    expect(range!.split(' … ').map(number)).toEqual([low, high]);
    expect(value).toBeGreaterThanOrEqual(low);
    expect(value).toBeLessThanOrEqual(high);
    expectPrinted(printed!, value);
  });

  test('the page prints no other row of that table', () => {
    const table = page.slice(page.indexOf('| quantity |'), page.indexOf('With the air held'));
    expect(table.trim().split('\n').length).toBe(SENSE.length + 2);
  });

  test('with the air held it is at rest, and comes to rest again after a load: it regulates itself', () => {
    expect(at.airIn / at.airOut).toBeCloseTo(1, 9);
    expect(at.indicated - at.pumping - at.friction).toBeCloseTo(0, 6);
    expect(linear.damping).toBeGreaterThan(0);
    const tail = afterLoad(1).subarray(-5000);
    expect(Math.max(...tail) - Math.min(...tail)).toBeLessThan(1e-6);
  });

  test('the two ways to frequency and damping agree to 1 % where neither has the delays', () => {
    const without = fromResponse(afterLoad(0.01, { delays: { charge: 0, spark: 0 } }));
    expect(Math.abs(without.frequencyHz / linear.frequencyHz - 1)).toBeLessThan(0.01);
    expect(Math.abs(without.damping / linear.damping - 1)).toBeLessThan(0.01);
  });

  test('the sentences below the table say what the code gives', () => {
    expect(eight.stalled).toBe(false);
    expect(page).toContain(`it sags to ${print(lowest, 0)} rpm and comes back to about ${print(column(eight, 'speedRpm').at(-1)!, 0)}`);
    expect(page).toContain(
      `Of ${print(at.indicated, 1)} N·m indicated, pumping takes\n${print(at.pumping, 1)} and friction ${print(at.friction, 1)}`,
    );
    expect(page).toContain(`cost more, ${print(100 * (1 - late / idle), 1)} %`);
    // the spark that gives most, by a parabola through three torques
    const mbt = 12 + (10 * (early - late)) / (2 * (2 * idle - early - late));
    expect(page).toContain(`distance from MBT (${print(mbt, 1)}° here)`);
    const cycle = (at.airOut * 4 * Math.PI) / at.omega;
    expect(page).toContain(`Ours draws ${print(cycle / ((at.pressure * 1.8e-3) / (287.05287 * 318.15)), 2)} of the swept volume`);
  });

  test('the smoothing near equal pressures is what the page says: the step limit as well', () => {
    const build = (step: number) => createPlant(fill(engineTable), fill({ valve: valveTable }).valve, { step });
    const [, most] =
      /at most ([\d.]+) ms/.exec(
        (() => {
          try {
            build(0.005);
            return '';
          } catch (error) {
            return (error as Error).message;
          }
        })(),
      ) ?? [];
    // s grows with the square of the step and is 0.25 at the longest; the message stays 5 % below that
    const s = 0.25 * (0.95 / Number(most)) ** 2;
    expect(page).toContain(`at 1 ms has s = ${print(s, 2)}`);
    build(Number(most) * 1e-3);
  });
});

describe('beside recorded idles the page prints what the code gives', () => {
  const a = steady(652, 12).at;
  const retarded = steady(652, 1.1).at;
  const b = steady(713, 11).at;
  const c = steady(713, 11, 10).at;
  const gramsPerLitre = (air: number): string => print(air * 1e3 * PER_LITRE, 2);
  const kPa = (pressure: number): string => print(pressure / 1e3, 1);
  const fuel = (kgPerS: number): string => print(kgPerS * 3600 * PER_LITRE, 3);

  test('the 1.5 L four, and the fuel', () => {
    expect(row('1.5 L four, warm, unloaded, 652 rpm: manifold, kPa ¹')[2]).toBe(
      `${kPa(a.pressure)} at 652 rpm, 12°; ${kPa(retarded.pressure)} at its own 1.1°`,
    );
    expect(row('its air, g/s per litre (computed, not measured) ¹')[2]).toBe(
      `${gramsPerLitre(a.airIn)}; ${gramsPerLitre(retarded.airIn)} at 1.1°`,
    );
    expect(row('fuel at idle, no accessories, kg/h per litre ²')[2]).toBe(`${fuel(a.fuel)} at 652 rpm; ${fuel(at.fuel)} at 800 rpm`);
    // US DOE, Fact of the Week #861 (2015): 0.226 to 0.239; recorded air 0.9 to 1.2 g/s per litre (IEEE document 8891367)
    expect(a.fuel * 3600 * PER_LITRE).toBeGreaterThan(0.226);
    expect(a.fuel * 3600 * PER_LITRE).toBeLessThan(0.239);
    expect(a.airIn * 1e3 * PER_LITRE).toBeGreaterThan(0.9);
    expect(a.airIn * 1e3 * PER_LITRE).toBeLessThan(1.2);
  });

  test('the 2.0 L-class four', () => {
    expect(row('2.0 L-class four, 711–715 rpm: manifold, kPa ³')[2]).toBe(`${kPa(b.pressure)} at 713 rpm, 11°, no load`);
    expect(row('its air, g/s per litre ³')[2]).toBe(
      `${gramsPerLitre(b.airIn)}; ${gramsPerLitre(c.airIn)} with 10 N·m on it, and ${kPa(c.pressure)} kPa`,
    );
  });

  test('its free-rev', async () => {
    const { fallS, lowestRpm, lowestKpa } = await freeRev();
    expect(row('its free-rev return, 1851 → 898 rpm, s ³')[2]).toBe(print(fallS, 2));
    expect(row('lowest speed after it, rpm ³')[2]).toBe(print(lowestRpm, 0));
    expect(row('manifold floor on the way down, kPa ³')[2]).toBe(print(lowestKpa, 1));
  });
});

test('every key that the page names is a key of the reference', () => {
  const reference = read('scenarios.md');
  const named = [...page.matchAll(/`((?:engine|valve|controller|run)\.[\w.]+)`/g)].map(([, key]) => key!);
  expect(named.length).toBeGreaterThan(50);
  expect(named.filter((key) => !reference.includes(`\`${key}\``) && !reference.includes(`\`${key}.`))).toEqual([]);
});
