import { expect, test } from 'vitest';
import { csvField, csvLines, jsonLines, rank, type SweepResult, type SweepRow } from '../../src/search/index.js';

const row = (index: number, more: Partial<SweepRow>): SweepRow => ({
  index, values: [index], score: 1, reason: null, stalled: false, stallTimeS: null, missed: [],
  sagRpm: 60.1, flareRpm: 0, settlingTimeS: 2.5, stallMarginRpm: 440, huntingRpm: null, reasons: { huntingRpm: 'too quiet' }, ...more,
});

function resultOf(rows: readonly SweepRow[]): SweepResult {
  const { index, ...starting } = row(0, { values: [0.15] });
  expect(index).toBe(0);
  const axes = [{ key: 'engine.inertia', unit: 'kg m^2', spacing: 'list', values: rows.map((r) => r.values[0]!) }] as const;
  return { axes, scenarios: ['a "quoted", name'], starting, rows, ranking: rank(rows), total: rows.length + 1, complete: false };
}

const RESULT = resultOf([
  row(0, { values: [0.1], score: 0.1 + 0.2, missed: ['sagRpm', 'huntingRpm'] }),
  row(1, { values: [0.2], score: 100.5, stalled: true, stallTimeS: 3.25, settlingTimeS: null, reasons: { settlingTimeS: 'the engine stalls' } }),
  row(2, { values: [0.3], score: null, reason: 'controller.clamp.lowest: 60, "above" 50', sagRpm: null }),
  row(3, { values: [0.4], score: 0.1 }),
]);

test('a table has names with units, empty fields for what is absent, and every digit', () => {
  expect([...csvLines(RESULT)]).toEqual([
    'index,rank,engine.inertia [kg m^2],score,stalled,stallTimeS [s],missed,sagRpm [rpm],flareRpm [rpm],settlingTimeS [s],stallMarginRpm [rpm],huntingRpm [rpm],reason',
    '0,2,0.1,0.30000000000000004,0,,sagRpm huntingRpm,60.1,0,2.5,440,,',
    '1,3,0.2,100.5,1,3.25,,60.1,0,,440,,',
    '2,4,0.3,,,,,,0,2.5,440,,"controller.clamp.lowest: 60, ""above"" 50"',
    '3,1,0.4,0.1,0,,,60.1,0,2.5,440,,',
  ]);
});

test('fields are quoted as RFC 4180 wants', () => {
  expect(['plain', 'a,b', 'say "so"', 'two\nlines', 'cr\r', '', null, 0.1, 1e-7, true].map(csvField)).toEqual([
    'plain', '"a,b"', '"say ""so"""', '"two\nlines"', '"cr\r"', '', '', '0.1', '1e-7', 'true',
  ]);
});

test('JSON lines are one object, with values by key and the ranking by cell', () => {
  const object = JSON.parse([...jsonLines(RESULT)].join('\n'));
  expect(Object.keys(object)).toEqual(['scenarios', 'axes', 'total', 'complete', 'starting', 'ranking', 'rows']);
  expect(object).toMatchObject({ scenarios: RESULT.scenarios, axes: RESULT.axes, total: 5, complete: false, ranking: [3, 0, 1, 2] });
  expect(object.starting.values).toEqual({ 'engine.inertia': 0.15 });
  expect(object.rows[1]).toEqual({ ...RESULT.rows[1], values: { 'engine.inertia': 0.2 } });
  expect(object.rows).toHaveLength(4);
});

test('JSON of a sweep without a finished row is still an object', () => {
  expect(JSON.parse([...jsonLines(resultOf([]))].join('\n'))).toMatchObject({ rows: [], ranking: [] });
});

test('the ranking is by score, equal scores by index, then those that stall, then those that could not be run', () => {
  const rows = [row(0, { score: null, reason: 'x' }), row(1, { score: 5, stalled: true }), row(2, { score: 7 }), row(3, { score: 7 }), row(4, { score: 6 }), row(5, { score: 4, stalled: true })];
  expect(rank(rows)).toEqual([4, 2, 3, 5, 1, 0]);
});

test('the same score keeps the order of the cells however many there are', () => {
  const rows = Array.from({ length: 5000 }, (_, i) => row(i, { score: i % 3 }));
  const order = rank(rows);
  for (let i = 1; i < order.length; i++) {
    const [a, b] = [rows[order[i - 1]!]!, rows[order[i]!]!];
    expect(a.score! < b.score! || (a.score === b.score && a.index < b.index)).toBe(true);
  }
});
