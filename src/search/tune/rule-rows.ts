/** The published rules put to the engine: gains in the controller's parallel form, or why a rule does not apply. */
import {
  amigo, type IdealPid, idealOfSeries, parallelOf, type ProcessModel, simc, tyreusLuyben, zieglerNichols, zieglerNicholsStep,
} from '../../linear/index.js';
import type { Fitted, ProcessSeen } from './process.js';

export interface RuleRow {
  readonly name: string;
  /** What it was put to. */
  readonly from: string;
  /** air/rpm, air/(rpm·s), air·s/rpm; null when the rule does not apply, for the reason. */
  readonly gains: { readonly kp: number; readonly ki: number; readonly kd: number } | null;
  readonly reason: string | null;
}

/** To three digits: what a gain is typed in with. */
export const typed = (value: number): number => Number(value.toPrecision(3));

function row(name: string, from: string, work: () => IdealPid): RuleRow {
  try {
    const { kp, ki, kd } = parallelOf(work());
    if (![kp, ki, kd].every((gain) => Number.isFinite(gain) && gain >= 0)) return { name, from, gains: null, reason: 'it asks for gains below 0' };
    return { name, from, gains: { kp: typed(kp), ki: typed(ki), kd: typed(kd) }, reason: null };
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return { name, from, gains: null, reason: error.message };
  }
}

const model = <Model extends ProcessModel>(fit: Fitted<Model>): Model => {
  if ('reason' in fit) throw new RangeError(fit.reason);
  return fit.model;
};

/** Every rule, on the model or the ultimate point that it was made for. */
export function ruleRows({ first, second, integrating, ultimate, relay }: ProcessSeen): readonly RuleRow[] {
  const point = () => {
    if (ultimate.point === null) throw new RangeError(ultimate.reason ?? 'no ultimate point');
    return ultimate.point;
  };
  const swung = () => {
    if (relay === null || relay.gain === null || relay.periodS === null) throw new RangeError(relay === null ? (ultimate.reason ?? 'no relay experiment') : (relay.reason ?? 'the relay makes no swing'));
    return { gain: relay.gain, periodS: relay.periodS };
  };
  return [
    row('SIMC PI', 'one lag', () => idealOfSeries(simc(model(first), 'PI'))),
    row('SIMC PID', 'two lags', () => idealOfSeries(simc(model(second), 'PID'))),
    row('SIMC PI, integrating', 'integrator', () => idealOfSeries(simc(model(integrating), 'PI'))),
    row('AMIGO PI', 'one lag', () => amigo(model(first), 'PI')),
    row('AMIGO PID', 'one lag', () => amigo(model(first), 'PID')),
    row('Ziegler–Nichols step PI', 'one lag', () => zieglerNicholsStep(model(first), 'PI')),
    row('Ziegler–Nichols PI', 'ultimate', () => zieglerNichols(point(), 'PI')),
    row('Ziegler–Nichols PID', 'ultimate', () => zieglerNichols(point(), 'PID')),
    row('Tyreus–Luyben PI', 'ultimate', () => tyreusLuyben(point(), 'PI')),
    row('Tyreus–Luyben PID', 'ultimate', () => tyreusLuyben(point(), 'PID')),
    row('Tyreus–Luyben PI, relay', 'relay', () => tyreusLuyben(swung(), 'PI')),
  ];
}
