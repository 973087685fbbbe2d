import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { buckets } from '../../src/report/buckets.js';
import { chart, overlayCharts, plain, textWidth, traceCharts } from '../../src/report/index.js';
import { isLabelled, rowOf, rowScale, rowValue, scaleTop } from '../../src/report/scale.js';
import { freeRev, loadDrill, madeTrace } from './fixtures.js';

const ESCAPE = String.fromCharCode(27);
const sound = (lines: readonly string[], columns: number): void => {
  for (const line of lines) {
    expect(textWidth(line)).toBeLessThanOrEqual(columns);
    expect(line).not.toMatch(/NaN|undefined|Infinity|null|\[object/);
    expect(line).not.toContain('\n');
    expect(line).not.toContain(ESCAPE);
  }
};
const layoutOf = fc.record({
  columns: fc.integer({ min: 40, max: 200 }),
  rows: fc.integer({ min: 24, max: 70 }),
  colour: fc.constant(false),
});
const name = fc
  .oneof(
    fc.string({ unit: 'binary', maxLength: 60 }),
    fc.constant('アイドル回転数の試験'),
    fc.constant('a very long name of a drill that nobody will read to its end'),
    fc.constant(`${ESCAPE}[31mred${ESCAPE}[0m\r\nx`),
  )
  // a name may hold any text: those that look like the faults searched for would be found in vain
  .filter((text) => !/NaN|undefined|Infinity|null|object|[-−]0/.test(text));

const drawn = fc
  .record({
    rows: fc.constantFrom(1, 2, 3, 37, 400),
    recordS: fc.constantFrom(0.001, 0.01, 1),
    base: fc.double({ min: 0, max: 3000, noNaN: true }),
    swing: fc.constantFrom(0, 0.3, 40, 900, 6000),
    rate: fc.double({ min: 0, max: 200, noNaN: true }),
    stalled: fc.boolean(),
    airUnit: fc.constantFrom('%' as const, 'step' as const),
    text: name,
    at: fc.array(fc.double({ min: 0, max: 3, noNaN: true }), { maxLength: 60 }),
  })
  .map((m) =>
    madeTrace({
      rows: m.rows,
      recordS: m.recordS,
      stalled: m.stalled,
      airUnit: m.airUnit,
      speed: (t) => m.base + m.swing * Math.sin(m.rate * t),
      target: () => m.base,
      air: (t) => 40 * Math.sin(t),
      spark: (t) => m.swing / 100 - 5 * t,
      events: m.at.map((atS) => ({ atS, engagedS: atS, name: m.text, what: m.text })),
      open: m.at.slice(0, 8).map((fromS) => ({ fromS, toS: fromS + 0.7, because: m.text })),
    }),
  );

describe('the charts of a run', () => {
  test('never leave the terminal, for any trace, names and size', () => {
    fc.assert(
      fc.property(drawn, layoutOf, (trace, layout) => {
        const lines = traceCharts(trace, layout);
        sound(lines, layout.columns);
        expect(lines.length).toBeLessThanOrEqual(layout.rows);
      }),
      { numRuns: 150 },
    );
  });

  test('fill the rows they are given', () => {
    for (const rows of [24, 31, 40, 60])
      expect(traceCharts(loadDrill(), { columns: 80, rows, colour: false })).toHaveLength(rows);
  });

  test('name the extremes and their times', () => {
    const trace = madeTrace({ speed: (t) => 800 - 157 * Math.exp(-((t - 5.31) ** 2) / 0.01) });
    expect(traceCharts(trace, { columns: 80, rows: 40, colour: false })[0]).toContain(
      'lowest 643 at 5.31 s · highest 800 at 0.00 s',
    );
  });

  test('show a sag of 50 ms in a run of ten minutes at its full depth', () => {
    const trace = madeTrace({ rows: 60001, speed: (t) => (t >= 300 && t < 300.05 ? 500 : 800) });
    for (const columns of [60, 80, 200]) {
      const lines = traceCharts(trace, { columns, rows: 40, colour: false });
      const speed = lines.slice(
        1,
        lines.findIndex((line) => line.startsWith('air command')),
      );
      const lowest = speed.findLast((line) => /[│┃]/.test(line.slice(line.search(/[│┤]/) + 1)));
      expect(lowest).toMatch(/^ +500 ┤/);
    }
  });

  test('say that the engine stalls, in words and with a mark where the line ends', () => {
    const lines = traceCharts(freeRev(true), { columns: 80, rows: 40, colour: false });
    expect(lines[0]).toContain('× stalls at 6.19 s');
    expect(lines.slice(1).filter((line) => line.includes('×'))).toHaveLength(1);
  });

  test('say that a constant trace is steady and draw it as a level line', () => {
    const lines = traceCharts(madeTrace({}), { columns: 80, rows: 40, colour: false });
    expect(lines[0]).toContain('steady at 800 rpm');
    expect(lines.filter((line) => /800 ┤─{40,}/.test(line))).toHaveLength(1);
  });

  test('do not magnify a ripple of 2 rpm into a swing', () => {
    const lines = traceCharts(madeTrace({ speed: (t) => 800 + Math.sin(6 * t) }), { columns: 80, rows: 40, colour: false });
    const speed = lines.slice(
      1,
      lines.findIndex((line) => line.startsWith('air command')),
    );
    expect(speed.filter((line) => /[─╭╰]/.test(line)).length).toBeLessThanOrEqual(2);
  });

  test('cut off a free-rev, mark it, and keep its height in words', () => {
    const lines = traceCharts(freeRev(false), { columns: 120, rows: 40, colour: false });
    expect(lines[0]).toContain('highest 3200 at 2.00 s · ▲ off the scale');
    expect(lines[1]).toMatch(/▲▲/);
  });

  test('tell speed from target without colour, by stroke and by name', () => {
    const page = traceCharts(loadDrill(), { columns: 80, rows: 40, colour: false }).join('\n');
    expect(page).toMatch(/─ speed/);
    expect(page).toMatch(/╌ target/);
    expect(page).toMatch(/╌{3}/);
  });

  test('put each event’s letter under its time, and all plots on one axis', () => {
    const lines = traceCharts(loadDrill(), { columns: 80, rows: 40, colour: false });
    const edge = new Set(lines.filter((line) => /[│┤└]/.test(line)).map((line) => line.search(/[│┤└]/)));
    expect(edge.size).toBe(1);
    const [left] = edge as unknown as [number];
    const marks = lines.find((line) => line.startsWith('event')) as string;
    const axis = lines.find((line) => line.trimStart().startsWith('└')) as string;
    // 2 s is an event and a round time: the letter stands under the tick
    expect(axis.charAt(marks.indexOf('a', left))).toBe('┬');
    expect(marks.indexOf('b')).toBeGreaterThan(marks.indexOf('a'));
  });

  test('say why the loop is open, in the strip where there is room and in a list where not', () => {
    expect(
      traceCharts(freeRev(false), { columns: 200, rows: 40, colour: false }).find((line) => line.startsWith('loop')),
    ).toContain('speed above the entry window');
    expect(traceCharts(freeRev(false), { columns: 80, rows: 40, colour: false }).at(-1)).toContain(
      'open 2.04 – 4.50 s: speed above the entry window',
    );
  });

  test('draw no event line without events, and say so when nothing was recorded', () => {
    expect(traceCharts(madeTrace({}), { columns: 80, rows: 40, colour: false }).some((line) => line.startsWith('event'))).toBe(
      false,
    );
    expect(traceCharts(madeTrace({ rows: 0 }), { columns: 80, rows: 40, colour: false })[0]).toContain('nothing recorded');
  });

  test('are the same text with colour as without', () => {
    const [with_, without] = [true, false].map((colour) => traceCharts(loadDrill(), { columns: 100, rows: 40, colour }));
    expect(with_?.join('')).toContain(ESCAPE);
    expect(with_?.map(plain)).toEqual(without);
  });
});

describe('runs over each other', () => {
  test('never leave the terminal', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(name, drawn), { minLength: 1, maxLength: 8 }), layoutOf, (runs, layout) => {
        const lines = overlayCharts(
          runs.map(([text, trace]) => ({ name: text, trace })),
          layout,
        );
        sound(lines, layout.columns);
      }),
      { numRuns: 80 },
    );
  });

  test('have a stroke and a name each, told apart even when the names are the same', () => {
    const lines = overlayCharts(
      [60, 110, 160].map((depth) => ({ name: 'run', trace: loadDrill(depth) })),
      { columns: 100, rows: 40, colour: false },
    ).join('\n');
    for (const label of ['─ 1 run', '═ 2 run', '━ 3 run', '╌ target']) expect(lines).toContain(label);
  });

  test('fit the rows for up to six runs, and say how many are left out beyond', () => {
    for (const count of [1, 2, 6, 9]) {
      const runs = Array.from({ length: count }, (_, i) => ({ name: `run ${i}`, trace: loadDrill(50 + 20 * i) }));
      const lines = overlayCharts(runs, { columns: 80, rows: 24, colour: false });
      expect(lines.length).toBeLessThanOrEqual(24);
      expect(lines.join('\n').includes('3 more runs not drawn')).toBe(count === 9);
    }
  });

  test('refuse to draw nothing', () => {
    expect(() => overlayCharts([], { columns: 80, rows: 40, colour: false })).toThrow(RangeError);
  });
});

describe('a single chart', () => {
  test('leaves a gap where values do not exist', () => {
    const timeS = Array.from({ length: 100 }, (_, k) => k / 10);
    const values = timeS.map((t) => (t > 4 && t < 6 ? Number.NaN : 10));
    const lines = chart({
      title: 'map',
      unit: 'kPa',
      series: [{ name: 'map', values }],
      timeS,
      columns: 80,
      rows: 12,
      colour: false,
    });
    sound(lines, 80);
    expect(lines.find((line) => line.includes('──'))).toMatch(/─ {10,}─/);
  });

  test('refuses times and values of different lengths', () => {
    expect(() =>
      chart({ title: 'x', unit: '', series: [{ name: 'x', values: [1, 2] }], timeS: [0], columns: 80, rows: 12, colour: false }),
    ).toThrow('1 times but 2 values');
  });
});

describe('buckets and scales', () => {
  test('keep the extremes of any line, at any width', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 300 }),
        fc.integer({ min: 1, max: 200 }),
        (values, columns) => {
          const timeS = values.map((_, k) => k * 0.01);
          const found = buckets(timeS, values, [0, Math.max(0.01, (values.length - 1) * 0.01)], columns).filter(
            (bucket) => bucket !== null,
          );
          expect(Math.min(...found.map((bucket) => bucket.low))).toBe(Math.min(...values));
          expect(Math.max(...found.map((bucket) => bucket.high))).toBe(Math.max(...values));
        },
      ),
    );
  });

  test('hold both extremes, place each value within half a row, and label two rows at least', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1e5, max: 1e5, noNaN: true }),
        fc.double({ min: 0, max: 1e5, noNaN: true }),
        fc.integer({ min: 3, max: 40 }),
        (low, span, rows) => {
          const scale = rowScale(low, low + span, rows, 0.1);
          const perRow = scale.step / scale.every;
          expect(scaleTop(scale)).toBeGreaterThanOrEqual(low + span - 1e-6 * perRow - 1e-9 * Math.abs(low));
          for (const value of [low, low + span / 3, low + span]) {
            expect(Math.abs(rowValue(scale, rowOf(scale, value)) - value)).toBeLessThanOrEqual(
              0.5001 * perRow + 1e-9 * Math.abs(low),
            );
          }
          expect(Array.from({ length: rows }, (_, row) => isLabelled(scale, row)).filter(Boolean).length).toBeGreaterThanOrEqual(
            2,
          );
        },
      ),
      { numRuns: 300 },
    );
  });
});
