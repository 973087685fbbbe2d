/** The simple processes that tuning rules are made for: a gain or a slope, one or two lags, and a delay. */
import { power, product } from './polynomial.js';
import { type Transfer, transfer } from './transfer.js';

/** gain e^(−delay s)/((lag s + 1)(secondLag s + 1)); secondLagS 0 for the first-order one. */
export interface LagProcess {
  readonly kind: 'lag';
  /** Steady output per command. */
  readonly gain: number;
  readonly lagS: number;
  readonly secondLagS: number;
  readonly delayS: number;
}
/** slope e^(−delay s)/(s (secondLag s + 1)). */
export interface IntegratingProcess {
  readonly kind: 'integrating';
  /** Output per second per command. */
  readonly slope: number;
  readonly secondLagS: number;
  readonly delayS: number;
}
export type ProcessModel = LagProcess | IntegratingProcess;

export const lagProcess = (gain: number, lagS: number, delayS: number, secondLagS = 0): LagProcess => ({
  kind: 'lag',
  gain,
  lagS,
  secondLagS,
  delayS,
});
export const integratingProcess = (slope: number, delayS: number, secondLagS = 0): IntegratingProcess => ({
  kind: 'integrating',
  slope,
  secondLagS,
  delayS,
});

/** The model as a transfer function. */
export function transferOfModel(model: ProcessModel): Transfer {
  const second = model.secondLagS === 0 ? [1] : [model.secondLagS, 1];
  const { delayS } = model;
  if (model.kind === 'integrating') return transfer([model.slope], product([1, 0], second), { delayS });
  return transfer([model.gain], product(model.lagS === 0 ? [1] : [model.lagS, 1], second), { delayS });
}

/** 1/(s + 1)ⁿ and its like, for the checks of rules. */
export const equalLags = (n: number, lagS = 1): Transfer => transfer([1], power([lagS, 1], n));
