/** A target that moves by itself, as it does while the engine warms up. */
import { expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { eventMeter } from '../../src/score/events.js';
import { scoringTable } from '../../src/score/parameters.js';
import { handTrace, type Hand } from './traces.js';

const sagOf = (columns: Hand['columns']): number | null => {
  const trace = handTrace({ lengthS: 100, columns: columns ?? {}, events: [{}] });
  return eventMeter(trace, fill(scoringTable))(trace.events[0]!).sagRpm;
};
const falling = (t: number): number => 1100 - 3 * t;

test('following a target down is no sag', () => {
  expect(sagOf({ targetRpm: falling, speedRpm: falling })).toBeCloseTo(0, 9);
});

test('a dip on the way down is counted from the target of its moment', () => {
  const dip = (t: number): number => (t > 50 && t < 51 ? 60 : 0);
  expect(sagOf({ targetRpm: falling, speedRpm: (t) => falling(t) - dip(t) })).toBeCloseTo(60, 6);
});

test('a target that rises away from the speed makes no sag of what was none', () => {
  expect(sagOf({ targetRpm: (t) => 800 + t, speedRpm: () => 800 })).toBeCloseTo(0, 9);
});
