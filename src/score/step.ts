/**
 * Step-response metrics of a sampled curve: pure functions of times and values, in whatever unit the values have.
 *
 * Definitions are the textbook ones (Ogata, Modern Control Engineering, section "second-order systems"): overshoot in % of
 * the step, rise from 10 to 90 % by first crossings, settling as the last time outside the band. Crossings are found by a
 * straight line between two samples, peaks by a parabola through three.
 */

/** Numbers of a record: an array or a typed array. */
export type Samples = ArrayLike<number>;

export interface Settling {
  /** Time from the start until the value stays in the band, s; null with a reason. */
  readonly timeS: number | null;
  /** Last time known to be outside, from the start, s; 0 when never outside. */
  readonly outsideUntilS: number;
  readonly reason: string | null;
}

export interface StepOptions {
  /** Value before the step, and the one it should come to rest at. */
  readonly initial: number;
  readonly final: number;
  /** Half-width of the settling band, in the unit of the values, and how long it must hold, s. */
  readonly band: number;
  readonly holdS: number;
  /** Samples used: `from` … `to` − 1; all when not given. Times count from the first of them. */
  readonly from?: number;
  readonly to?: number;
}

export type StepMetric = 'overshootPct' | 'peakTimeS' | 'riseTimeS' | 'undershootPct' | 'settlingTimeS';

export interface StepMetrics extends Readonly<Record<StepMetric, number | null>> {
  readonly reasons: Readonly<Partial<Record<StepMetric, string>>>;
}

const at = (samples: Samples, i: number): number => samples[i] as number;

/** Time at which the line between samples i and i + 1 passes `level`. */
function crossing(t: Samples, y: Samples, i: number, level: number): number {
  const rise = at(y, i + 1) - at(y, i);
  return rise === 0 ? at(t, i + 1) : at(t, i) + ((level - at(y, i)) / rise) * (at(t, i + 1) - at(t, i));
}

/** First time the values reach `level` going in `direction`, or null. */
function firstReach(t: Samples, y: Samples, from: number, to: number, level: number, direction: number): number | null {
  for (let i = from; i < to; i++) {
    if (direction * (at(y, i) - level) >= 0) return i === from ? at(t, i) : crossing(t, y, i - 1, level);
  }
  return null;
}

/** Vertex of the parabola through the samples around i, or the sample itself at an end or on a flat. */
export function peakNear(t: Samples, y: Samples, from: number, to: number, i: number): { readonly t: number; readonly y: number } {
  const top = { t: at(t, i), y: at(y, i) };
  if (i <= from || i >= to - 1) return top;
  const [a, b] = [at(t, i - 1) - top.t, at(t, i + 1) - top.t];
  const [slopeA, slopeB] = [(at(y, i - 1) - top.y) / a, (at(y, i + 1) - top.y) / b];
  const curvature = (slopeB - slopeA) / (b - a);
  if (curvature === 0) return top;
  const slope = slopeA - curvature * a;
  const shift = -slope / (2 * curvature);
  if (shift < a || shift > b) return top;
  return { t: top.t + shift, y: top.y - (slope * slope) / (4 * curvature) };
}

/** Index of the sample that lies furthest in `direction`; the first of equals. */
function furthest(y: Samples, from: number, to: number, direction: number): number {
  let best = from;
  for (let i = from + 1; i < to; i++) if (direction * (at(y, i) - at(y, best)) > 0) best = i;
  return best;
}

/**
 * Settling of an error towards zero: the last time outside ±band, once it has stayed inside for `holdS` up to the end.
 *
 * @param t times, s  @param error deviations  @param startS time from which to count, s; at or before `t[from]`
 */
export function settle(t: Samples, error: Samples, from: number, to: number, band: number, holdS: number, startS: number): Settling {
  if (to <= from) return { timeS: null, outsideUntilS: 0, reason: 'the window is empty' };
  const endS = at(t, to - 1);
  let last = to - 1;
  while (last >= from && Math.abs(at(error, last)) <= band) last--;
  if (last === to - 1) return { timeS: null, outsideUntilS: endS - startS, reason: 'still outside the band at the end of the window' };
  const inS = last < from ? startS : crossing(t, error, last, at(error, last) > 0 ? band : -band);
  const outsideUntilS = inS - startS;
  // A hold that misses by rounding of the times is a hold.
  if (endS - inS < holdS - 1e-9 * Math.max(1, Math.abs(endS))) {
    return { timeS: null, outsideUntilS, reason: `the window ends before the band has been held for ${holdS} s` };
  }
  return { timeS: outsideUntilS, outsideUntilS, reason: null };
}

/**
 * Metrics of the response to a step from `initial` to `final`, upwards or downwards.
 *
 * Overshoot is the furthest the values go beyond `final`, undershoot the furthest they go back behind `initial`, each in %
 * of the step and never negative. A metric that does not exist is null, with its reason.
 *
 * @throws RangeError if there are no samples, the lengths differ, or a sample is not finite
 */
export function stepMetrics(t: Samples, y: Samples, options: StepOptions): StepMetrics {
  const { initial, final, band, holdS, from = 0, to = t.length } = options;
  if (t.length !== y.length) throw new RangeError(`step metrics: ${t.length} times but ${y.length} values`);
  if (!(from >= 0 && from < to && to <= t.length)) throw new RangeError(`step metrics: no samples in ${from} … ${to}`);
  for (let i = from; i < to; i++) {
    if (!Number.isFinite(at(y, i)) || !Number.isFinite(at(t, i))) throw new RangeError(`step metrics: sample ${i} is not finite`);
  }
  const startS = at(t, from);
  const error = Float64Array.from({ length: to }, (_, i) => at(y, i) - final);
  const settling = settle(t, error, from, to, band, holdS, startS);
  const settlingReason = settling.reason === null ? {} : { settlingTimeS: settling.reason };

  const step = final - initial;
  if (step === 0) {
    const none = 'there is no step';
    return {
      overshootPct: null, peakTimeS: null, riseTimeS: null, undershootPct: null, settlingTimeS: settling.timeS,
      reasons: { overshootPct: none, peakTimeS: none, riseTimeS: none, undershootPct: none, ...settlingReason },
    };
  }
  const direction = Math.sign(step);
  const percent = (value: number): number => (100 * Math.max(0, value)) / Math.abs(step);
  const peak = peakNear(t, y, from, to, furthest(y, from, to, direction));
  const back = peakNear(t, y, from, to, furthest(y, from, to, -direction));
  const overshootPct = percent(direction * (peak.y - final));
  const low = firstReach(t, y, from, to, initial + 0.1 * step, direction);
  const high = firstReach(t, y, from, to, initial + 0.9 * step, direction);
  return {
    overshootPct,
    peakTimeS: overshootPct > 0 ? peak.t - startS : null,
    riseTimeS: low === null || high === null ? null : high - low,
    undershootPct: percent(direction * (initial - back.y)),
    settlingTimeS: settling.timeS,
    reasons: {
      ...(overshootPct > 0 ? {} : { peakTimeS: 'it never passes the final value' }),
      ...(high === null ? { riseTimeS: 'it never reaches 90 % of the step' } : {}),
      ...settlingReason,
    },
  };
}
