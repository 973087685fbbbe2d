/**
 * S. Skogestad, Simple analytic rules for model reduction and PID controller tuning, J. Process Control 13 (2003) 291.
 *
 * Processes E1 to E8 are the paper's examples as remembered; the reduced models of E2 stand in public code that cites it. The
 * largest sensitivities are no published numbers: they were recomputed in 30-digit arithmetic (mpmath) on the whole process,
 * series PID without derivative filter.
 */
import { describe, expect, it } from 'vitest';
import { halfRule, type RealProcess } from '../../src/linear/half-rule.js';
import { marginsOf } from '../../src/linear/margins.js';
import { idealOfSeries, type SeriesPid, seriesPid } from '../../src/linear/pid-forms.js';
import { product } from '../../src/linear/polynomial.js';
import { integratingProcess, lagProcess } from '../../src/linear/process-model.js';
import { simc, simcDoubleIntegrating } from '../../src/linear/rules.js';
import { type Transfer, seriesOf, transfer } from '../../src/linear/transfer.js';
import { near } from '../linear/near.js';

/** The whole process, nothing reduced. */
function wholeOf({ gain, lagsS, leadsS = [], inverseS = [], delayS = 0, integrating = false }: RealProcess): Transfer {
  const over = product([gain], ...leadsS.map((T) => [T, 1]), ...inverseS.map((T) => [-T, 1]));
  return transfer(over, product(...lagsS.map((T) => [T, 1]), integrating ? [1, 0] : [1]), { delayS });
}

/** The series PID is improper alone, so it is put together with its process. */
function loopOf({ kc, tauIS, tauDS }: SeriesPid, process: Transfer): Transfer {
  const over = product([kc], [tauIS, 1], tauDS === 0 ? [1] : [tauDS, 1]);
  return seriesOf(transfer(over, [tauIS, 0]), process);
}

/** tau1, tau2 (0: PI; tau1 Infinity: integrating), theta, Kc, tauI, tauD, Ms. */
type Row = readonly [string, RealProcess, readonly number[]];
const E2: RealProcess = { gain: 1, lagsS: [2, 1, 0.4, 0.2, 0.05, 0.05, 0.05], leadsS: [0.08], inverseS: [0.3] };
const E3: RealProcess = { gain: 2, lagsS: [20, 1, 0.1, 0.1], leadsS: [15] };
const E4: RealProcess = { gain: 1, lagsS: [1, 1, 1, 1] };
const E5: RealProcess = { gain: 1, lagsS: [1, 0.2, 0.04, 0.008] };
const E6: RealProcess = { gain: 1, lagsS: [1, 1, 0.028], leadsS: [0.17, 0.17], integrating: true };
const E7: RealProcess = { gain: 1, lagsS: [1, 1, 1], inverseS: [2] };
const E8: RealProcess = { gain: 1, lagsS: [6, 2, 2], inverseS: [1], delayS: 1 };
const rows: readonly Row[] = [
  ['E1 PI', { gain: 1, lagsS: [1, 0.2] }, [1.1, 0, 0.1, 5.5, 0.8, 0, 1.5601821]],
  ['E2 PI', E2, [2.5, 0, 1.47, 0.8503401361, 2.5, 0, 1.6615825]],
  ['E2 PID', E2, [2, 1.2, 0.77, 1.2987012987, 2, 1.2, 1.7240394]],
  ['E3 PI', E3, [1.05, 0, 0.15, 2.3333333333, 1.05, 0, 1.5503045]],
  ['E3 PID', E3, [1, 0.15, 0.05, 6.6666666667, 0.4, 0.15, 1.4979017]],
  ['E4 PI', E4, [1.5, 0, 2.5, 0.3, 1.5, 0, 1.4629837]],
  ['E4 PID', E4, [1.5, 1, 1.5, 0.5, 1.5, 1, 1.43184]],
  ['E5 PI', E5, [1.1, 0, 0.148, 3.7162162162, 1.1, 0, 1.5925667]],
  ['E5 PID', E5, [1, 0.22, 0.028, 17.857142857, 0.224, 0.22, 1.8273636]],
  ['E6 PI', E6, [Infinity, 0, 1.688, 0.2962085308, 13.504, 0, 1.4755997]],
  ['E6 PID', E6, [Infinity, 1.33, 0.358, 1.3966480447, 2.864, 1.33, 1.2283855]],
  ['E7 PI', E7, [1.5, 0, 3.5, 0.2142857143, 1.5, 0, 1.6604152]],
  ['E7 PID', E7, [1.5, 1, 2.5, 0.3, 1.5, 1, 1.8514881]],
  ['E8 PI', E8, [7, 0, 5, 0.7, 7, 0, 1.6263673]],
  ['E8 PID', E8, [6, 3, 3, 1, 6, 3, 1.6565778]],
];

describe('half rule and SIMC', () => {
  it.each(rows)('%s: reduced model, settings, and largest sensitivity on the whole process', (name, process, wanted) => {
    const [tau1, tau2, theta, kc, tauI, tauD, ms] = wanted as [number, number, number, number, number, number, number];
    const terms = name.endsWith('PID') ? 'PID' : 'PI';
    const model = halfRule(process, terms === 'PID' ? 2 : 1);
    near(model.delayS, theta);
    near(model.secondLagS, tau2);
    if (model.kind === 'integrating') expect(tau1).toBe(Infinity);
    else near(model.lagS, tau1);
    const pid = simc(model, terms);
    near(pid.kc, kc);
    near(pid.tauIS, tauI);
    near(pid.tauDS, tauD);
    near(marginsOf(loopOf(pid, wholeOf(process))).ms, ms, 1e-7);
  });

  it('E3 has its slow lead and lag become a gain of 1.5; half of a sampling period counts as delay', () => {
    const model = halfRule(E3, 1);
    if (model.kind !== 'lag') throw new Error('not a lag');
    near(model.gain, 1.5);
    near(halfRule({ ...E4, periodS: 0.1 }, 1).delayS, 2.55);
  });

  it('E2 in ideal form', () => {
    const pid = idealOfSeries(simc(halfRule(E2, 2), 'PID'));
    near(pid.k, 2.0779220779, 1e-10);
    near(pid.tiS, 3.2);
    near(pid.tdS, 0.75);
  });

  it('on two integrators with delay: recomputed largest sensitivity 1.9588185', () => {
    const pid = simcDoubleIntegrating(1, 1);
    expect(pid).toEqual(seriesPid(0.0625, 8, 8));
    near(marginsOf(loopOf(pid, transfer([1], [1, 0, 0], { delayS: 1 }))).ms, 1.9588185, 1e-7);
  });

  it('refuses a process that gives no bound to its gain', () => {
    expect(() => simc(lagProcess(1, 1, 0), 'PI')).toThrow(/closed-loop time/);
    expect(() => simc(lagProcess(0, 1, 1), 'PI')).toThrow(/gain/);
    expect(() => simc(integratingProcess(0, 1), 'PI')).toThrow(/gain/);
    expect(() => halfRule({ gain: 1, lagsS: [-1] }, 1)).toThrow(/-1 s/);
    expect(() => halfRule({ gain: 1, lagsS: [], leadsS: [1] }, 1)).toThrow(/no lag is left/);
  });
});

describe('robustness of SIMC with τc = θ (table 1 of the paper: 3.14, 61.4°, 2.14, 1.59; 2.96, 46.9°, 1.59, 1.70)', () => {
  it('a lag of up to 8 θ, its time set by the integral', () => {
    const found = marginsOf(loopOf(simc(lagProcess(2, 3, 0.5), 'PI'), transfer([2], [3, 1], { delayS: 0.5 })));
    near(found.gainMargin, Math.PI);
    near(found.phaseMarginDeg, 61.3521102435);
    near((found.delayMarginS as number) / 0.5, Math.PI - 1);
    near(found.ms, 1.5904902332);
    near(found.mt, 1);
  });

  it('an integrator', () => {
    const found = marginsOf(loopOf(simc(integratingProcess(1, 1), 'PI'), transfer([1], [1, 0], { delayS: 1 })));
    near(found.gainMargin, 2.963402246);
    near(found.phaseMarginDeg, 46.8642869093);
    near(found.delayMarginS, 1.5896368131);
    near(found.ms, 1.7035216904);
    near(found.mt, 1.2994176394);
  });

  it.each([
    [10, 1.60892, 3.10601, 58.3494],
    [20, 1.65124, null, null],
    [50, 1.68114, null, null],
  ])('a lag of %f θ lies between', (lag, ms, gm, pm) => {
    const found = marginsOf(loopOf(simc(lagProcess(1, lag, 1), 'PI'), transfer([1], [lag, 1], { delayS: 1 })));
    near(found.ms, ms, 4e-6);
    if (gm !== null) near(found.gainMargin, gm, 2e-6);
    if (pm !== null) near(found.phaseMarginDeg, pm, 2e-6);
  });

  it.each([0.5, 1, 2, 4])('closed forms at τc = %f θ: GM = π/2 (τc/θ + 1), PM = π/2 − θ/(τc + θ)', (ratio) => {
    const [lag, delay] = [3, 0.7];
    const pid = simc(lagProcess(1, lag, delay), 'PI', ratio * delay);
    const loop = loopOf({ ...pid, tauIS: lag }, transfer([1], [lag, 1], { delayS: delay }));
    const found = marginsOf(loop);
    near(found.gainMargin, (Math.PI / 2) * (ratio + 1));
    near(found.phaseMarginDeg, 90 - 180 / Math.PI / (ratio + 1));
    near((found.delayMarginS as number) / delay, (Math.PI / 2) * (ratio + 1) - 1);
    near(found.crossover, 1 / (ratio + 1) / delay);
    near(found.gainMarginAt, Math.PI / 2 / delay);
  });
});
