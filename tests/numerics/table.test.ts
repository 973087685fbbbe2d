import { describe, expect, it } from 'vitest';
import { createTable, tableError } from '../../src/numerics/table.js';

/** Largest |table − f| at 20 points a cell. */
function worstOf(table: (x: number) => number, f: (x: number) => number, lo: number, hi: number, cells: number): number {
  let worst = 0;
  for (let i = 0; i <= 20 * cells; i++) {
    const x = lo + ((hi - lo) * i) / (20 * cells);
    worst = Math.max(worst, Math.abs(table(x) - f(x)));
  }
  return worst;
}

describe('createTable', () => {
  it('keeps the error of a tabulated sine within the bound, and comes within a tenth of it', () => {
    for (const cells of [3, 10, 64]) {
      const bound = tableError(1, 0, 3, cells);
      const worst = worstOf(createTable(Math.sin, Math.cos, 0, 3, cells), Math.sin, 0, 3, cells);
      expect(worst).toBeLessThanOrEqual(bound * (1 + 1e-6) + 1e-15);
      expect(worst).toBeGreaterThan(0.9 * bound);
    }
  });

  it('keeps the error of a power of a ratio within the bound', () => {
    const f = (x: number) => x ** 0.3;
    const slope = (x: number) => 0.3 * x ** -0.7;
    const fourth = 0.3 * 0.7 * 1.7 * 2.7 * 0.2 ** -3.7;
    const table = createTable(f, slope, 0.2, 1, 256);
    expect(worstOf(table, f, 0.2, 1, 256)).toBeLessThan(tableError(fourth, 0.2, 1, 256) + 1e-15);
  });

  it('divides its error by sixteen when the cells are halved', () => {
    const error = (cells: number) => worstOf(createTable(Math.exp, Math.exp, -1, 1, cells), Math.exp, -1, 1, cells);
    expect(error(16) / error(32)).toBeGreaterThan(15);
    expect(error(16) / error(32)).toBeLessThan(17);
  });

  it('gives back a cubic to rounding', () => {
    const f = (x: number) => 2 - x + 3 * x * x - 0.5 * x * x * x;
    const table = createTable(f, (x) => -1 + 6 * x - 1.5 * x * x, -2, 5, 7);
    for (let x = -2; x <= 5; x += 0.01) expect(table(x)).toBeCloseTo(f(x), 12);
  });

  it('has the value of the function at the nodes and at both ends', () => {
    const table = createTable(Math.exp, Math.exp, 0, 4, 8);
    for (let i = 0; i <= 8; i++) expect(table(i / 2)).toBe(Math.exp(i / 2));
  });

  it('goes on straight beyond the ends with the slope there', () => {
    const table = createTable((x) => x * x, (x) => 2 * x, 1, 3, 4);
    expect(table(0)).toBe(1 - 2);
    expect(table(-9)).toBe(1 - 20);
    expect(table(5)).toBe(9 + 12);
    expect(table(1e9)).toBeCloseTo(9 + 6 * (1e9 - 3), 3);
  });

  it('is continuous with its slope across nodes and ends', () => {
    const table = createTable(Math.sin, Math.cos, 0, 3, 6);
    for (const x of [0, 0.5, 1, 1.5, 2, 2.5, 3]) {
      const left = (table(x) - table(x - 1e-6)) / 1e-6;
      const right = (table(x + 1e-6) - table(x)) / 1e-6;
      expect(left).toBeCloseTo(Math.cos(x), 5);
      expect(right).toBeCloseTo(Math.cos(x), 5);
    }
  });

  it('gives NaN for NaN', () => {
    expect(createTable(Math.sin, Math.cos, 0, 1, 4)(NaN)).toBeNaN();
  });

  it('refuses an empty range, a count that is not whole, and a function that is not finite at a node', () => {
    expect(() => createTable(Math.sin, Math.cos, 1, 1, 4)).toThrow(/lower first; given 1 and 1/);
    expect(() => createTable(Math.sin, Math.cos, 0, Infinity, 4)).toThrow(RangeError);
    expect(() => createTable(Math.sin, Math.cos, 0, 1, 0)).toThrow(/whole number of cells/);
    expect(() => createTable(Math.sin, Math.cos, 0, 1, 2.5)).toThrow(RangeError);
    expect(() => createTable((x) => 1 / x, () => 0, 0, 1, 4)).toThrow(/value at 0 is Infinity/);
    expect(() => createTable(Math.sqrt, (x) => 0.5 / Math.sqrt(x), 0, 1, 4)).toThrow(/slope at 0 is Infinity/);
  });
});
