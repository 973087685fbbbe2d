/**
 * J. G. Ziegler and N. B. Nichols, Optimum settings for automatic controllers, Trans. ASME 64 (1942) 759; B. D. Tyreus and
 * W. L. Luyben, Ind. Eng. Chem. Res. 31 (1992) 2625. Ultimate points of 1/(s + 1)ⁿ and of delays with one lag or integrator
 * in closed form: ωu = tan(π/n), Ku = 1/cosⁿ(π/n); atan(ω T) + ω L = π, Ku = √(1 + (ω T)²).
 */
import { describe, expect, it } from 'vitest';
import { marginsOf } from '../../src/linear/margins.js';
import type { IdealPid } from '../../src/linear/pid-forms.js';
import { equalLags, integratingProcess, lagProcess, transferOfModel } from '../../src/linear/process-model.js';
import { tyreusLuyben, zieglerNichols, zieglerNicholsStep } from '../../src/linear/rules.js';
import { seriesOf, transfer } from '../../src/linear/transfer.js';
import { ultimateOf } from '../../src/linear/ultimate.js';
import { near } from '../linear/near.js';

describe('ultimate points', () => {
  it.each([3, 4, 5, 6, 8])('1/(s + 1)^%i', (n) => {
    const { point } = ultimateOf(equalLags(n));
    near(point?.omega, Math.tan(Math.PI / n));
    near(point?.gain, Math.cos(Math.PI / n) ** -n);
    near(point?.periodS, (2 * Math.PI) / Math.tan(Math.PI / n));
  });

  it.each([
    [0.1, 16.31994527215, 16.35055392597, 0.3850003907735],
    [0.2, null, 8.5024249884, 0.7441522726],
    [0.5, 3.673194406304, 3.806882864826, 1.710550712044],
    [1, 2.02875783811, 2.261826334115, 3.097060274592],
    [2, 1.144464864052, 1.519802561206, 5.490063963113],
    [5, 0.5307324799118, 1.132111728247, 11.83870508212],
  ])('a lag of 1 s with a delay of %f s', (delay, omega, gain, period) => {
    const { point } = ultimateOf(transfer([1], [1, 1], { delayS: delay }));
    if (omega !== null) near(point?.omega, omega, 1e-10);
    near(point?.gain, gain, 1e-10);
    near(point?.periodS, period, 1e-10);
  });

  it('an integrator with delay: Ku = π/(2 k θ), Pu = 4 θ, whatever the units', () => {
    for (const [k, delay] of [[1, 1], [1e-9, 0.03], [3e7, 20]] as const) {
      const { point } = ultimateOf(transfer([k], [1, 0], { delayS: delay }));
      near(point?.gain, Math.PI / (2 * k * delay));
      near(point?.periodS, 4 * delay);
    }
  });

  it('there is none of two lags without delay, nor with the sign turned', () => {
    expect(ultimateOf(equalLags(2))).toEqual({ point: null, reason: expect.stringMatching(/never reaches/) });
    expect(ultimateOf(transfer([-1], [1, 3, 3, 1])).reason).toMatch(/sign/);
  });
});

const pidTable = [
  [3, 4.8, 1.8137993642, 0.4534498411, 2.5, 7.9807172026, 3.6363636364, 7.9807172026, 0.575809322],
  [4, 2.4, Math.PI, 0.7853981634, 1.25, 13.8230076758, 1.8181818182, 13.8230076758, 0.9973310011],
  [5, 1.73126292, 4.3240313299, 1.0810078325, 0.9016994375, 19.0257378515, 1.3115628182, 19.0257378515, 1.3727083587],
  [6, 1.4222222222, 5.4413980927, 1.3603495232, 0.7407407407, 23.9421516079, 1.0774410774, 23.9421516079, 1.7274279659],
] as const;

describe('rules from the ultimate point', () => {
  it.each(pidTable)('of 1/(s + 1)^%i', (n, znK, znTi, znTd, tlPiK, tlPiTi, tlK, tlTi, tlTd) => {
    const { point } = ultimateOf(equalLags(n));
    if (point === null) throw new Error('none');
    const [zn, tlPi, tl] = [zieglerNichols(point, 'PID'), tyreusLuyben(point, 'PI'), tyreusLuyben(point, 'PID')];
    near(zn.k, znK, 1e-8);
    near(zn.tiS, znTi);
    near(zn.tdS, znTd);
    near(tlPi.k, tlPiK);
    near(tlPi.tiS, tlPiTi);
    near(tl.k, tlK);
    near(tl.tiS, tlTi);
    near(tl.tdS, tlTd);
  });

  it('of an integrator with delay', () => {
    const { point } = ultimateOf(transferOfModel(integratingProcess(1, 1)));
    if (point === null) throw new Error('none');
    const zn = zieglerNichols(point, 'PID');
    near(zn.k, 0.9424777961);
    near(zn.tiS, 2);
    near(zn.tdS, 0.5);
    near(tyreusLuyben(point, 'PID').tdS, 0.6349206349);
  });

  // Recomputed outside this project, with ideal derivative.
  it('leave 1/(s + 1)³ with these sensitivities and margins', () => {
    const { point } = ultimateOf(equalLags(3));
    if (point === null) throw new Error('none');
    const of = ({ k, tiS, tdS }: IdealPid) =>
      marginsOf(seriesOf(tiS === Infinity ? transfer([k], [1]) : transfer([k * tiS * tdS, k * tiS, k], [tiS, 0]), equalLags(3)));
    const p = of(zieglerNichols(point, 'P'));
    near(p.ms, 3);
    near(p.gainMargin, 2);
    const pi = of(zieglerNichols(point, 'PI'));
    near(pi.ms, 4.92544, 2e-6);
    near(pi.gainMargin, 1.52281, 4e-6);
    near(pi.phaseMarginDeg, 14.784, 4e-6);
    const pid = of(zieglerNichols(point, 'PID'));
    near(pid.ms, 2.13177, 4e-6);
    near(pid.phaseMarginDeg, 30.6191, 4e-6);
    const tl = of(tyreusLuyben(point, 'PI'));
    near(tl.ms, 2.11292, 4e-6);
    near(tl.phaseMarginDeg, 44.0878, 4e-6);
    const tlPid = of(tyreusLuyben(point, 'PID'));
    near(tlPid.ms, 1.47536, 4e-6);
    near(tlPid.phaseMarginDeg, 56.3484, 4e-6);
  });
});

describe('rules from the step response', () => {
  it.each([
    [2, 10, 1, 5, 4.5, 10 / 3, 6, 2, 0.5],
    [0.5, 1, 4, 0.5, 0.45, 40 / 3, 0.6, 8, 2],
  ])('gain %f, lag %f s, delay %f s', (gain, lag, delay, p, piK, piTi, k, ti, td) => {
    const model = lagProcess(gain, lag, delay);
    near(zieglerNicholsStep(model, 'P').k, p);
    near(zieglerNicholsStep(model, 'PI').k, piK);
    near(zieglerNicholsStep(model, 'PI').tiS, piTi);
    near(zieglerNicholsStep(model, 'PID').k, k);
    near(zieglerNicholsStep(model, 'PID').tiS, ti);
    near(zieglerNicholsStep(model, 'PID').tdS, td);
    near(zieglerNicholsStep(integratingProcess(gain / lag, delay), 'PI').k, piK);
  });

  it('a published example: gain 1.25, lag 4, delay 0.9 gives 4.2666666667, 1.8, 0.45', () => {
    const pid = zieglerNicholsStep(lagProcess(1.25, 4, 0.9), 'PID');
    near(pid.k, 4.2666666667);
    near(pid.tiS, 1.8);
    near(pid.tdS, 0.45);
  });
});
