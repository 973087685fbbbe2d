/**
 * K. J. Åström and T. Hägglund, Revisiting the Ziegler–Nichols step response method for PID control, J. Process Control 14
 * (2004) 635 (AMIGO). The formulas are confirmed by three public implementations; the settings below are their arithmetic, and
 * the largest sensitivities were recomputed outside this project (mpmath; PID with a filter of Td/10 on its derivative).
 */
import { describe, expect, it } from 'vitest';
import { marginsOf } from '../../src/linear/margins.js';
import type { IdealPid } from '../../src/linear/pid-forms.js';
import { integratingProcess, lagProcess, transferOfModel } from '../../src/linear/process-model.js';
import { amigo, amigoTargetWeight } from '../../src/linear/rules.js';
import { seriesOf, transfer } from '../../src/linear/transfer.js';
import { near } from '../linear/near.js';

/** K (1 + 1/(Ti s) + Td s/(Tf s + 1)) over one denominator. */
function filtered({ k, tiS, tdS }: IdealPid, tfS: number) {
  return transfer([k * tiS * (tfS + tdS), k * (tiS + tfS), k], tfS === 0 ? [tiS, 0] : [tiS * tfS, tiS, 0]);
}

const rows = [
  [1, 1, 1, 0.25, 1, 0.65, 12 / 11, 5 / 13, 1.2488909, 1.4358673],
  [2, 10, 1, 1.4117768595, 6.0768722467, 2.35, 4.2, 0.4854368932, 1.3169947, 1.4466862],
  [0.5, 1, 4, 0.395, 1.7229813665, 0.625, 2.3414634146, 0.9090909091, 1.4760946, 1.4041248],
  [1, 5, 0.5, 2.823553719, 3.0384361233, 4.7, 2.1, 0.2427184466, 1.3169947, 1.4466862],
] as const;

describe('AMIGO', () => {
  it.each(rows)('gain %f, lag %f s, delay %f s', (gain, lag, delay, piK, piTi, pidK, pidTi, pidTd, msPi, msPid) => {
    const model = lagProcess(gain, lag, delay);
    const [pi, pid] = [amigo(model, 'PI'), amigo(model, 'PID')];
    near(pi.k, piK);
    near(pi.tiS, piTi);
    near(pid.k, pidK);
    near(pid.tiS, pidTi);
    near(pid.tdS, pidTd);
    const process = transferOfModel(model);
    near(marginsOf(seriesOf(filtered(pi, 0), process)).ms, msPi, 1e-7);
    near(marginsOf(seriesOf(filtered(pid, pid.tdS / 10), process)).ms, msPid, 1e-7);
  });

  it('an integrator with delay', () => {
    const model = integratingProcess(1, 1);
    const [pi, pid] = [amigo(model, 'PI'), amigo(model, 'PID')];
    expect(pi).toMatchObject({ k: 0.35, tiS: 13.4 });
    expect(pid).toMatchObject({ k: 0.45, tiS: 8, tdS: 0.5 });
    near(marginsOf(seriesOf(filtered(pi, 0), transferOfModel(model))).ms, 1.41014, 4e-6);
  });

  it('weights the target by whether lag or delay governs', () => {
    expect(amigoTargetWeight(lagProcess(1, 1, 1))).toBe(0);
    expect(amigoTargetWeight(lagProcess(1, 1, 1.01))).toBe(1);
  });

  it('refuses a process without delay', () => expect(() => amigo(lagProcess(1, 1, 0), 'PI')).toThrow(/delay above 0/));
});
