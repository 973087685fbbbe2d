import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Scenario } from '../../src/scenario/index.js';
import { createDesignPoints, createSobol, type Design, MOST_DIMENSIONS, type Range, rangeValue, readRanges, streamOf } from '../../src/search/sampling/index.js';
import { oneDrill, stepper } from './suite.js';

const range = (given: Partial<Range> = {}): Range => ({ key: 'a', unit: '', spacing: 'linear', lo: 2, hi: 6, integer: false, ...given });
const design = (given: Partial<Design> = {}): Design => ({ kind: 'sobol', count: 1024, seed: 1, ...given });

describe('a Sobol’ sequence', () => {
  test('has in each 2^k stretch of points one in each 2^k part of every side, shifted or not', () => {
    for (const seed of [null, 0, 7]) {
      const sequence = createSobol(MOST_DIMENSIONS, seed);
      const out = new Float64Array(MOST_DIMENSIONS);
      for (const start of [0, 256, 1024]) {
        const seen = Array.from({ length: MOST_DIMENSIONS }, () => new Set<number>());
        for (let i = start; i < start + 256; i++) {
          sequence(i, out);
          out.forEach((u, d) => seen[d]!.add(Math.floor(u * 256)));
        }
        expect(seen.map(({ size }) => size)).toEqual(new Array(MOST_DIMENSIONS).fill(256));
      }
    }
  });

  test('integrates a product in five dimensions far better than chance does', () => {
    const cost = (u: ArrayLike<number>): number => Array.from(u).reduce((product, v) => product * (1 + 0.5 * (v - 0.5)), 1); // mean 1
    const meanOf = (kind: Design['kind']): number => {
      const at = createDesignPoints(design({ kind, count: 4096 }), new Array<Range>(5).fill(range({ lo: 0, hi: 1 })));
      let sum = 0;
      for (let i = 0; i < 4096; i++) sum += cost(at(i));
      return Math.abs(sum / 4096 - 1);
    };
    expect(meanOf('sobol')).toBeLessThan(1e-4);
    expect(meanOf('random')).toBeGreaterThan(1e-4);
  });

  test('refuses dimensions that it has no directions for, and points that it has not', () => {
    expect(() => createSobol(0, null)).toThrow(/0 dimensions; there are from 1 to 40/);
    expect(() => createSobol(41, null)).toThrow(RangeError);
    expect(() => createSobol(2, null)(-1, new Float64Array(2))).toThrow(/no point -1/);
    expect(() => createSobol(2, null)(2 ** 32, new Float64Array(2))).toThrow(RangeError);
  });
});

describe('a design', () => {
  test.each(['sobol', 'random'] as const)('of kind %s gives each point by its number, whatever was asked before and however long it is', (kind) => {
    const ranges = [range(), range({ spacing: 'log', lo: 0.001, hi: 1 }), range({ integer: true, lo: 1, hi: 4 })];
    const forwards = createDesignPoints(design({ kind }), ranges);
    const all = Array.from({ length: 50 }, (_, i) => forwards(i));
    const longer = createDesignPoints(design({ kind, count: 2_000_000 }), ranges);
    for (const i of [49, 3, 17, 0]) expect(longer(i)).toEqual(all[i]);
    expect(createDesignPoints(design({ kind, seed: 2 }), ranges)(3)).not.toEqual(all[3]);
    for (const [a, b, c] of all) {
      expect(a! >= 2 && a! <= 6 && b! >= 0.001 && b! <= 1).toBe(true);
      expect([1, 2, 3, 4]).toContain(c);
    }
    expect(new Set(all.map(String)).size).toBe(50);
  });

  test('of random points covers each quarter of a range as often as chance has it', () => {
    const at = createDesignPoints(design({ kind: 'random', count: 4000 }), [range({ lo: 0, hi: 1 })]);
    const counts = [0, 0, 0, 0];
    for (let i = 0; i < 4000; i++) counts[Math.floor(at(i)[0]! * 4)]!++;
    for (const count of counts) expect(Math.abs(count - 1000)).toBeLessThan(5 * Math.sqrt(750)); // five standard deviations of a binomial count
  });

  test('refuses points that it has not, and more keys than evenly spread points can vary', () => {
    const at = createDesignPoints(design({ count: 8 }), [range()]);
    expect(() => at(8)).toThrow(/point 8; there are 8, from 0/);
    expect(() => createDesignPoints(design(), new Array<Range>(41).fill(range()))).toThrow(/at most 40/);
    expect(() => createDesignPoints(design({ kind: 'random' }), new Array<Range>(41).fill(range()))(0)).not.toThrow();
    expect(() => createDesignPoints(design({ count: 0 }), [range()])).toThrow(RangeError);
  });

  test('a seed that is none is refused', () => {
    for (const seed of [-1, 0.5, Number.NaN]) expect(() => streamOf(seed, 0)).toThrow(RangeError);
    expect(() => streamOf(1, 2 ** 21)).toThrow(RangeError);
    const firsts = Array.from({ length: 100 }, (_, i) => streamOf(i % 10, Math.floor(i / 10)).uniform());
    expect(new Set(firsts).size).toBe(100);
  });
});

describe('a range', () => {
  test('has its very ends, and stays between them', () => {
    fc.assert(fc.property(
      fc.double({ min: 1e-6, max: 10, noNaN: true }), fc.double({ min: 1e-3, max: 100, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }), fc.boolean(),
      (lo, width, place, log) => {
        const of = range({ lo, hi: lo + width, spacing: log ? 'log' : 'linear' });
        const value = rangeValue(of, place);
        return rangeValue(of, 0) === lo && rangeValue(of, 1) === lo + width && value >= lo && value <= lo + width;
      },
    ));
  });

  test('is even in its numbers, or in their logarithms, or in whole numbers', () => {
    expect(rangeValue(range(), 0.25)).toBe(3);
    expect(rangeValue(range({ lo: 0.01, hi: 100, spacing: 'log' }), 0.25)).toBe(0.1);
    expect([0, 0.24, 0.26, 0.5, 0.76, 1].map((place) => rangeValue(range({ lo: 1, hi: 4, integer: true }), place))).toEqual([1, 1, 2, 3, 4, 4]);
  });
});

describe('ranges read from text', () => {
  let suite: readonly Scenario[];
  let stepped: readonly Scenario[];
  beforeAll(async () => {
    [suite, stepped] = await Promise.all([oneDrill(), stepper()]);
  });
  const read = (...texts: string[]): string[] => readRanges(texts, suite).problems.map(({ path, message }) => `${path}: ${message}`);

  test('hold the key, its unit and its ends', () => {
    const { ranges } = readRanges(['engine.inertia=0.1:0.3', 'controller.pid.ki = 0.001:0.1:log'], suite);
    expect(ranges).toEqual([
      { key: 'engine.inertia', unit: 'kg m^2', spacing: 'linear', lo: 0.1, hi: 0.3, integer: false },
      { key: 'controller.pid.ki', unit: '%/(rpm s)', spacing: 'log', lo: 0.001, hi: 0.1, integer: false },
    ]);
    expect(readRanges(['valve.steps=100:200'], stepped).ranges).toMatchObject([{ integer: true }]);
  });

  test.each([
    ['engine.inertia', /no range|no values|in engine\.inertia/],
    ['=1:2', /no key/],
    ['engine.inertai=0.1:0.2', /did you mean engine\.inertia/],
    ['engine.inertia=0.1:0.3:5', /a range is wanted/],
    ['engine.inertia=0.1,0.2', /a range is wanted/],
    ['engine.inertia=0.1:', /a number is missing/],
    ['engine.inertia=0.1:lots', /lots is not a number/],
    ['engine.inertia=0.1:5 lb ft^2', /plain numbers/],
    ['engine.inertia=0.3:0.1', /must lie below/],
    ['engine.inertia=0.2:0.2', /must lie below/],
    ['engine.inertia=0.1:500', /500 kg m\^2 is outside/],
    ['controller.pid.ki=0:0.1:log', /start above 0/],
    ['run.step=0.001:0.002', /must stay/],
  ])('refuse %s', (text, message) => {
    expect(read(text)).toEqual([expect.stringMatching(message)]);
  });

  test('report all that is wrong together', () => {
    expect(read('engine.inertia=0.1:0.2', 'engine.inertia=0.1:0.2', 'nothing', 'engine.inertia=9:1')).toHaveLength(3);
    expect(read()).toEqual([expect.stringMatching(/nothing to vary/)]);
    expect(readRanges(['valve.steps=100.5:200'], stepped).problems).toHaveLength(1);
  });
});
