/**
 * A process of real lags, leads and a delay reduced to one or two lags and a delay.
 *
 * Source: S. Skogestad, Simple analytic rules for model reduction and PID controller tuning, J. Process Control 13 (2003)
 * 291, section 2: the half rule, and the rules T1 to T3 for positive numerator time constants (the latter from memory).
 */
import { integratingProcess, lagProcess, type ProcessModel } from './process-model.js';

/** gain · ∏(T s + 1) · ∏(−Z s + 1) · e^(−delay s) / (∏(τ s + 1) [s]); all times positive, s. */
export interface RealProcess {
  /** Steady gain; of an integrating one the slope that it tends to. */
  readonly gain: number;
  readonly lagsS: readonly number[];
  /** T of numerator terms T s + 1. */
  readonly leadsS?: readonly number[];
  /** Z of numerator terms −Z s + 1, which answer the wrong way first. */
  readonly inverseS?: readonly number[];
  readonly delayS?: number;
  /** Whether there is a 1/s besides. */
  readonly integrating?: boolean;
  /** Sampling period, half of which counts as delay. */
  readonly periodS?: number;
}

const MOST_ROUNDS = 50;
const falling = (values: readonly number[]): number[] => [...values].sort((a, b) => b - a);

/** Takes each lead out against a lag, given the effective delay that will result. */
function withoutLeads(source: RealProcess, delayS: number): { readonly gain: number; readonly lagsS: readonly number[] } {
  let { gain } = source;
  let lagsS = falling(source.lagsS);
  for (const lead of falling(source.leadsS ?? [])) {
    const larger = lagsS.findLast((lag) => lag >= lead);
    const smaller = lagsS.find((lag) => lag < lead);
    // The nearest larger lag, unless a smaller one is nearer and within 1.6 of it.
    const takeSmaller =
      larger === undefined || (smaller !== undefined && lead / smaller < Math.min(larger / lead, 1.6 - 1e-9));
    const lag = takeSmaller ? smaller : larger;
    if (lag === undefined) throw new RangeError(`half rule: no lag is left to set the lead of ${lead} s against`);
    const place = lagsS.indexOf(lag);
    const others = lagsS.filter((_, i) => i !== place);
    if (takeSmaller) {
      // T1, T1a, T1b
      if (lead >= delayS) gain *= lead / Math.max(lag, delayS);
      lagsS = others;
    } else if (lead >= 5 * delayS) {
      // T2
      gain *= lead / lag;
      lagsS = others;
    } else {
      // T3
      const counted = Math.max(lead, Math.min(lag, 5 * delayS));
      gain *= counted / lag;
      lagsS = falling(counted > lead ? [...others, counted - lead] : others);
    }
  }
  return { gain, lagsS };
}

function reduce(source: RealProcess, order: 1 | 2, delayS: number): ProcessModel {
  const { gain, lagsS } = withoutLeads(source, delayS);
  const integrating = source.integrating === true;
  // An integrator is a lag without end: half of the largest lag left out changes nothing in it, so all of that is delay.
  const keep = integrating ? order - 1 : order;
  const kept = lagsS.slice(0, keep);
  const left = lagsS.slice(keep);
  const half = kept.length === 0 ? 0 : (left[0] ?? 0) / 2;
  if (kept.length > 0) kept[kept.length - 1] = (kept.at(-1) as number) + half;
  const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
  const delay = (source.delayS ?? 0) + (source.periodS ?? 0) / 2 + sum(source.inverseS ?? []) + sum(left) - half;
  const [first = 0, second = 0] = falling(kept);
  return integrating ? integratingProcess(gain, delay, first) : lagProcess(gain, first, delay, second);
}

/**
 * The half rule: the largest lag left out goes half to the smallest kept lag and half to the delay; smaller ones, inverse
 * responses and half the sampling period go to the delay. The kept lags come out with the larger first.
 *
 * Leads are set against lags by rules that depend on the resulting delay, which is found by repetition.
 * @param order lags kept, an integrator counted as one
 * @throws RangeError when a time is negative, a lead finds no lag, or the leads find no delay that they agree with
 */
export function halfRule(source: RealProcess, order: 1 | 2): ProcessModel {
  const times = [...source.lagsS, ...(source.leadsS ?? []), ...(source.inverseS ?? []), source.delayS ?? 0, source.periodS ?? 0];
  const wrong = times.find((time) => !(time >= 0 && Number.isFinite(time)));
  if (wrong !== undefined) throw new RangeError(`half rule: ${wrong} s is no time constant; they must be 0 or more`);
  let model = reduce({ ...source, leadsS: [] }, order, 0);
  for (let i = 0; i < MOST_ROUNDS; i++) {
    const next = reduce(source, order, model.delayS);
    if (Math.abs(next.delayS - model.delayS) <= 1e-12 * next.delayS) return next;
    model = next;
  }
  throw new RangeError('half rule: the leads fit no delay; fit the frequency response instead');
}
