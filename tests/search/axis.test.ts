import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { formatProblem, type Scenario, withValues } from '../../src/scenario/index.js';
import { type Axis, linearValues, logValues, parseAxis, readAxes } from '../../src/search/index.js';
import { oneDrill, stepper, twoDrills } from './suite.js';

let one: readonly Scenario[];
beforeAll(async () => {
  one = await oneDrill();
});

const refusal = (text: string, suite = one): string => {
  const { problems } = readAxes([text], suite);
  expect(problems).toHaveLength(1);
  return formatProblem(problems[0]!);
};

describe('values', () => {
  test('a linear axis has n values, both ends among them', () => {
    expect(parseAxis('controller.pid.kp=0:1:11', one)).toEqual<Axis>({
      key: 'controller.pid.kp',
      unit: '%/rpm',
      spacing: 'linear',
      values: [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1],
    });
  });

  test('two values are the two ends', () => {
    expect(linearValues(0.1, 0.3, 2)).toEqual([0.1, 0.3]);
    expect(logValues(0.1, 0.3, 2)).toEqual([0.1, 0.3]);
  });

  test('a log axis has equal ratios', () => {
    const { values, spacing } = parseAxis('controller.pid.ki=0.001:1:4:log', one);
    expect(spacing).toBe('log');
    expect(values).toEqual([0.001, 0.01, 0.1, 1]);
  });

  test('the ratios of a log axis are equal to fourteen digits, whatever its ends', () => {
    const positive = fc.double({ min: 1e-6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(positive, fc.double({ min: 1.01, max: 1e6, noNaN: true }), fc.integer({ min: 2, max: 200 }), (lo, ratio, n) => {
        const values = logValues(lo, lo * ratio, n);
        const each = Math.log(ratio) / (n - 1);
        for (let i = 1; i < n; i++) expect(Math.abs(Math.log(values[i]! / values[i - 1]!) - each)).toBeLessThan(1e-13 * (1 + i));
      }),
    );
  });

  test('both ends of every grid are the very numbers given, and the values ascend', () => {
    const number = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(number, fc.double({ min: 1e-3, max: 1e6, noNaN: true }), fc.integer({ min: 2, max: 300 }), (lo, width, n) => {
        const hi = lo + width;
        const start = Math.max(1e-3, Math.abs(lo));
        for (const [values, first, last] of [[linearValues(lo, hi, n), lo, hi], [logValues(start, start + width, n), start, start + width]] as const) {
          expect(values).toHaveLength(n);
          expect(values[0]).toBe(first);
          expect(values.at(-1)).toBe(last);
          // ends too near each other for n values that differ at 15 digits are no grid that anyone asks for
          if (width / (n - 1) > 1e-9 * Math.max(1, Math.abs(hi), Math.abs(lo))) for (let i = 1; i < n; i++) expect(values[i]!).toBeGreaterThan(values[i - 1]!);
        }
      }),
    );
  });

  test('linear values lie at lo + i·(hi − lo)/(n − 1) to fifteen digits, however many there are', () => {
    const values = linearValues(0, 600, 600_001);
    for (const i of [1, 7, 299_999, 599_999]) expect(values[i]).toBeCloseTo(i * 0.001, 11);
    expect(values.at(-1)).toBe(600);
  });

  test('a value in a table reads as it was meant, without the noise of binary', () => {
    expect(linearValues(0.1, 0.5, 5)).toEqual([0.1, 0.2, 0.3, 0.4, 0.5]);
  });

  test('a list keeps its order, and a single value is a list of one', () => {
    expect(parseAxis('engine.inertia=0.2, 0.1,0.15', one)).toMatchObject({ spacing: 'list', unit: 'kg m^2', values: [0.2, 0.1, 0.15] });
    expect(parseAxis('drill.events.0.torque=8', one)).toMatchObject({ spacing: 'list', unit: 'N m', values: [8] });
  });

  test('numbers may carry the documented unit, in any typography', () => {
    expect(parseAxis('engine.inertia=0.1 kg m^2:0.2 kg·m²:3', one).values).toEqual([0.1, 0.15, 0.2]);
  });

  test('the points of curves and the keys of a valve can be varied', () => {
    expect(parseAxis('controller.base.3.1=20:30:3', one).values).toEqual([20, 25, 30]);
    const { valve } = one[0]!;
    expect(valve.kind).toBe('solenoid');
  });

  test('air is in steps with a stepper', async () => {
    expect(parseAxis('controller.clamp.lowest=10,20', await stepper()).unit).toBe('step');
  });

  test('what an axis allows, the scenario takes', () => {
    for (const text of ['engine.inertia=0.01:2:6', 'controller.pid.kp=0:1:4', 'engine.cylinders=1:16:16', 'drill.start.coolant=-40:130:5']) {
      const { key, values } = parseAxis(text, one);
      for (const value of values) expect(() => withValues(one[0]!, new Map([[key, value]]))).not.toThrow();
    }
  });
});

describe('refusals', () => {
  test('an unknown key is answered with the nearest', () => {
    expect(refusal('controller.pid.kii=0:1:3')).toMatch(/^--vary {2}controller\.pid\.kii: no numeric key of .*; did you mean controller\.pid\.ki\?$/);
    expect(() => parseAxis('engine.inertai=1,2', one)).toThrow(new RangeError('engine.inertai: no numeric key of engine, valve, controller, drill; did you mean engine.inertia?'));
  });

  test('the last part of a key alone is answered with the whole', () => {
    expect(refusal('ki=0:1:3')).toContain('did you mean controller.pid.ki?');
  });

  test('a key that is no number is refused', () => {
    expect(refusal('valve.kind=1,2')).toContain('no numeric key');
    expect(refusal('__proto__=1')).toContain('no numeric key');
  });

  test('what a run is made of, allowed and charged cannot be varied', () => {
    for (const key of ['run.step', 'limits.sag', 'scoring.stall']) expect(refusal(`${key}=1,2`)).toContain('scores could not be compared');
  });

  test.each([
    ['controller.pid.kp', 'no values in controller.pid.kp; write key=lo:hi:n'],
    ['=1:2:4', 'no key in =1:2:4'],
    ['controller.pid.kp=', 'a number is missing'],
    ['controller.pid.kp=0:1', '2 parts where lo:hi:n has 3'],
    ['controller.pid.kp=0:1:2:3', '4 parts where lo:hi:n has 3'],
    ['controller.pid.kp=0.1:1:log', '2 parts where lo:hi:n has 3'],
    ['controller.pid.kp=0:1:0', 'n is 0'],
    ['controller.pid.kp=0:1:2.5', 'n is 2.5'],
    ['controller.pid.kp=0:1:-3', 'n is -3'],
    ['controller.pid.kp=0:1:', 'n is missing'],
    ['controller.pid.kp=0:1:1e3', 'n is 1e3'],
    ['controller.pid.kp=0:1:999999999999', 'from 2 to 1000000'],
    ['controller.pid.kp=1:0:5', 'the first must lie below the second'],
    ['controller.pid.kp=1:1:5', 'the first must lie below the second'],
    ['controller.pid.kp=0:1:5:log', 'above 0'],
    ['controller.pid.kp=0.1,,0.2', 'a number is missing'],
    ['controller.pid.kp=0.1,0.2,0.1', '0.1 %/rpm is given twice'],
    ['controller.pid.kp=a,b', 'a is not a number'],
    ['controller.pid.kp=NaN', 'not a finite number'],
    ['controller.pid.kp=0:Infinity:3', 'not a finite number'],
    ['engine.inertia=0.1 lb ft^2,0.2', 'in kg m^2'],
    ['engine.inertia=0.1:18:4', '18 kg m^2 is outside 0.01 … 2 kg m^2'],
    ['engine.cylinders=3:8:3', 'whole numbers are wanted; 5.5'],
  ])('%s: %s', (text, wanted) => {
    expect(refusal(text)).toContain(wanted);
  });

  test('all problems of several axes come together', () => {
    const { axes, problems } = readAxes(['controller.pid.kpp=0:1:3', 'engine.inertia=5', 'controller.pid.kd=0:0.1:3'], one);
    expect(axes).toBeNull();
    expect(problems.map(({ path }) => path)).toEqual(['controller.pid.kpp', 'engine.inertia']);
  });

  test('a key varied twice is refused', () => {
    const { problems } = readAxes(['controller.pid.kp=0:1:3', 'controller.pid.kp=0.5'], one);
    expect(problems.map(formatProblem)).toEqual(['--vary  controller.pid.kp: varied twice; give all its values at once']);
  });

  test('nothing to vary is refused', () => {
    expect(readAxes([], one).problems.map(({ message }) => message).join()).toContain('nothing to vary');
  });

  test('more than a million cells are refused with the product, and a million are not', () => {
    const over = readAxes(['controller.pid.kp=0:1:1000', 'controller.pid.ki=0:1:1001'], one);
    expect(over.problems.map(({ message }) => message)).toEqual(['1000 × 1001 = 1001000 cells; at most 1000000']);
    expect(readAxes(['controller.pid.kp=0:1:1000', 'controller.pid.ki=0:1:1000'], one).problems).toEqual([]);
  });

  test('a key that one scenario of a suite lacks is refused, with its name', async () => {
    expect(refusal('drill.events.0.torque=4,8', await twoDrills())).toContain('not in every scenario of the suite: short, steady has none');
  });

  test('a key in steps in one scenario and in % in another is refused', async () => {
    expect(refusal('controller.clamp.lowest=1,2', [...one, ...(await stepper())])).toMatch(/in % in one scenario of the suite and in step in another/);
  });

  test('with the steps of the valve varied too, an air command is bounded by each cell’s own steps', async () => {
    const suite = await stepper();
    expect(refusal('controller.clamp.highest=180', suite)).toContain('is outside 0 … 150 step');
    expect(readAxes(['controller.clamp.highest=180', 'valve.steps=150,200'], suite).problems).toEqual([]);
  });
});
