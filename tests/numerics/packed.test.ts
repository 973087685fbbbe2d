/** The written-out forms for hot loops give what the plain ones give. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { interpolate, packCurve, readPacked } from '../../src/numerics/curve.js';
import { createRungeKutta } from '../../src/numerics/runge-kutta.js';

test('a packed curve reads as the curve does, at, between and beyond its points', () => {
  const number = fc.double({ min: -100, max: 100, noNaN: true });
  fc.assert(
    fc.property(fc.array(fc.tuple(fc.double({ min: 0.01, max: 10, noNaN: true }), number), { minLength: 1, maxLength: 9 }), number, (points, x) => {
      let at = -20;
      const xs = points.map(([gap]) => (at += gap));
      const curve = { x: xs, y: points.map(([, y]) => y) };
      const packed = packCurve(curve);
      for (const place of [x, ...xs]) expect(Math.abs(readPacked(packed, place) - interpolate(curve, place))).toBeLessThan(1e-9);
    }),
  );
});

test('the step written out for four states has the bits of the loop for any number', () => {
  // two coupled oscillators; the fifth state of the longer system stands still and touches nothing
  const derivative = (x: Float64Array, stage: number, dx: Float64Array): void => {
    dx[0] = x[1]!;
    dx[1] = -3 * x[0]! + 0.2 * x[2]! + 0.1 * stage;
    dx[2] = x[3]!;
    dx[3] = -7 * x[2]! - 0.3 * x[3]! + 0.5 * x[0]!;
  };
  const four = Float64Array.of(1, -0.5, 0.25, 2);
  const five = Float64Array.of(1, -0.5, 0.25, 2, 0);
  const [stepFour, stepFive] = [createRungeKutta(4), createRungeKutta(5)];
  for (let k = 0; k < 500; k++) {
    stepFour(derivative, four, 0.01);
    stepFive(derivative, five, 0.01);
  }
  expect([...four]).toEqual([...five.subarray(0, 4)]);
});
