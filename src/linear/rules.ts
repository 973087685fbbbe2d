/**
 * Published tuning rules. A process with a negative gain gets negative gains.
 *
 * Each needs a delay above 0 (SIMC: or a chosen closed-loop time), and refuses with a RangeError otherwise: without delay
 * these rules would ask for gains without end.
 */
import { type IdealPid, ideal, type SeriesPid, seriesPid } from './pid-forms.js';
import type { IntegratingProcess, LagProcess, ProcessModel } from './process-model.js';

export type Terms = 'PI' | 'PID';

function positive(rule: string, values: Readonly<Record<string, number>>): void {
  for (const [name, value] of Object.entries(values))
    if (!(value > 0 && Number.isFinite(value))) throw new RangeError(`${rule}: needs a ${name} above 0; given ${value}`);
}
function someGain(rule: string, gain: number): void {
  if (gain === 0 || !Number.isFinite(gain)) throw new RangeError(`${rule}: needs a gain other than 0; given ${gain}`);
}

/**
 * SIMC in series form. PI leaves a second lag out of account: reduce to first order for it.
 *
 *     Kc = τ₁/(k (τc + θ)),  τI = min(τ₁, 4 (τc + θ)),  τD = τ₂      integrating: Kc = 1/(k′ (τc + θ)),  τI = 4 (τc + θ)
 *
 * @param closedLoopS τc, s; the delay θ when not given ("tight")
 * Source: S. Skogestad, J. Process Control 13 (2003) 291, section 3.
 */
export function simc(model: ProcessModel, terms: Terms, closedLoopS = model.delayS): SeriesPid {
  const sum = closedLoopS + model.delayS;
  positive('SIMC', { 'closed-loop time plus delay': sum });
  const tauDS = terms === 'PID' ? model.secondLagS : 0;
  if (model.kind === 'integrating') {
    someGain('SIMC', model.slope);
    return seriesPid(1 / (model.slope * sum), 4 * sum, tauDS);
  }
  someGain('SIMC', model.gain);
  positive('SIMC', { lag: model.lagS });
  return seriesPid(model.lagS / (model.gain * sum), Math.min(model.lagS, 4 * sum), tauDS);
}

/** SIMC for k″ e^(−θ s)/s², series form: Kc = 1/(4 k″ (τc + θ)²), τI = τD = 4 (τc + θ). Source: as above, from memory. */
export function simcDoubleIntegrating(gain: number, delayS: number, closedLoopS = delayS): SeriesPid {
  const sum = closedLoopS + delayS;
  positive('SIMC', { 'closed-loop time plus delay': sum });
  someGain('SIMC', gain);
  return seriesPid(1 / (4 * gain * sum * sum), 4 * sum, 4 * sum);
}

/**
 * AMIGO, for a largest sensitivity of about 1.4 (a fit: single processes come out between about 1.2 and 1.5).
 * Second lags are left out of account: fit a first-order model.
 *
 * Source: K. J. Åström and T. Hägglund, Revisiting the Ziegler–Nichols step response method for PID control, J. Process
 * Control 14 (2004) 635; Advanced PID Control, 2006, ch. 7. The derivative time of the integrating PID is from memory.
 */
export function amigo(model: ProcessModel, terms: Terms): IdealPid {
  const L = model.delayS;
  positive('AMIGO', { delay: L });
  if (model.kind === 'integrating') {
    someGain('AMIGO', model.slope);
    return terms === 'PI' ? ideal(0.35 / (model.slope * L), 13.4 * L) : ideal(0.45 / (model.slope * L), 8 * L, 0.5 * L);
  }
  const { gain: K, lagS: T } = model;
  someGain('AMIGO', K);
  positive('AMIGO', { lag: T });
  if (terms === 'PI') {
    const k = 0.15 / K + ((0.35 - (L * T) / (L + T) ** 2) * T) / (K * L);
    return ideal(k, 0.35 * L + (13 * L * T ** 2) / (T ** 2 + 12 * L * T + 7 * L ** 2));
  }
  return ideal((0.2 + (0.45 * T) / L) / K, (L * (0.4 * L + 0.8 * T)) / (L + 0.1 * T), (0.5 * L * T) / (0.3 * L + T));
}

/** Weight of the target in the proportional term of AMIGO's PID: 0 where the lag governs, L/(L + T) ≤ 0.5, else 1. Source: as above. */
export const amigoTargetWeight = ({ lagS, delayS }: LagProcess): 0 | 1 => (delayS <= lagS ? 0 : 1);

/** Gain and period at which a process under proportional control just keeps swinging. */
export interface UltimatePoint {
  readonly gain: number;
  readonly periodS: number;
}

/**
 * Ziegler and Nichols's original rules from the ultimate point: P 0.5 Ku; PI 0.45 Ku, Pu/1.2; PID 0.6 Ku, Pu/2, Pu/8.
 * Others print other PI values (0.4 Ku, 0.8 Pu).
 * Source: J. G. Ziegler and N. B. Nichols, Optimum settings for automatic controllers, Trans. ASME 64 (1942) 759.
 */
export function zieglerNichols({ gain, periodS }: UltimatePoint, terms: Terms | 'P'): IdealPid {
  someGain('Ziegler–Nichols', gain);
  positive('Ziegler–Nichols', { period: periodS });
  if (terms === 'P') return ideal(0.5 * gain);
  return terms === 'PI' ? ideal(0.45 * gain, periodS / 1.2) : ideal(0.6 * gain, periodS / 2, periodS / 8);
}

/**
 * Their rules from the step response, with a = slope of it times its delay: P 1/a; PI 0.9/a, L/0.3; PID 1.2/a, 2 L, L/2.
 * Others print the PI's time as 3 L. Source: as above.
 */
export function zieglerNicholsStep(model: LagProcess | IntegratingProcess, terms: Terms | 'P'): IdealPid {
  const L = model.delayS;
  positive('Ziegler–Nichols', { delay: L });
  if (model.kind === 'lag') positive('Ziegler–Nichols', { lag: model.lagS });
  const a = L * (model.kind === 'lag' ? model.gain / model.lagS : model.slope);
  someGain('Ziegler–Nichols', a);
  if (terms === 'P') return ideal(1 / a);
  return terms === 'PI' ? ideal(0.9 / a, L / 0.3) : ideal(1.2 / a, 2 * L, L / 2);
}

/**
 * Tyreus and Luyben, calmer, for processes that nearly integrate: PI Ku/3.2, 2.2 Pu; PID Ku/2.2, 2.2 Pu, Pu/6.3.
 * Source: B. D. Tyreus and W. L. Luyben, Ind. Eng. Chem. Res. 31 (1992) 2625; the PID from M. L. Luyben and W. L. Luyben,
 * Essentials of Process Control, 1997.
 */
export function tyreusLuyben({ gain, periodS }: UltimatePoint, terms: Terms): IdealPid {
  someGain('Tyreus–Luyben', gain);
  positive('Tyreus–Luyben', { period: periodS });
  return terms === 'PI' ? ideal(gain / 3.2, 2.2 * periodS) : ideal(gain / 2.2, 2.2 * periodS, periodS / 6.3);
}
