/** Sobol' sequences against scipy's: data/sobol.json, made by make/sobol_points.py (versions in the file). */
import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { createSobol } from '../../src/search/sampling/index.js';

const { dimensions, points, far } = JSON.parse(readFileSync(new URL('./data/sobol.json', import.meta.url), 'utf8')) as {
  readonly dimensions: number;
  readonly points: readonly (readonly number[])[];
  readonly far: Readonly<Record<string, readonly number[]>>;
};

const sequence = createSobol(dimensions, null);
const at = (index: number): number[] => {
  const out = new Float64Array(dimensions);
  sequence(index, out);
  return [...out];
};

test('the first points in 40 dimensions are scipy’s, to the bit', () => {
  expect(points.length).toBe(64);
  points.forEach((point, index) => expect(at(index)).toEqual(point));
});

test('points far on are scipy’s too, found without those before', () => {
  expect(Object.keys(far).length).toBe(5);
  for (const [index, point] of Object.entries(far)) expect(at(Number(index))).toEqual(point);
});
