/** Tails, quantiles and a Welch spectrum against SciPy's, stored in data/distributions.json by make/distributions.py. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { chiSquaredQuantile, chiSquaredTail, fQuantile, fTail, logGamma, normalQuantile, studentQuantile, studentTails } from '../../src/identify/distributions.js';
import { spectrumOf } from '../../src/identify/spectrum.js';

type Rows = readonly (readonly number[])[];
const stored = JSON.parse(readFileSync(new URL('data/distributions.json', import.meta.url), 'utf8')) as Record<string, Rows> & {
  readonly welch: { readonly frequencyHz: readonly number[]; readonly density: readonly number[] };
};

const off = (got: number, wanted: number): number => Math.abs(got - wanted) / Math.max(Math.abs(wanted), 1e-30);

describe('as SciPy gives it, to 1e-10 of itself:', () => {
  it.each<[string, (...of: number[]) => number]>([
    ['logGamma', logGamma],
    ['t', studentQuantile],
    ['tTails', studentTails],
    ['chi2', chiSquaredQuantile],
    ['chi2Tail', chiSquaredTail],
    ['F', fQuantile],
    ['FTail', fTail],
    ['normal', normalQuantile],
  ])('%s', (name, of) => {
    const rows = stored[name] as Rows;
    expect(rows.length).toBeGreaterThan(5);
    for (const row of rows) {
      const wanted = row.at(-1) as number;
      const got = of(...row.slice(0, -1));
      if (Math.abs(wanted) < 1e-15) expect(Math.abs(got)).toBeLessThan(1e-13);
      else expect(off(got, wanted), `${name}(${row.slice(0, -1).join(', ')}) = ${got}, not ${wanted}`).toBeLessThan(1e-10);
    }
  });

  it('a Welch spectrum of half-overlapping Hann windows', () => {
    let s = 12345;
    const x = Float64Array.from({ length: 512 }, (_, k) => {
      s = (Math.imul(1664525, s) + 1013904223) >>> 0;
      return s / 2 ** 32 - 0.5 + Math.sin(2 * Math.PI * 1.3 * k * 0.05);
    });
    const { frequencyHz, density, segments } = spectrumOf(x, 0.05, 128);
    expect(segments).toBe(7);
    stored.welch.frequencyHz.forEach((f, k) => expect(frequencyHz[k]).toBeCloseTo(f, 10));
    stored.welch.density.forEach((d, k) => expect(off(density[k] as number, d)).toBeLessThan(1e-9));
  });
});

it('a probability of 0 or 1, and no freedom, are refused', () => {
  expect(() => studentQuantile(1, 3)).toThrow(RangeError);
  expect(() => chiSquaredQuantile(0.5, 0)).toThrow(RangeError);
});
