/** What a long sweep says of its length. */
import { expect, test } from 'vitest';
import { createEstimate, roughTime } from '../../src/cli/estimate.js';

/** What is said as cells get done, at a clock of one's own. */
function notes(total: number, ...seen: readonly (readonly [ms: number, done: number])[]): readonly (string | null | undefined)[] {
  const clock = { ms: 0 };
  const estimate = createEstimate(() => clock.ms);
  return seen.map(([ms, done]) => {
    clock.ms = ms;
    return estimate.note(done, total);
  });
}

test('the whole time is told once, after a second of cells, when it exceeds a minute', () => {
  expect(notes(1_000_000, [500, 10], [900, 20], [1_500, 80], [9_000, 500])).toEqual([undefined, undefined, '1000000 cells, about 4 h; Ctrl-C keeps what is finished', null]);
  expect(notes(10, [0, 1], [10_000, 2], [20_000, 3])).toEqual([undefined, '10 cells, about 2 min; Ctrl-C keeps what is finished', null]);
});

test('nothing is said of what ends within a minute', () => {
  expect(notes(4_000, [0, 10], [1_000, 110], [2_000, 210])).toEqual([undefined, null, null]);
});

test('a time is told in two digits at most', () => {
  expect([61_000, 89 * 60_000, 95 * 60_000, 47 * 3_600_000, 80 * 3_600_000].map(roughTime)).toEqual(['1 min', '89 min', '2 h', '47 h', '3 days']);
});
