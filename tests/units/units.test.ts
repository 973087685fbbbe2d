import { all, create } from 'mathjs';
import { describe, expect, it } from 'vitest';
import { fromSI, SI, toSI, type Unit } from '../../src/parameter/unit.js';
import { createUnitReader, isUnitProblem, plainText, readPlainQuantity } from '../../src/units/index.js';

const math = create(all!, {});
math.createUnit('rpm', '360 deg/minute');
math.createUnit('step');
math.createUnit('percent');

/** What the whole of mathjs, not the part that is shipped, makes of a number in a unit, in SI. */
const si = (value: number, unit: string): number => {
  const text = unit.replace(/%/g, 'percent').replace(/^1\//, '/');
  if (unit === 'degC') return math.unit(value, 'degC').toNumber('K'); // the one with an offset
  // `value` is the number in the units that its bases stand for: SI, and % and step themselves
  return (math.unit(`${value}${text.startsWith('/') ? '' : ' '}${text}`) as unknown as { value: number }).value;
};

const read = await createUnitReader();
const number = (text: string, unit: string): number => {
  const result = read(text, unit);
  if (isUnitProblem(result)) throw new Error(result.problem);
  return result;
};
const problem = (text: string, unit: string): string => {
  const result = read(text, unit);
  return isUnitProblem(result) ? result.problem : `no problem: ${result}`;
};
const close = (value: number, wanted: number): void =>
  expect(Math.abs(value - wanted)).toBeLessThanOrEqual(1e-13 * Math.max(1e-300, Math.abs(wanted)));

describe('the table of units', () => {
  const units = (Object.keys(SI) as Unit[]).filter((unit) => unit !== '1');

  it.each(units)('has the factor and offset of %s that mathjs has', (unit) => {
    for (const shown of unit.startsWith('air') ? [unit.replace('air', '%'), unit.replace('air', 'step')] : [unit]) {
      // a gain per rpm is kept per rpm, so there mathjs is asked for no conversion at all
      const wanted = unit.startsWith('air') ? 3.7 : si(3.7, shown);
      close(toSI(3.7, unit), wanted);
      close(fromSI(toSI(3.7, unit), unit), number(`3.7 ${shown}`, shown));
      expect(isUnitProblem(read(`3.7 ${shown}`, '1'))).toBe(true);
    }
  });

  it.each(units.map((unit) => unit.replace('air', '%')))(
    'can be read in %s by the unit library too, to the last bits',
    (unit) => {
      // a unit written another way never takes the short way round the library
      const same = unit.startsWith('1/') ? unit.slice(1) : unit.startsWith('%') ? unit.replace('%', 'percent') : `${unit} m/m`;
      if (unit === 'degC') return close(number(`${90 + 273.15} K`, 'degC'), 90);
      close(number(`2.5${same}`, unit), 2.5);
    },
  );
});

describe('quantities in other units', () => {
  // NIST Special Publication 811 (2008), app. B: lb 0.453 592 37 kg, ft 0.3048 m (both exact), psi 6894.757 Pa, °F
  it('are those of NIST SP 811', () => {
    close(number('5 lb ft^2', 'kg m^2'), 5 * 0.45359237 * 0.3048 ** 2);
    expect(number('14.5 psi', 'kPa')).toBeCloseTo(14.5 * 6.894757, 4);
    close(number('212 degF', 'degC'), 100);
    close(number('-40 degF', 'degC'), -40);
    close(number('1 inch', 'mm'), 25.4);
    expect(number('1 lbf ft', 'N m')).toBeCloseTo(1.355818, 6);
  });

  it('are read in the ways that people write them', () => {
    for (const [text, unit, wanted] of [
      ['0.15 kg·m²', 'kg m^2', 0.15],
      ['0.15\u00a0kg m²', 'kg m^2', 0.15],
      ['0.15kg m^2', 'kg m^2', 0.15],
      ['12 °C', 'degC', 12],
      ['−12°C', 'degC', -12],
      ['12°', 'deg', 12],
      ['53.6 °F', 'degC', 12],
      ['1800 cm³', 'L', 1.8],
      ['20 ms', 's', 0.02],
      ['500 µs', 's', 0.0005],
      ['0.02 %/rpm', '%/rpm', 0.02],
      ['0.4 step/(rpm s)', 'step/(rpm s)', 0.4],
      ['24 step/(rpm minute)', 'step/(rpm s)', 0.4],
      ['0.1 deg/rpm', 'deg/rpm', 0.1],
      ['0.5 step s / rpm', 'step s/rpm', 0.5],
      ['150 steps/s', 'step/s', 150],
      ['1 rad/s', 'rpm', 30 / Math.PI],
      ['+1.5e1 %', '%', 15],
      ['.5', 's', 0.5],
      ['5.', 's', 5],
      ['9.19/rad^2', '1/deg^2', 9.19 * (Math.PI / 180) ** 2],
      ['60 1/(rad minute)', '1/(rad s)', 1],
    ] as const) {
      close(number(text, unit), wanted);
    }
  });

  it('keep the number to the bit in the documented unit', () => {
    for (const value of [750, 0.1, 1 / 3, 1e-9]) expect(number(`${value} rpm`, 'rpm')).toBe(value);
  });

  it('are refused in another dimension, in a unit that is none, or where a plain number is wanted', () => {
    expect(problem('3 rpm', 'kg m^2')).toBe('3 rpm is not in kg m^2');
    expect(problem('50 %', 'step')).toBe('50 % is not in step');
    expect(problem('3 Hz', 'rpm')).toBe('3 Hz is not in rpm');
    expect(problem('3 kgm2', 'kg m^2')).toContain('kgm2 is not a known unit; kg m^2 is wanted');
    for (const unit of [
      'constructor',
      'toString',
      '__proto__',
      'm^',
      '(m',
      'm)',
      'm//s',
      '3',
      'm 3',
      'ones(1e9)',
      'm'.repeat(5000),
    ]) {
      expect(problem(`3 ${unit}`, 's')).toMatch(/is not a known unit|is not in s/);
    }
    expect(problem('3 VAR', 's')).toMatch(/not/);
    expect(problem('4 m', '1')).toBe('4 m has a unit; a plain number is wanted');
  });
});

describe('numbers', () => {
  it('are decimal, finite and plain, with a hint where they are not', () => {
    for (const [text, hint] of [
      ['1_000', 'write 1000'],
      ['0x1F', 'write 31'],
      ['0o17', 'write 15'],
      ['012', 'write 12'],
      ['-007.5 rpm', 'write -7.5'],
      ['1,5', 'decimal point'],
      ['1,000 rpm', 'thousands'],
      ['.inf', 'finite'],
      ['-.inf', 'finite'],
      ['.nan', 'finite'],
      ['NaN', 'finite'],
      ['Infinity', 'finite'],
      ['1e999', 'finite'],
      ['', 'empty'],
      ['  ', 'empty'],
      ['abc', 'not a number'],
      ['1.2.3', 'not a number'],
      ['1:30', 'not a number'],
      ['2026-01-01', 'not a number'],
      ['--1', 'not a number'],
      ['- 1', 'not a number'],
      ['e5', 'not a number'],
    ] as const) {
      const result = readPlainQuantity(text, 'rpm');
      expect(isUnitProblem(result) ? result.problem : result).toContain(hint);
    }
  });

  it('need no unit library when bare or in the documented unit, and say so when they do', () => {
    expect(readPlainQuantity('0.15 kg·m²', 'kg m^2')).toBe(0.15);
    expect(readPlainQuantity('12 °C', 'degC')).toBe(12);
    expect(readPlainQuantity('5 lb ft^2', 'kg m^2')).toBeNull();
  });

  it('are put in plain form once and for all', () => {
    for (const text of ['0.15 kg·m²', '−12 °C', ' 3 \u202f mm² / s']) expect(plainText(plainText(text))).toBe(plainText(text));
  });
});
