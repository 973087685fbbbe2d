import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { marginsOf } from '../../src/linear/margins.js';
import { times, transfer } from '../../src/linear/transfer.js';
import { bodeChart } from '../../src/report/bode.js';
import { degreeScale } from '../../src/report/degree-scale.js';
import { frequencyAxis } from '../../src/report/frequency-axis.js';
import { textWidth } from '../../src/report/index.js';
import { nyquistChart } from '../../src/report/nyquist-chart.js';
import { isLabelled, rowValue, scaleTop } from '../../src/report/scale.js';
import '../properties.js';

const ESCAPE = String.fromCharCode(27);
const sound = (lines: readonly string[], columns: number): void => {
  for (const line of lines) {
    expect(textWidth(line)).toBeLessThanOrEqual(columns);
    expect(line).not.toMatch(/NaN|undefined|Infinity|null|\[object/);
    expect(line).not.toContain('\n');
    expect(line).not.toContain(ESCAPE);
  }
};
const layoutOf = fc.record({ columns: fc.integer({ min: 40, max: 200 }), rows: fc.integer({ min: 13, max: 60 }), colour: fc.constant(false) });
const loopOf = fc
  .record({
    gain: fc.double({ min: 1e-3, max: 100, noNaN: true }),
    lag: fc.double({ min: 0.02, max: 20, noNaN: true }),
    delayS: fc.oneof(fc.constant(0), fc.double({ min: 1e-3, max: 0.3, noNaN: true })),
    integrators: fc.integer({ min: 0, max: 2 }),
  })
  .map(({ gain, lag, delayS, integrators }) => transfer([gain], [lag, 1, ...new Array<number>(integrators).fill(0)], { delayS }));

/** A pure integrator: 0 dB at 2 rad/s, −90° throughout but for its delay. */
const integrator = transfer([2], [1, 0], { delayS: 0.1 });

describe('Bode plots', () => {
  test('never leave the terminal, for any loops and size', () => {
    fc.assert(
      fc.property(fc.array(loopOf, { minLength: 1, maxLength: 4 }), layoutOf, fc.constantFrom('Hz' as const, 'rad/s' as const), (loops, layout, unit) => {
        const lines = bodeChart({ lines: loops.map((loop, i) => ({ name: `loop ${'x'.repeat(9 * i)}`, loop })), unit, ...layout });
        sound(lines, layout.columns);
        expect(lines.length).toBeLessThanOrEqual(Math.max(14, layout.rows));
      }),
      { numRuns: 40 },
    );
  });

  test('tell where the gain falls through 0 dB and the phase through −180°, in either unit', () => {
    const options = { lines: [{ name: 'air', loop: integrator }], columns: 80, rows: 30, colour: false };
    const rad = bodeChart({ ...options, unit: 'rad/s' }).join('\n');
    expect(rad).toContain('falls through 0 at 2 rad/s');
    expect(rad).toContain('falls through −180 at 15.71 rad/s');
    expect(bodeChart({ ...options, unit: 'Hz' }).join('\n')).toContain('falls through 0 at 0.32 Hz');
  });

  test('draw the line where the numbers are: an integrator falls from the top left to the bottom right', () => {
    const lines = bodeChart({ lines: [{ name: 'air', loop: integrator }], unit: 'rad/s', columns: 80, rows: 30, colour: false });
    const plot = lines.slice(1, 14).map((line) => line.slice(7));
    expect(plot[0]).toMatch(/^──/);
    expect(plot.at(-1)).toMatch(/──$/);
    const zero = lines.find((line) => line.startsWith('    0 ┤')) as string;
    // 40 dB above and below: the crossing is in the middle
    const at = zero.search(/[╰╮]/) - 7;
    expect(Math.abs(at - 71 / 2)).toBeLessThan(5);
    expect(zero).toContain('┈');
  });

  test('name each of several loops beside a sample of its stroke', () => {
    const text = bodeChart({ lines: [{ name: 'air', loop: integrator }, { name: 'spark', loop: times(3, integrator) }], unit: 'Hz', columns: 80, rows: 30, colour: false }).join('\n');
    expect(text).toContain('─ air');
    expect(text).toContain('═ spark');
    expect(text).toContain('air falls through 0');
  });

  test('colour only repeats what the strokes say', () => {
    const options = { lines: [{ name: 'air', loop: integrator }], unit: 'Hz' as const, columns: 80, rows: 30 };
    const coloured = bodeChart({ ...options, colour: true }).join('\n');
    expect(coloured).toContain(ESCAPE);
    expect(coloured.replace(new RegExp(`${ESCAPE}\\[\\d+m`, 'g'), '')).toBe(bodeChart({ ...options, colour: false }).join('\n'));
  });

  test('say what is not drawn, and refuse what cannot be', () => {
    const late = transfer([2], [1, 0], { delayS: 1 });
    const options = { unit: 'Hz' as const, columns: 80, rows: 30, colour: false };
    expect(bodeChart({ lines: [{ name: 'air', loop: late }], ...options }).join('\n')).toContain('below −360 not drawn');
    expect(() => bodeChart({ lines: [], ...options })).toThrow(/1 to 6/);
    expect(() => bodeChart({ lines: [{ name: 'air', loop: late }], from: 3, to: 1, ...options })).toThrow(/no frequencies/);
  });
});

describe('the axis of frequencies', () => {
  test('has its labels under their ticks, decades evenly apart', () => {
    const [line, under] = frequencyAxis({ span: [-1, 2], unit: 'Hz' }, 5, 60, 4) as [string, string];
    const ticks = [...line.matchAll(/┬/g)].map((match) => match.index);
    expect(under).toMatch(/0\.1\s+0\.2\s+0\.5\s+1\s+2\s+5\s+10\s+20\s+50\s+100 Hz/);
    expect(ticks).toHaveLength(10);
    expect((ticks[3] as number) - (ticks[0] as number)).toBe(20);
    expect((ticks[6] as number) - (ticks[3] as number)).toBe(20);
  });
});

describe('a scale of degrees', () => {
  test('holds both extremes and has a label, for any range', () => {
    fc.assert(
      fc.property(fc.double({ min: -700, max: 90, noNaN: true }), fc.double({ min: 0, max: 700, noNaN: true }), fc.integer({ min: 4, max: 40 }), (low, span, rows) => {
        const scale = degreeScale(low, low + span, rows);
        expect(rowValue(scale, 0)).toBeLessThanOrEqual(low + 1e-6);
        expect(scaleTop(scale)).toBeGreaterThanOrEqual(low + span - 1e-6);
        const labels = Array.from({ length: rows }, (_, row) => row).filter((row) => isLabelled(scale, row));
        expect(labels.length).toBeGreaterThan(0);
        for (const row of labels) expect(Math.abs(rowValue(scale, row) / scale.step - Math.round(rowValue(scale, row) / scale.step))).toBeLessThan(1e-9);
      }),
    );
  });
});

describe('Nyquist plots', () => {
  test('never leave the terminal, for any loop and size', () => {
    fc.assert(
      fc.property(loopOf, layoutOf, (loop, layout) => {
        const lines = nyquistChart({ name: 'air', loop, margins: marginsOf(loop), ...layout });
        sound(lines, layout.columns);
        expect(lines.length).toBeLessThanOrEqual(Math.max(16, layout.rows));
      }),
      { numRuns: 40 },
    );
  });

  test('mark the crossovers where they are: left of the imaginary axis on the real one, and on the circle', () => {
    const loop = transfer([1], [1, 0], { delayS: 0.8 });
    const lines = nyquistChart({ name: 'air', loop, margins: marginsOf(loop), columns: 80, rows: 40, colour: false });
    const axis = lines.find((line) => line.includes('┼') || line.startsWith('──')) as string;
    const [minusOne, phase] = [axis.indexOf('+'), axis.indexOf('P')];
    const zero = lines[1]?.indexOf('│') as number;
    expect(minusOne).toBeGreaterThan(0);
    expect(phase).toBeGreaterThan(minusOne);
    // P stands at −1/GM between −1 and 0
    const gm = marginsOf(loop).gainMargin as number;
    expect(Math.abs((zero - phase) / (zero - minusOne) - 1 / gm)).toBeLessThan(0.08);
    const text = lines.join('\n');
    expect(text).toMatch(/G gain 1 at 0\.16 Hz/);
    expect(text).toMatch(/[\u2801-\u28ff]/);
  });
});
