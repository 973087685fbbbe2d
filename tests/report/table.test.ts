import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  cautionLine,
  cautions,
  compareTable,
  eventTable,
  formatMark,
  formatNumber,
  heatMap,
  type HeatCell,
  plain,
  plural,
  rankingTable,
  seconds,
  shortKeys,
  signed,
  table,
  textWidth,
  withUnit,
  wrap,
} from '../../src/report/index.js';
import { METRICS } from '../../src/score/metrics.js';
import { eventOf, FULL, metricsOf } from './fixtures.js';

const ESCAPE = String.fromCharCode(27);
const sound = (lines: readonly string[], columns: number): void => {
  for (const line of lines) {
    expect(textWidth(line), line).toBeLessThanOrEqual(columns);
    expect(line).not.toMatch(/NaN|undefined|Infinity|null|\[object|[-−]0(\.0+)?( |$)/);
    expect(line).not.toContain('\n');
    expect(line).not.toContain(ESCAPE);
  }
};
const columns = fc.integer({ min: 40, max: 200 });
const name = fc
  .oneof(
    fc.constant('load on'),
    fc.string({ maxLength: 40 }),
    fc.constant('エアコン作動とパワーステアリング'),
    fc.constant('x'.repeat(90)),
    fc.constant('two\nlines\tand a tab'),
  )
  // a name may hold any text: those that look like the faults searched for would be found in vain
  .filter((text) => !/NaN|undefined|Infinity|null|object|[-−]0/.test(text));
const maybe = fc.oneof(fc.constant(null), fc.double({ min: -5000, max: 5000, noNaN: true }));
const values = fc.record(
  Object.fromEntries(METRICS.map((metric) => [metric, maybe])) as Record<(typeof METRICS)[number], typeof maybe>,
);
const REASON = 'the window ends before the band has been held for 1 s, and that is a long way of saying it';
const allAbsent = Object.fromEntries(METRICS.map((metric) => [metric, REASON]));

describe('numbers', () => {
  test('have the decimals that a reader can use, and no minus zero', () => {
    expect([
      formatNumber(812.4, 'rpm'),
      formatNumber(6.24, 'rpm'),
      formatNumber(-0.04, 'rpm'),
      formatNumber(-0, 'Hz'),
      formatNumber(0.000012346),
    ]).toEqual(['812', '6.2', '0.0', '0.00', '0.00001235']);
    expect([seconds(2.314), seconds(12.34), seconds(123.4), withUnit(33.333, '%')]).toEqual([
      '2.31 s',
      '12.3 s',
      '123 s',
      '33.3 %',
    ]);
    expect([signed(12, 'rpm'), signed(-12, 'rpm'), signed(0.001, 's'), signed(-0.001, 's')]).toEqual(['+12', '−12', '±0', '±0']);
    expect([plural(1, 'event'), plural(2, 'event'), plural(0, 'query', 'queries')]).toEqual(['1 event', '2 events', '0 queries']);
    expect([formatMark(0.30000000000000004, 0.1), formatMark(12.5, 2.5), formatMark(800, 50), formatMark(0, 0.25)]).toEqual([
      '0.3',
      '12.5',
      '800',
      '0.00',
    ]);
  });

  test('refuse to print what is no number', () => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY]) expect(() => formatNumber(value, 'rpm')).toThrow(RangeError);
  });
});

describe('the event table', () => {
  test('never wraps, whatever the names, numbers and width', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(name, values), { maxLength: 5 }), columns, (made, width) => {
        sound(
          eventTable({ events: made.map(([text, of], i) => eventOf(text, i, of, allAbsent)) }, { columns: width, colour: false }),
          width,
        );
      }),
      { numRuns: 200 },
    );
  });

  test('shows every metric at 40, 80, 120 and 200 columns', () => {
    for (const width of [40, 80, 120, 200]) {
      const text = eventTable({ events: [eventOf('load on', 2, FULL)] }, { columns: width, colour: false }).join('\n');
      for (const shown of [
        '112',
        '31',
        '2.31',
        '12.3',
        '688',
        '2.41',
        '388',
        '48.5',
        '143',
        '6.2',
        '0.81',
        '0.41',
        '0.63',
        '0.00',
      ])
        expect(text).toContain(shown);
    }
  });

  test('dashes what does not exist and gives the reason once below', () => {
    const event = eventOf(
      'load on',
      2,
      { ...FULL, huntingRpm: null, huntingHz: null, settlingTimeS: null },
      { huntingRpm: 'no hunting', huntingHz: 'no hunting', settlingTimeS: 'the engine stalls' },
    );
    const lines = eventTable({ events: [event] }, { columns: 200, colour: false });
    expect(lines.slice(-2)).toEqual(['¹ the engine stalls', '² no hunting']);
    expect(lines.join('\n').match(/–²/g)).toHaveLength(2);
  });

  test('has a second line for an event that takes effect later, with what is seen from there', () => {
    const led = { ...eventOf('load on', 9, FULL), engagedS: 9.5, fromEngagement: metricsOf({ ...FULL, sagRpm: 77, flareRpm: null }, { flareRpm: REASON }) };
    for (const width of [40, 80, 120, 200]) {
      const lines = eventTable({ events: [led, eventOf('load off', 12, FULL)] }, { columns: width, colour: false });
      sound(lines, width);
      const second = lines.findIndex((line) => line.includes('from 9.50 s, when'));
      expect(second).toBeGreaterThan(0);
      if (width >= 80) expect(lines[second]).toMatch(/from 9\.50 s, when it takes effect +9\.50 +77 +–¹/);
      else expect(lines.slice(second).join('\n')).toMatch(/sag, rpm +77/);
    }
    expect(eventTable({ events: [eventOf('load on', 9, FULL)] }, { columns: 200, colour: false }).join('\n')).not.toContain('when it takes effect');
  });

  test('says that there are no events', () => {
    expect(eventTable({ events: [] }, { columns: 80, colour: false })).toEqual(['no events in this drill']);
  });
});

describe('the comparison', () => {
  const run = (of: Partial<typeof FULL>, stalled = false) => ({
    events: [eventOf('load on', 2, { ...FULL, ...of })],
    metrics: metricsOf({ ...FULL, ...of }),
    score: (of.sagRpm ?? FULL.sagRpm) / 100,
    stalled,
    stallTimeS: stalled ? 3.2 : null,
    missed: [],
  });

  test('says in a word which way is better, and that less margin is worse', () => {
    const lines = compareTable(
      [
        { name: 'base', scored: run({}) },
        { name: 'stiffer', scored: run({ sagRpm: 90.4, stallMarginRpm: 300.6, huntingRpm: FULL.huntingRpm }) },
      ],
      { columns: 80, colour: false },
    );
    const line = (head: string): string => lines.find((text) => text.startsWith(head)) as string;
    expect(line('sag, rpm')).toMatch(/112 +90 +−22 better/);
    expect(line('stall margin, rpm')).toMatch(/388 +301 +−87 worse/);
    expect(line('hunting, rpm')).toMatch(/6\.2 +6\.2 +±0$/);
    expect(line('stalls')).toMatch(/no +no/);
  });

  test('says that a run that stalls is worse, and from when', () => {
    const lines = compareTable(
      [
        { name: 'base', scored: run({}) },
        { name: 'early entry', scored: run({}, true) },
      ],
      { columns: 80, colour: false },
    );
    expect(lines.find((text) => text.startsWith('stalls'))).toMatch(/no +at 3\.20 s +worse/);
  });

  test('compares whole runs alone when the events differ, and says so', () => {
    const other = { ...run({}), events: [] };
    expect(
      compareTable(
        [
          { name: 'a', scored: run({}) },
          { name: 'b', scored: other },
        ],
        { columns: 80, colour: false },
      ).at(-1),
    ).toBe('the events differ, so only whole runs are compared');
  });

  test('never wraps, and lists long names', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(name, values), { minLength: 1, maxLength: 5 }), columns, (made, width) => {
        const runs = made.map(([text, of]) => ({
          name: text,
          scored: { ...run({}), metrics: metricsOf(of, allAbsent), events: [eventOf('load on', 2, of, allAbsent)] },
        }));
        sound(compareTable(runs, { columns: width, colour: false }), width);
      }),
      { numRuns: 100 },
    );
    expect(compareTable([{ name: 'x'.repeat(30), scored: run({}) }], { columns: 80, colour: false })[0]).toBe(
      `run 1: ${'x'.repeat(30)}`,
    );
  });
});

describe('the heat map', () => {
  const grid = (x: number, y: number, of: (i: number, j: number) => HeatCell, width = 80) =>
    heatMap({
      x: { key: 'controller.pid.kp', unit: '%/rpm', values: Array.from({ length: x }, (_, i) => 0.005 * (i + 1)) },
      y: { key: 'controller.pid.ki', unit: '%/(rpm·s)', values: Array.from({ length: y }, (_, j) => 0.01 * (j + 1)) },
      score: Array.from({ length: y }, (_, j) => Array.from({ length: x }, (__, i) => of(i, j))),
      columns: width,
      colour: false,
    });

  test('marks stalls, missed limits and the best cell where they are, and explains the marks', () => {
    const lines = grid(3, 3, (i, j) => (j === 2 ? 'stalled' : i === 2 ? (j === 0 ? 'notRun' : 'unreached') : i === 1 ? { missed: 2 + j } : 1 + j));
    expect(lines.slice(1, 4)).toEqual(['0.03 │ ×  ×  × ', '0.02 │░░░▓!▓   ', '0.01 │ ◆ ░!░ ? ']);
    const text = lines.join('\n');
    for (const said of [
      '◆ best 1.000 at controller.pid.kp 0.005, controller.pid.ki 0.01',
      '× stalls (3 of 9 cells)',
      '! misses a limit (2 of 9 cells)',
      '? could not be run (1 of 9 cells)',
      'blank: not reached (1 of 9 cells)',
      'score, lower is better',
    ])
      expect(text).toContain(said);
  });

  test('keeps the density of a missed limit readable however narrow, and marks the best cell even if it misses one', () => {
    for (const [width, across] of [[80, 3], [46, 20], [46, 60]] as const) {
      const lines = grid(across, 1, (i) => ({ missed: i }), width);
      sound(lines, width);
      const row = lines[1]!.slice(lines[1]!.indexOf('│') + 1);
      expect(row.trimStart()).toMatch(/^◆!/);
      expect(row).toMatch(across > 4 ? /█!/ : /▓!▓/);
      expect(row).not.toMatch(/!!/);
      expect(lines.join('\n')).toContain(`! misses a limit (${across} of ${across} cells)`);
    }
  });

  test('grows denser as the score grows', () => {
    const row = grid(10, 1, (i) => i)[1] as string;
    expect(row.slice(row.indexOf('│') + 1)).toBe(` ◆ ···░░░░░░▒▒▒▒▒▒▓▓▓▓▓▓██████`);
  });

  test('thins when too wide, keeps the best cell, and says so', () => {
    for (const best of [0, 1, 57, 199]) {
      const lines = grid(200, 3, (i, j) => Math.abs(i - best) + j);
      sound(lines, 80);
      expect(lines.slice(1, 4).join('')).toContain('◆');
      expect(lines.join(' ')).toMatch(/too wide for 80 columns: every 3rd value of controller\.pid\.kp is shown, 6[67]/);
    }
  });

  test('never leaves the terminal, for any scores', () => {
    const cell = fc.oneof(
      { weight: 5, arbitrary: fc.double({ min: 0, max: 1e4, noNaN: true }) },
      { weight: 1, arbitrary: fc.constantFrom('stalled' as const, 'notRun' as const, 'unreached' as const) },
      { weight: 2, arbitrary: fc.record({ missed: fc.double({ min: 0, max: 1e4, noNaN: true }) }) },
    );
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 8 }),
        columns,
        fc.infiniteStream(cell),
        (x, y, width, stream) => {
          sound(
            grid(x, y, () => stream.next().value as HeatCell, width),
            width,
          );
        },
      ),
      { numRuns: 100 },
    );
  });

  test('draws a map without one run that finished, and refuses scores that do not match the axes', () => {
    expect(grid(2, 2, () => 'stalled').join('\n')).toContain('× stalls (4 of 4 cells)');
    expect(() =>
      heatMap({
        x: { key: 'a', unit: '', values: [1] },
        y: { key: 'b', unit: '', values: [1] },
        score: [[1, 2]],
        columns: 80,
        colour: false,
      }),
    ).toThrow(RangeError);
  });
});

describe('the ranking', () => {
  const row = (rank: number, stalled = false) => ({
    rank,
    values: { 'controller.pid.kp': 0.01 * rank, 'controller.pid.ki': 0.02, 'engine.inertia': 0.15 },
    score: 0.4 * rank,
    worst: { sagRpm: 61, flareRpm: 30, settlingTimeS: stalled ? null : 2.1, stallMarginRpm: 417, huntingRpm: null },
    reasons: { huntingRpm: 'no hunting' },
    stalled,
    missed: 0,
  });

  test('names a stall, explains shortened keys, and says how many there were', () => {
    const lines = rankingTable([row(1), row(2, true)], {
      columns: 80,
      colour: false,
      units: { 'controller.pid.kp': '%/rpm' },
      of: 400,
    });
    sound(lines, 80);
    const text = lines.join('\n');
    for (const said of ['holds', 'stalls', 'kp is controller.pid.kp', 'best 2 of 400', '¹ no hunting'])
      expect(text).toContain(said);
  });

  test('never wraps', () => {
    fc.assert(
      fc.property(columns, fc.integer({ min: 0, max: 4 }), (width, n) =>
        sound(
          rankingTable(
            Array.from({ length: n }, (_, i) => row(i + 1, i % 2 === 1)),
            { columns: width, colour: false, units: {} },
          ),
          width,
        ),
      ),
    );
  });

  test('shows how near each comes to a stall', () => {
    const lines = rankingTable([row(1)], { columns: 200, colour: false, units: {} });
    expect(lines.find((line) => line.includes('holds'))).toMatch(/2\.10 +417 +–/);
    expect(lines.slice(0, 3).join(' ')).toMatch(/stall[\s\S]*margin/);
  });

  test('says when the settings make no difference, for all of the sweep and not for those shown alone', () => {
    const flat = (n: number) => Array.from({ length: n }, (_, i) => ({ ...row(i + 1), score: 0.4, values: { 'engine.inertia': 0.1 * (i + 1) } }));
    const said = (rows: ReturnType<typeof flat>, more: { readonly of?: number; readonly worstScore?: number } = {}) =>
      rankingTable(rows, { columns: 80, colour: false, units: {}, ...more }).join('\n').includes('this makes no difference in these drills');
    expect(said(flat(3))).toBe(true);
    expect(said(flat(1))).toBe(false);
    expect(said([...flat(2), { ...flat(1)[0]!, score: 0.41 }])).toBe(false);
    expect(said(flat(3), { of: 400 })).toBe(false);
    expect(said(flat(3), { of: 400, worstScore: 0.41 })).toBe(false);
    expect(said(flat(3), { of: 400, worstScore: 0.4 })).toBe(true);
  });

  test('keeps as much of a key as tells it from the others', () => {
    expect(shortKeys(['controller.pid.kp', 'controller.spark.rate', 'engine.rate'])).toEqual(['kp', 'spark.rate', 'engine.rate']);
  });
});

describe('tables and text', () => {
  test('align wide characters', () => {
    const lines = table({
      heads: [
        { head: 'name', align: 'left', names: true },
        { head: 'sag', unit: 'rpm' },
      ],
      rows: [
        ['エアコン', '112'],
        ['fan', '7'],
      ],
      columns: 80,
      colour: false,
    });
    expect(new Set(lines.slice(-2).map(textWidth)).size).toBe(1);
  });

  test('refuse a row of another length', () => {
    expect(() => table({ heads: [{ head: 'a' }], rows: [['1', '2']], columns: 80, colour: false })).toThrow(
      'row 0 has 2 cells under 1 heads',
    );
  });

  test('are the same with colour as without', () => {
    const make = (colour: boolean) => eventTable({ events: [eventOf('load on', 2, FULL)] }, { columns: 80, colour });
    expect(make(true).join('')).toContain(ESCAPE);
    expect(make(true).map(plain)).toEqual(make(false));
  });

  test('wrap without losing a word', () => {
    fc.assert(
      fc.property(
        fc.array(fc.stringMatching(/^[a-z]{1,12}$/), { minLength: 1, maxLength: 30 }),
        fc.integer({ min: 16, max: 60 }),
        (words, width) => {
          const lines = wrap(words.join(' '), width, 2);
          expect(lines.map((line) => line.trim()).join(' ')).toBe(words.join(' '));
          for (const line of lines) expect(textWidth(line)).toBeLessThanOrEqual(width);
        },
      ),
    );
  });

  test('cautions are short, and name exhaust, wheels, belts, heat, fuel, law and licence', () => {
    const all = cautions().join('\n');
    for (const word of ['Exhaust gas', 'chocked', 'driving seat', 'belts', 'hot', 'Fuel', 'law', 'licensed'])
      expect(all).toContain(word);
    for (const caution of cautions()) expect(caution.length).toBeLessThanOrEqual(120);
    expect(textWidth(cautionLine())).toBeLessThanOrEqual(80);
  });
});
