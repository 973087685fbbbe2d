import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { magnitude } from '../../src/linear/complex.js';
import { fitIntegrating, fitLag } from '../../src/linear/fit-delay.js';
import { idealOfParallel, idealOfSeries, ideal, parallelOf, seriesOfIdeal, seriesPid } from '../../src/linear/pid-forms.js';
import { equalLags, integratingProcess, lagProcess, transferOfModel } from '../../src/linear/process-model.js';
import { responseOfStep } from '../../src/linear/step-response.js';
import { transfer } from '../../src/linear/transfer.js';
import { ultimateOf } from '../../src/linear/ultimate.js';
import '../properties.js';
import { near } from './near.js';

const within = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('fits to a frequency response', () => {
  it('give back a process that is of the form, in any unit and with either sign', () => {
    fc.assert(
      fc.property(within(-5, 5), within(0.05, 20), within(0.05, 5), fc.boolean(), (logGain, lag, delay, turned) => {
        const model = lagProcess((turned ? -1 : 1) * 10 ** logGain, lag, delay);
        const { model: found, magnitudePct, phaseDeg } = fitLag(transferOfModel(model), 1);
        near(found.gain, model.gain, 1e-5);
        near(found.lagS, lag, 1e-4);
        near(found.delayS, delay, 1e-4);
        expect(magnitudePct).toBeLessThan(0.01);
        expect(phaseDeg).toBeLessThan(0.01);
      }),
      { numRuns: 20 },
    );
  });

  it('two lags and a delay, and a slope and a delay', () => {
    for (const [first, second, delay] of [[2, 0.5, 0.3], [1, 1, 1], [10, 0.4, 0.05]] as const) {
      const { model } = fitLag(transferOfModel(lagProcess(3, first, delay, second)), 2);
      near(model.lagS, first, 2e-3);
      near(model.secondLagS, second, 2e-3);
      near(model.delayS, delay, 2e-3);
    }
    const { model } = fitIntegrating(transferOfModel(integratingProcess(-0.02, 0.4)));
    near(model.slope, -0.02, 1e-9);
    near(model.delayS, 0.4, 1e-9);
  });

  it('of 1/(s + 1)⁴ are low in its ultimate gain by 28 % with one lag and by 11 % with two: no such process has four', () => {
    const [one, two] = [fitLag(equalLags(4), 1), fitLag(equalLags(4), 2)];
    const off = [one, two].map(({ model }) => (ultimateOf(transferOfModel(model)).point?.gain as number) / 4 - 1);
    near(off[0], -0.28, 0.02);
    near(off[1], -0.106, 0.02);
    expect(two.magnitudePct).toBeLessThan(one.magnitudePct);
  });

  it('of a slow lag as an integrator: the slope at the crossover, gain over lag', () => {
    const { model } = fitIntegrating(transfer([5], [100, 1], { delayS: 0.5 }));
    near(model.slope, 0.05, 1e-3);
    near(model.delayS, 0.5, 0.02);
  });

  it('say when a process leads and the delay is held at 0, and refuse one that integrates', () => {
    const lead = fitLag(transfer([0.3, 1], [0.5, 1]), 1);
    expect(lead.model.delayS).toBe(0);
    expect(lead.note).toMatch(/below 0/);
    expect(() => fitLag(transfer([1], [1, 1, 0]), 1)).toThrow(/no steady gain/);
    expect(() => fitLag(equalLags(3), 1, { upTo: 1, downTo: 2 })).toThrow(/no frequencies/);
  });
});

describe('a step response as a frequency response', () => {
  const t = Array.from({ length: 801 }, (_, i) => i * 0.025);
  it('of a lag with delay: its own, and the fit gives it back', () => {
    const y = t.map((time) => 3 * 2 * Math.max(0, 1 - Math.exp(-(time - 0.5) / 1.5)));
    const found = responseOfStep(t, y, 3);
    const exact = transfer([2], [1.5, 1], { delayS: 0.5 });
    for (const omega of [0.01, 0.1, 1, 5]) {
      near(found.at(omega).re, exact.at(omega).re, 1e-3);
      near(magnitude(found.at(omega)), magnitude(exact.at(omega)), 1e-3);
    }
    const { model } = fitLag(found, 1);
    near(model.gain, 2, 1e-3);
    near(model.lagS, 1.5, 1e-3);
    near(model.delayS, 0.5, 1e-3);
  });

  it('of an integrator with delay, which goes on after the record', () => {
    const y = t.map((time) => -0.4 * Math.max(0, time - 0.8));
    const { model } = fitIntegrating(responseOfStep(t, y, 2));
    near(model.slope, -0.2, 1e-3);
    near(model.delayS, 0.8, 1e-3);
  });

  it('refuses a record that shows nothing', () => {
    expect(() => responseOfStep([0, 1], [0, 1], 1)).toThrow(/ten samples/);
    expect(() => responseOfStep(t, t, 0)).toThrow(/step of 0/);
    expect(() => responseOfStep(t.map(() => 1), t, 1)).toThrow(/must rise/);
    expect(() => responseOfStep(t, t.map((_, i) => (i === 7 ? Number.NaN : 1)), 1)).toThrow(/not finite/);
  });
});

describe('forms of PID gains', () => {
  it('there and back', () => {
    fc.assert(
      fc.property(within(-9, 9), within(0.01, 50), within(0.001, 0.95), (k, tauI, ratio) => {
        fc.pre(Math.abs(k) > 1e-3);
        const series = seriesPid(k, tauI, ratio * tauI);
        const back = seriesOfIdeal(idealOfSeries(series));
        near(back?.kc, k, 1e-6);
        near(back?.tauIS, tauI, 1e-6);
        const pid = ideal(k, tauI, ratio);
        near(idealOfParallel(parallelOf(pid)).tiS, tauI);
        near(idealOfParallel(parallelOf(pid)).tdS, ratio);
      }),
    );
  });

  it('an ideal one with complex zeros has no series form; without integral action its time is without end', () => {
    expect(seriesOfIdeal(ideal(1, 3, 1))).toBeNull();
    expect(parallelOf(ideal(2))).toMatchObject({ kp: 2, ki: 0, kd: 0 });
    expect(idealOfParallel(parallelOf(ideal(2))).tiS).toBe(Infinity);
    expect(idealOfSeries(seriesPid(2, Infinity, 0.5))).toEqual(ideal(2, Infinity, 0.5));
    expect(() => idealOfParallel({ form: 'parallel', kp: 0, ki: 1, kd: 0 })).toThrow(/proportional/);
  });
});
