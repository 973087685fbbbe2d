/** Pictures: what is drawn stands where it belongs, nothing in a name acts, and they stay small. */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { loopCurve } from '../../src/linear/loop-curve.js';
import { marginsOf } from '../../src/linear/margins.js';
import { follow } from '../../src/linear/trace-response.js';
import { transfer } from '../../src/linear/transfer.js';
import type { PageCell, PageSweep } from '../../src/report/page-payload.js';
import { bodePicture } from '../../src/report/svg/bode-picture.js';
import { coursePieces, simplified } from '../../src/report/svg/course.js';
import { DARK, LIGHT } from '../../src/report/svg/ink.js';
import { mapWords, shadingOf } from '../../src/report/svg/map-picture.js';
import { pictureText, stacked } from '../../src/report/svg/picture.js';
import { apart, closedBetween } from '../../src/report/svg/places.js';
import { runPicture } from '../../src/report/svg/run-picture.js';
import { sweepPicture } from '../../src/report/svg/sweep-picture.js';
import { type Made, madeTrace } from './fixtures.js';
import '../properties.js';

const run = (made: Made, name = 'a'): Parameters<typeof runPicture>[1][number] => ({ name, trace: madeTrace(made), verdict: 'Holds', bandRpm: 25 });
const numbers = (text: string, pattern: RegExp): number[] => [...text.matchAll(pattern)].map(([, value]) => Number(value));
const event = { atS: 5, engagedS: 5, name: 'load', what: 'load of 8 N·m' };

describe('the course of a line', () => {
  const course = fc.array(fc.double({ min: -100, max: 100, noNaN: true }), { minLength: 1, maxLength: 400 });

  test('keeps the lowest and the highest sample to a quarter of a pixel', () => {
    fc.assert(fc.property(course, fc.integer({ min: 2, max: 60 }), (y, width) => {
      const x = y.map((_, k) => k / y.length);
      const [points] = coursePieces(x, y, (value) => value * width, (value) => value);
      const drawn = points!.map(([, value]) => value);
      expect(Math.abs(Math.min(...drawn) - Math.min(...y))).toBeLessThanOrEqual(0.25);
      expect(Math.abs(Math.max(...drawn) - Math.max(...y))).toBeLessThanOrEqual(0.25);
    }));
  });

  test('is a few points where it is straight, and every corner where it is not', () => {
    const bent = (k: number): readonly [number, number] => [k, k < 500 ? 0 : k - 500];
    expect(simplified(Array.from({ length: 1000 }, (_, k) => bent(k)))).toEqual([[0, 0], [500, 0], [999, 499]]);
  });

  test('has a gap where there is no value', () => {
    const pieces = coursePieces([0, 1, 2, 3, 4], [1, 2, Number.NaN, 4, 5], (x) => 10 * x, (y) => 10 * y);
    expect(pieces).toEqual([[[0, 10], [10, 20]], [[30, 40], [40, 50]]]);
  });
});

test('names keep their distance, their order and the strip', () => {
  fc.assert(fc.property(fc.array(fc.double({ min: -50, max: 250, noNaN: true }), { minLength: 1, maxLength: 8 }), (found) => {
    const places = apart([...found].sort((a, b) => a - b), 15, 0, 200);
    places.forEach((place, i) => {
      expect(place).toBeGreaterThanOrEqual(0);
      expect(place).toBeLessThanOrEqual(200);
      if (i > 0) expect(place - places[i - 1]!).toBeGreaterThanOrEqual(15 - 1e-9);
    });
  }));
  expect(apart([100, 140], 15, 0, 200)).toEqual([100, 140]);
});

test('between openings the loop is closed, at both ends too', () => {
  expect(closedBetween([{ fromS: 1, toS: 2 }, { fromS: 2, toS: 3 }, { fromS: 9, toS: 10 }], 10)).toEqual([[0, 1], [3, 9]]);
});

describe('the picture of a run', () => {
  const speed = (t: number): number => (t < 5 ? 800 : 800 - 120 * Math.exp(-(t - 5)));

  test('has the band about the target, the event at its time and a stall where it was', () => {
    const text = pictureText(runPicture('t', [run({ speed, events: [event], stalled: true })]));
    expect(text).toMatch(/band: target ± 25/);
    const [left, right] = [56, numbers(text, /<rect class="closed" x="56" y="[\d.]+" width="([\d.]+)"/g)[0]! + 56];
    const [upright] = numbers(text, /<line class="upright" x1="([\d.]+)"/g);
    expect((upright! - left) / (right - left)).toBeCloseTo(5 / 14.99, 2);
    expect(text).toMatch(/class="letter"[^>]*>a<\/text>/);
    expect(text).toMatch(/a = load at 5\.00 s \(load of 8 N·m\)/);
    const [stall] = numbers(text, /<path class="stall" d="M([\d.]+)/g);
    expect(stall! + 5).toBeCloseTo(right, 0);
  });

  test('has a band of a moving target too, as high all along', () => {
    const text = pictureText(runPicture('t', [run({ target: (t) => 1200 - 20 * t, speed: (t) => 1200 - 20 * t })]));
    const [, d] = /<path class="band" d="([^"]+)"/.exec(text)!;
    const ys = [...d!.matchAll(/[ML]\d[\d.]* (-?[\d.]+)/g)].map(([, y]) => Number(y));
    expect(ys).toHaveLength(4);
    expect(ys[3]! - ys[0]!).toBeCloseTo(ys[2]! - ys[1]!, 0);
    expect(ys[1]).toBeGreaterThan(ys[0]!); // down with the target
    const [one, two] = [...text.matchAll(/class="grid" x1="[\d.]+" y1="([\d.]+)"[^>]*\/><text [^>]*>(\d+)</g)].map(([, y, rpm]) => [Number(y), Number(rpm)] as const);
    expect(ys[3]! - ys[0]!).toBeCloseTo(50 * ((two![0] - one![0]) / (one![1] - two![1])), 0);
  });

  test('says why the loop was open where that fits, and leaves out a spark that stands still', () => {
    const text = pictureText(runPicture('t', [run({ open: [{ fromS: 3, toS: 9, because: 'the throttle is open' }] })]));
    expect(text).toMatch(/>open: the throttle is open</);
    expect(text).not.toMatch(/spark, °BTDC/);
    expect(pictureText(runPicture('t', [run({ spark: (t) => 12 + t })]))).toMatch(/spark, °BTDC/);
  });

  test('cuts off a free-rev and says how far it goes', () => {
    const text = pictureText(runPicture('t', [run({ speed: (t) => (t > 1 && t < 2 ? 3300 : 800) })]));
    expect(text).toMatch(/goes to 3300/);
    expect(text).toMatch(/>2000</);
    expect(text).not.toMatch(/>3000</);
  });

  test('lays runs over each other, each with its name, and says which are left out', () => {
    const text = pictureText(runPicture('t', Array.from({ length: 7 }, (_, i) => run({ speed: () => 800 + 30 * i }, `run ${i}`))));
    for (let i = 0; i < 5; i++) expect(text).toContain(`>run ${i}</text>`);
    expect(text).not.toContain('>run 5</text>');
    expect(text).toMatch(/2 more not drawn/);
  });

  test('refuses a run that has recorded nothing', () => {
    expect(() => runPicture('t', [run({ rows: 0 })])).toThrow(RangeError);
  });

  test('is well-formed whatever it is called, and holds nothing that acts', () => {
    fc.assert(fc.property(fc.string({ unit: 'grapheme' }), fc.string({ unit: 'binary' }), (a, b) => {
      const hostile = `${a}</title><script>alert(1)</script><img onerror="x">${b}`;
      const text = pictureText(runPicture(hostile, [run({ events: [{ ...event, name: hostile, what: hostile }], rows: 50 }, hostile), run({ rows: 50 }, b)]));
      expect(text).not.toMatch(/<script|<img|<foreignObject|href=|url\(|@import/);
      expect(text.replace(/<[^<>]*>/g, '')).not.toMatch(/[<>]/);
      expect(text).not.toMatch(/NaN|undefined|Infinity/);
    }), { numRuns: 30 });
  });

  test('of a noisy run of ten minutes stays under 40 kB, and has the same bytes again', () => {
    const noisy = (): string => pictureText(runPicture('t', [run({ rows: 60_000, speed: (t) => 800 + 20 * Math.sin(40 * t) + 10 * Math.sin(777 * t), air: (t) => 30 + Math.sin(61 * t) })]));
    const text = noisy();
    expect(text.length).toBeLessThan(40_000);
    expect(noisy()).toBe(text);
  });
});

test('pictures one under the other take as much room as all of them', () => {
  const one = runPicture('t', [run({})]);
  const three = stacked([one, one, one]);
  expect(three.height).toBeGreaterThanOrEqual(3 * one.height);
  expect(numbers(pictureText(three), /translate\(0 ([\d.]+)\)/g)).toEqual([0, 1, 2].map((i) => i * (one.height + 12)));
  expect(stacked([one])).toBe(one);
});

describe('the Bode picture', () => {
  /** 0 dB at 2 rad/s, −90° but for a delay of 0.1 s: phase margin 90° − 0.2 rad; gain margin π/2/0.1/2. */
  const loop = transfer([2], [1, 0], { delayS: 0.1 });
  const text = pictureText(bodePicture('t', [{ name: 'loop', curve: loopCurve(follow(loop).points) }], marginsOf(loop), ['Stable.']));

  test('draws both margins with their numbers, as high as they are', () => {
    expect(text).toMatch(/phase margin 78\.5°/);
    expect(text).toMatch(/gain margin × 7\.85/);
    const uprights = [...text.matchAll(/<line class="bracket" x1="([\d.]+)" y1="([\d.]+)" x2="\1" y2="([\d.]+)"/g)].map(([, x, a, b]) => [Number(x), Math.abs(Number(a) - Number(b))] as const);
    expect(uprights).toHaveLength(2);
    const [gain, phase] = uprights as [readonly [number, number], readonly [number, number]];
    expect(gain[1]).toBeCloseTo((170 * 20 * Math.log10((Math.PI / 2) / 0.2)) / 80, 0);
    expect(phase[1]).toBeCloseTo((170 * (90 - 0.2 * (180 / Math.PI))) / 360, 0);
    expect(gain[0]).toBeGreaterThan(phase[0]); // it would hunt at a higher frequency than it crosses
  });
});

describe('the map', () => {
  const axis = (key: string, n: number): PageSweep['axes'][number] => ({ key, unit: '', spacing: 'linear', values: Array.from({ length: n }, (_, i) => i) });
  const rows: readonly (readonly PageCell[])[] = [[1, 2, 'stalled'], [{ missed: 9 }, 4, 'notRun'], [5, 'unreached', 1000]];
  const map = { x: axis('a', 3), y: axis('b', 3), by: [1, 1] as const, rows };

  test('shades by rank, so that one bad cell does not wash out the rest', () => {
    const shading = shadingOf(map)!;
    expect([1, 2, 4, 5, 9, 1000].map((score) => shading.shade(score))).toEqual([1, 1, 0.75, 0.52, 0.32, 0.14]);
    expect(shadingOf({ ...map, rows: [['stalled']] })).toBeNull();
    expect(mapWords({ ...map, rows: [[0.5, 0.5]] })).toBe('filled: score 0.500, the same in all');
  });

  test('frames the best, rings what misses, crosses what stalls, and says so', () => {
    const text = pictureText(sweepPicture({ name: 's', axes: [map.x, map.y], cells: 9, map, front: null }, ['Best: a 0, b 0']));
    expect(text).toMatch(/ringed: misses a limit; crossed: stalls; empty: no result/);
    expect(text.match(/class="best"/g)).toHaveLength(1);
    expect(text.match(/class="ring"/g)).toHaveLength(1);
    expect(text.match(/class="cross"/g)).toHaveLength(1);
  });

  test('is refused where there is nothing to draw', () => {
    expect(() => sweepPicture({ name: 's', axes: [], cells: 0, map: null, front: null }, [])).toThrow(/grid of exactly two settings/);
  });
});

test('page and pictures use the same inks', () => {
  const css = readFileSync(new URL('../../src/page/browser/style.css', import.meta.url), 'utf8');
  const blocks = [...css.matchAll(/--paper:[^}]*/g)].map(([block]) => Object.fromEntries([...block.matchAll(/--(\w+): (#\w+)/g)].map(([, name, value]) => [name, value])));
  expect(blocks).toHaveLength(3);
  expect(blocks[0]).toMatchObject(LIGHT);
  for (const dark of blocks.slice(1)) expect(dark).toMatchObject(DARK);
});
