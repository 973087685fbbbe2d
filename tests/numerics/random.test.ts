import { describe, expect, it } from 'vitest';
import { createRandom } from '../../src/numerics/random.js';

const N = 200_000;
const draw = (next: () => number, n: number): number[] => Array.from({ length: n }, next);
const mean = (xs: readonly number[]): number => xs.reduce((a, b) => a + b, 0) / xs.length;
const moment = (xs: readonly number[], about: number, order: number): number => mean(xs.map((x) => (x - about) ** order));

function correlation(xs: readonly number[], ys: readonly number[]): number {
  const mx = mean(xs);
  const my = mean(ys);
  const both = mean(xs.map((x, i) => (x - mx) * ((ys[i] as number) - my)));
  return both / Math.sqrt(moment(xs, mx, 2) * moment(ys, my, 2));
}

/** sfc32 and its seeding once more, from the published description, in whole numbers of 64 bits and more. */
function firstWords(seed: number, n: number): bigint[] {
  const M = 0xffffffffn;
  const mix = (w: bigint) => {
    let z = (w + 0x9e3779b9n) & M;
    z = ((z ^ (z >> 16n)) * 0x21f0aaadn) & M;
    z = ((z ^ (z >> 15n)) * 0x735a2d97n) & M;
    return z ^ (z >> 15n);
  };
  let a = mix(BigInt(seed) & M);
  let b = mix((a + (BigInt(seed) >> 32n)) & M);
  let c = mix(b);
  let count = 1n;
  const words = Array.from({ length: 12 + n }, () => {
    const word = (a + b + count) & M;
    count = (count + 1n) & M;
    a = b ^ (b >> 9n);
    b = (c + (c << 3n)) & M;
    c = ((((c << 21n) | (c >> 11n)) & M) + word) & M;
    return word;
  });
  return words.slice(12);
}

describe('createRandom', () => {
  it('gives the words of sfc32 as worked out in whole numbers', () => {
    for (const seed of [0, 1, 2, 12345, 4294967295, 4294967296, Number.MAX_SAFE_INTEGER]) {
      const random = createRandom(seed);
      const words = draw(() => random.uniform() * 2 ** 32, 50).map(BigInt);
      expect(words).toEqual(firstWords(seed, 50));
    }
  });

  it('starts seeds 0, 1 and 2 with the words that it always has', () => {
    const words = [0, 1, 2].map((seed) => {
      const random = createRandom(seed);
      return draw(() => random.uniform() * 2 ** 32, 3);
    });
    expect(words).toEqual(FROZEN);
  });

  it('gives the same bits for the same seed, and reports the same state', () => {
    const a = createRandom(42);
    const b = createRandom(42);
    for (let i = 0; i < 1000; i++) {
      expect(a.uniform()).toBe(b.uniform());
      expect(a.normal()).toBe(b.normal());
    }
    expect(a.state()).toEqual(b.state());
    expect(a.state()).toHaveLength(4);
    const before = a.state();
    a.uniform();
    expect(a.state()).not.toEqual(before);
  });

  it('draws uniforms with the moments of the uniform law, five standard errors allowed', () => {
    const { uniform } = createRandom(1);
    const xs = draw(uniform, N);
    expect(xs.every((x) => x >= 0 && x < 1)).toBe(true);
    expect(Math.abs(mean(xs) - 0.5)).toBeLessThan(5 * Math.sqrt(1 / 12 / N));
    expect(Math.abs(moment(xs, 0.5, 2) - 1 / 12)).toBeLessThan(5 * Math.sqrt(1 / 180 / N));
  });

  it('draws normals with the moments of twelve uniforms, five standard errors allowed', () => {
    const { normal } = createRandom(2);
    const xs = draw(normal, N);
    expect(Math.abs(mean(xs))).toBeLessThan(5 / Math.sqrt(N));
    expect(Math.abs(moment(xs, 0, 2) - 1)).toBeLessThan(5 * Math.sqrt(1.9 / N));
    expect(Math.abs(moment(xs, 0, 3))).toBeLessThan(5 * Math.sqrt(15 / N));
    // Kurtosis of a sum of n uniforms: 3 − 6/(5n), 2.9 for twelve.
    expect(Math.abs(moment(xs, 0, 4) - 2.9)).toBeLessThan(5 * Math.sqrt(96 / N));
    expect(xs.every((x) => Math.abs(x) < 6)).toBe(true);
  });

  it('fills sixteen equal cells evenly (chi-square, 15 degrees of freedom, 0.001 and 0.999 points)', () => {
    const { uniform } = createRandom(3);
    const counts = new Array<number>(16).fill(0);
    for (let i = 0; i < N; i++) {
      const cell = Math.floor(uniform() * 16);
      counts[cell] = (counts[cell] as number) + 1;
    }
    const chi = counts.reduce((sum, count) => sum + (count - N / 16) ** 2 / (N / 16), 0);
    expect(chi).toBeGreaterThan(3.48);
    expect(chi).toBeLessThan(37.7);
  });

  it('has no correlation from one draw to the next', () => {
    for (const kind of ['uniform', 'normal'] as const) {
      const xs = draw(createRandom(4)[kind], N);
      expect(Math.abs(correlation(xs.slice(1), xs.slice(0, -1)))).toBeLessThan(5 / Math.sqrt(N));
    }
  });

  it('has no correlation between neighbouring seeds, nor between seeds a golden ratio or 2³² apart', () => {
    const n = 20_000;
    const pairs = [0, 1, 2, 3, 99].flatMap((s) => [[s, s + 1], [s, s + 0x9e3779b9], [s, s + 2 ** 32]]) as [number, number][];
    for (const [p, q] of pairs) {
      expect(Math.abs(correlation(draw(createRandom(p).uniform, n), draw(createRandom(q).uniform, n)))).toBeLessThan(5 / Math.sqrt(n));
    }
  });

  it('has no correlation across the first draws of a row of small seeds', () => {
    const first = Array.from({ length: 20_000 }, (_, seed) => createRandom(seed).uniform());
    expect(Math.abs(mean(first) - 0.5)).toBeLessThan(5 * Math.sqrt(1 / 12 / first.length));
    expect(Math.abs(correlation(first.slice(1), first.slice(0, -1)))).toBeLessThan(5 / Math.sqrt(first.length));
  });

  it('refuses a seed that is no whole number from 0', () => {
    for (const seed of [-1, 0.5, NaN, Infinity, 2 ** 53]) expect(() => createRandom(seed)).toThrow(RangeError);
  });
});

const FROZEN = [
  [128257810, 1052807476, 3287968162],
  [3384357204, 4001177017, 406009659],
  [868027888, 1821022890, 381872316],
];
