/**
 * The relay experiment: K. J. Åström and T. Hägglund, Automatica 20 (1984) 645. Exact limit cycles: of an integrator or a lag
 * with delay in closed form, of 1/(s + 1)ⁿ from C(I + e^(Ah))⁻¹A⁻¹(e^(Ah) − I)B = 0 in 30-digit arithmetic (mpmath), two of
 * them confirmed by simulation outside this project.
 */
import { describe, expect, it } from 'vitest';
import { holdEquivalent } from '../../src/linear/hold.js';
import { equalLags } from '../../src/linear/process-model.js';
import { describingGain, relayExperiment, type RelayOptions } from '../../src/linear/relay.js';
import { stateSpaceOf } from '../../src/linear/state-space.js';
import { type Stepper, stepperOf } from '../../src/linear/stepper.js';
import { type Transfer, transfer } from '../../src/linear/transfer.js';
import { ultimateOf } from '../../src/linear/ultimate.js';
import { near } from '../linear/near.js';

const PERIOD = 5e-4;
const plantOf = (of: Transfer, periodS = PERIOD): Stepper =>
  stepperOf(holdEquivalent(stateSpaceOf(transfer(of.numerator, of.denominator)), periodS), Math.round(of.delayS / periodS));
const run = (of: Transfer, options: Partial<RelayOptions> = {}) =>
  relayExperiment(plantOf(of, options.periodS), { periodS: PERIOD, amplitude: 1, longestS: 400, steady: 1e-4, ...options });

const lag = (delayS: number): Transfer => transfer([1], [1, 1], { delayS });
const cycles: readonly (readonly [string, Transfer, number, number, number, number, number])[] = [
  ['e^−s/s', transfer([1], [1, 0], { delayS: 1 }), 1, 4, 1.2732395447, -18.94305, 0],
  ['a lag, delay 0.1', lag(0.1), 0.095162581964, 0.38180565785, 13.379623781, -18.17021, -0.8298],
  ['a lag, delay 0.5', lag(0.5), 0.39346934029, 1.6635931315, 3.2359307686, -14.99789, -2.7452],
  ['a lag, delay 1', lag(1), 0.63212055883, 2.9797602513, 2.014235302, -10.94651, -3.7875],
  ['a lag, delay 2', lag(2), 0.86466471676, 5.2461625208, 1.4725239969, -3.110836, -4.4426],
  ['a lag, delay 5', lag(5), 0.993262053, 11.379545039, 1.2818767624, 13.22882, -3.8785],
  ['1/(s + 1)³', equalLags(3), 0.16306148343, 3.6797506709, 7.8083402527, -2.395747, 1.4376],
  ['1/(s + 1)⁴', equalLags(4), 0.32409574724, 6.3273268809, 3.9285907192, -1.785232, 0.7025],
  ['1/(s + 1)⁵', equalLags(5), 0.44770158395, 8.671671755, 2.8439469289, -1.437954, 0.273],
  ['1/(s + 1)⁶', equalLags(6), 0.54344944358, 10.880215632, 2.342884991, -1.159539, -0.0237],
];

describe('relay experiment', () => {
  // The relay is looked at every half millisecond, so it jumps up to that late.
  it.each(cycles)('%s: the simulated swing is the exact one, and the estimate is off as it should be', (_, of, a, period, gain, gainPct, periodPct) => {
    const found = run(of);
    const room = (3 * PERIOD) / Math.min(1, of.delayS || 1);
    near(found.swing, a, room);
    near(found.swingPeriodS, period, room);
    near(found.gain, gain, room);
    near(found.share, 0.5, 2 * room);
    const { point } = ultimateOf(of);
    if (point === null) throw new Error('none');
    expect(100 * ((found.gain as number) / point.gain - 1)).toBeCloseTo(gainPct, 0);
    expect(100 * ((found.periodS as number) / point.periodS - 1)).toBeCloseTo(periodPct, 0);
  });

  it('jumps late by up to a period of sampling each time, so that a swing is up to four periods longer, never shorter', () => {
    for (const periodS of [0.05, 0.02, 0.01, 0.005]) {
      const longer = ((run(lag(1), { periodS }).swingPeriodS as number) - 2.9797602513) / periodS;
      expect(longer).toBeGreaterThan(-0.5);
      expect(longer).toBeLessThan(4);
    }
  });

  it('hysteresis on an integrator with delay: a = ε + d L, P = 4 (L + ε/d), from the triangle', () => {
    const found = run(transfer([1], [1, 0], { delayS: 1 }), { hysteresis: 0.5 });
    near(found.swing, 1.5, 2e-3);
    near(found.swingPeriodS, 6, 2e-3);
    near(found.gain, describingGain(1, 1.5, 0.5), 3e-3);
  });

  it('works about any bias and target, with either sign, and scales with the amplitude', () => {
    const turned = transfer([-1], [1, 1], { delayS: 1 });
    const found = run(turned, { sign: -1, amplitude: 20, bias: 7, target: -7 });
    near(found.swing, 20 * 0.63212055883, 3e-3);
    near(found.gain, -2.014235302, 3e-3);
  });

  it('says when the bias is off, by the share of time', () => {
    const found = run(lag(1), { bias: 0.3 });
    expect(found.share as number).toBeLessThan(0.45);
  });

  it('gives nothing, with the reason, where there is no swing or no time for one', () => {
    const still = run(lag(1), { target: 5, longestS: 20 });
    expect(still).toMatchObject({ swing: null, gain: null, swings: 0 });
    expect(still.reason).toMatch(/did not swing/);
    expect(run(equalLags(6), { longestS: 30 }).reason).toMatch(/not steady/);
    expect(() => run(lag(1), { amplitude: 0 })).toThrow(/amplitude/);
  });
});
