import { describe, expect, test } from 'vitest';
import { frontPage, plain } from '../../src/report/index.js';
import type { SweepRow } from '../../src/search/evaluate.js';
import { frontOf } from '../../src/search/front.js';
import { type Objective, OBJECTIVES } from '../../src/search/objectives.js';

const objective = (name: string): Objective => OBJECTIVES.find(({ option }) => option === name)!;
const objectives = [objective('settling'), objective('stall-margin')] as const;
const row = (index: number, settlingTimeS: number | null, stallMarginRpm: number | null, given: Partial<SweepRow> = {}): SweepRow => ({
  index, values: [0.01 + index / 1000, 0.02], score: 1 + index / 10, reason: null, stalled: false, stallTimeS: null, missed: [], sagRpm: 1, flareRpm: 1, settlingTimeS, stallMarginRpm,
  huntingRpm: null, reasons: {}, ...given,
});
/** A quarter circle of the best, and a cloud behind it. */
const cloud = (n: number): SweepRow[] => Array.from({ length: n }, (_, i) => {
  const angle = ((i % 40) / 39) * (Math.PI / 2);
  const radius = 1 - 0.15 * Math.floor(i / 40);
  return row(i, 4 - 3 * radius * Math.cos(angle), 300 + 200 * radius * Math.sin(angle));
});
const axes = [{ key: 'controller.pid.kp', unit: '%/rpm' }, { key: 'controller.pid.ki', unit: '%/(rpm s)' }];

function page(rows: readonly SweepRow[], columns = 80, top?: number): string[] {
  const front = frontOf(rows, [objectives[0], objectives[1]]);
  return frontPage({ objectives, front, others: rows.filter((each) => !front.includes(each)), of: rows.length, axes, columns, colour: false, ...(top === undefined ? {} : { top }) });
}

describe('the page of a front', () => {
  test.each([40, 80, 120])('stays within %i columns, and colour changes no cell', (columns) => {
    const lines = page(cloud(200), columns);
    for (const line of lines) expect([...line].length).toBeLessThanOrEqual(columns);
    const front = frontOf(cloud(200), [objectives[0], objectives[1]]);
    const given = { objectives, front, others: [], of: 200, axes, columns };
    expect(frontPage({ ...given, colour: true }).map(plain)).toEqual(frontPage({ ...given, colour: false }));
  });

  test('draws the letters of its table, the better further up and further left, and says what they are', () => {
    const rows = [row(0, 1, 300), row(1, 2, 400, { missed: ['sagRpm'] }), row(2, 3, 500), row(3, 3, 350)];
    const lines = page(rows);
    const at = (letter: string): readonly [number, number] => {
      const y = lines.findIndex((line) => new RegExp(`[│┤].*${letter}`).test(line));
      return [lines[y]!.lastIndexOf(letter), y];
    };
    const [a, b, c] = [at('a'), at('b'), at('c')];
    expect(a[0] < b[0] && b[0] < c[0]).toBe(true);
    expect(a[1] > b[1] && b[1] > c[1]).toBe(true);
    expect(at('·')[0]).toBe(c[0]);
    const text = lines.join('\n').replace(/\n {2}(?=\w)/g, ' ');
    expect(text).toMatch(/^b +2\.00 +400 +0\.011 +0\.02 +1\.100 +1 missed$/m);
    expect(text).toMatch(/3 settings of 4 that no other betters in settling without giving way in/);
    expect(text).toContain('settling: lower is better; stall margin: higher is better');
    expect(text).toContain('kp is controller.pid.kp');
  });

  test('of very many lists some, its ends among them, and marks the others', () => {
    const lines = page(cloud(200), 80, 5);
    expect(lines.filter((line) => /^[a-z] +\d/.test(line))).toHaveLength(5);
    const text = lines.join('\n').replace(/\n {2}(?=\w)/g, ' ');
    expect(text).toMatch(/^a +1\.00 +300/m);
    expect(text).toMatch(/^e +4\.00 +500/m);
    expect(text).toContain('◆');
    expect(text).toContain('5 of them, spread along it, are listed');
  });

  test('of one setting, and of none, still says something', () => {
    expect(page([row(0, 2, 300)]).join('\n')).toMatch(/1 setting of 1/);
    expect(page([row(0, null, 300), row(1, 1, 300, { stalled: true })], 100)).toEqual(['No front of settling against stall margin: no setting that runs through has both.']);
  });
});
