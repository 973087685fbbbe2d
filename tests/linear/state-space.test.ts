import { Matrix } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { magnitude } from '../../src/linear/complex.js';
import { holdEquivalent, holdTransfer, matrixExponential } from '../../src/linear/hold.js';
import { polesOfStateSpace, responseOf, stateSpaceOf } from '../../src/linear/state-space.js';
import { stepperOf } from '../../src/linear/stepper.js';
import { seriesOf, series, transfer, zerosOf } from '../../src/linear/transfer.js';
import { near } from './near.js';

const plant = transfer([0.5, 2], [0.2, 1.2, 3]);

describe('transfer functions and state space', () => {
  it('agree in their frequency response and their poles, a straight-through gain included', () => {
    for (const of of [plant, transfer([1, 2, 3], [2, 5, 1]), transfer([3], [1]), transfer([1], [1, 0, 0])]) {
      const states = responseOf(stateSpaceOf(of), 0.1, 10);
      for (const omega of [0.1, 1, 3, 10]) {
        near(states.at(omega).re, of.at(omega).re, 1e-12);
        near(states.at(omega).im, of.at(omega).im, 1e-12);
      }
    }
    const poles = polesOfStateSpace(stateSpaceOf(plant));
    near(poles[0]?.re, -3);
    near(magnitude(poles[0] ?? { re: 0, im: 0 }), Math.sqrt(15));
  });

  it('series multiply, keep common factors, and refuse to mix periods', () => {
    const both = seriesOf(plant, transfer([1, 1], [1, 1], { delayS: 0.1 }));
    expect(both.denominator).toHaveLength(4);
    expect(both.delayS).toBe(0.1);
    near(zerosOf(plant)[0]?.re, -4);
    expect(() => series(plant, transfer([1], [1], { periodS: 0.1 }))).toThrow(/none and 0.1 s/);
  });

  it('refuse what is no system', () => {
    expect(() => transfer([1], [0])).toThrow(/denominator is 0/);
    expect(() => transfer([1], [1, 1], { delayS: -1 })).toThrow(/-1 s/);
    expect(() => transfer([1], [1, 1], { delayS: 0.15, periodS: 0.1 })).toThrow(/whole periods/);
    expect(() => transfer([Number.NaN], [1])).toThrow(/finite/);
    expect(() => stateSpaceOf(transfer([1, 0, 0], [1, 1]))).toThrow(/higher power/);
    expect(() => responseOf({ ...stateSpaceOf(plant), b: Matrix.zeros(3, 1) }, 1, 2)).toThrow(/do not fit/);
  });
});

describe('zero-order hold', () => {
  it('of a lag: Φ = e^(−h/T), Γ = 1 − Φ; of two integrators: h²/2 and h', () => {
    const lag = holdEquivalent(stateSpaceOf(transfer([1], [0.7, 1])), 0.1);
    near(lag.a.get(0, 0), Math.exp(-0.1 / 0.7), 1e-14);
    const twice = holdTransfer(transfer([1], [1, 0, 0]), 0.1);
    expect(twice.numerator).toEqual([expect.closeTo(0.005, 15), expect.closeTo(0.005, 15)]);
    expect(twice.denominator).toEqual([1, -2, 1]);
  });

  it('the exponential of a matrix: a turn, a nilpotent one, a long one', () => {
    const turn = matrixExponential(new Matrix([[0, 20], [-20, 0]]));
    near(turn.get(0, 0), Math.cos(20), 1e-12);
    near(turn.get(0, 1), Math.sin(20), 1e-12);
    expect(matrixExponential(new Matrix([[0, 3], [0, 0]])).to2DArray()).toEqual([[1, 3], [0, 1]]);
    near(matrixExponential(new Matrix([[-30]])).get(0, 0), Math.exp(-30), 1e-12);
  });

  it.each([0, 0.02, 0.031, 0.05, 0.1, 0.17])('stepped, gives the exact samples of the step response with a delay of %f s', (delayS) => {
    const h = 0.05;
    const step = stepperOf(holdEquivalent(stateSpaceOf(transfer([2], [0.3, 1])), h, delayS));
    for (let k = 1; k < 40; k++) near(step(1), 2 * Math.max(0, 1 - Math.exp(-(k * h - delayS) / 0.3)), 1e-10 + (k * h <= delayS + 1e-12 ? 1e-9 : 0));
  });

  it('a delay in the ring is the same as one among the states', () => {
    const system = stateSpaceOf(plant);
    const [ring, states] = [stepperOf(holdEquivalent(system, 0.05), 3), stepperOf(holdEquivalent(system, 0.05, 0.15))];
    for (let k = 0; k < 50; k++) {
      const u = Math.sin(k);
      near(ring(u), states(u), 1e-12);
    }
  });

  it('refuses what it cannot hold exactly', () => {
    expect(() => holdEquivalent(stateSpaceOf(transfer([1, 1], [1, 2])), 0.1, 0.05)).toThrow(/straight-through/);
    expect(() => holdEquivalent(stateSpaceOf(plant), 0)).toThrow(/period/);
    expect(() => holdEquivalent(holdEquivalent(stateSpaceOf(plant), 0.1), 0.1)).toThrow(/already/);
  });
});
