/**
 * How much a loop may change before it hunts: margins and sensitivity peaks of an open loop L with negative feedback,
 * S = 1/(1 + L), T = L/(1 + L).
 *
 * Definitions: K. J. Åström and R. M. Murray, Feedback Systems, ch. 10; S. Skogestad and I. Postlethwaite, Multivariable
 * Feedback Control, sections 2.4.3 to 2.4.5.
 */
import { add, type Complex, complex, divide, magnitude } from './complex.js';
import { type GainCrossover, gainCrossoversOf, type PhaseCrossover, phaseCrossoversOf, roots } from './crossovers.js';
import { findMinimum } from './minimum.js';
import { nyquistVerdict } from './nyquist.js';
import type { FrequencyResponse } from './response.js';
import { type Course, follow, type Point, valueAt } from './trace-response.js';

export type { GainCrossover, PhaseCrossover } from './crossovers.js';

export type MarginName =
  | 'gainMargin'
  | 'gainMarginAt'
  | 'gainReduction'
  | 'gainReductionAt'
  | 'phaseMarginDeg'
  | 'crossover'
  | 'delayMarginS'
  | 'delayMarginAt'
  | 'ms'
  | 'msAt'
  | 'mt'
  | 'mtAt'
  | 'bandwidth'
  | 'rejectionBandwidth';

/** Frequencies in rad/s; absent ones are null, with the reason in `reasons`. */
export interface Margins extends Readonly<Record<MarginName, number | null>> {
  /** Factor by which all gains may grow, and the frequency of the hunting there; infinite: null. */
  readonly gainMargin: number | null;
  readonly gainMarginAt: number | null;
  /** Factor below 1 down to which all gains may be lowered; null where they may go to 0. */
  readonly gainReduction: number | null;
  readonly gainReductionAt: number | null;
  /** Smallest |phase margin| of all crossovers, degrees, with its sign, and its crossover. */
  readonly phaseMarginDeg: number | null;
  readonly crossover: number | null;
  /** Smallest further delay, s, that makes the loop hunt, and the frequency of that. */
  readonly delayMarginS: number | null;
  readonly delayMarginAt: number | null;
  /** Largest |S| and |T|, and where: at 0 or Infinity where they are only tended to there. */
  readonly ms: number | null;
  readonly msAt: number | null;
  readonly mt: number | null;
  readonly mtAt: number | null;
  /** Where |T| first falls to 1/√2 of what it is at zero frequency: how fast the loop follows its target. */
  readonly bandwidth: number | null;
  /** Where |S| first reaches 1/√2: what disturbs the engine more slowly is held down. */
  readonly rejectionBandwidth: number | null;
  /** Every crossover in rising order; more than one is worth saying. Found in an unstable loop too. */
  readonly gainCrossovers: readonly GainCrossover[];
  readonly phaseCrossovers: readonly PhaseCrossover[];
  /** Whether the closed loop is stable, by Nyquist's criterion; null, with a reason, where that could not be told. */
  readonly stable: boolean | null;
  readonly unstablePoles: number | null;
  readonly reasons: Readonly<Partial<Record<MarginName | 'stable', string>>>;
}

export interface MarginOptions {
  /** Poles of L that grow: right of the axis, or outside the unit circle; integrators are not among them. 0 when not given. */
  readonly openLoopUnstablePoles?: number;
}

export const UNSTABLE = 'the closed loop is unstable';
export const NO_CROSSOVER = 'the loop gain stays below 1';
export const NO_PHASE_CROSSOVER = 'no gain makes it hunt: the phase never reaches −180°';
export const NOT_LOWERED = 'all gains may be lowered to nothing';

const ONE = complex(1);
/** A minimum lies at most a few per cent below the nearest followed point, as 1 + L turns and grows by 0.2 at most between two. */
const LOCAL = 1.1;
const logOf = ({ omega }: Point): number => Math.log(omega);
const returnDifference = (loop: Complex): number => magnitude(add(ONE, loop));
/** Largest of 1/`of` along the loop, where `of` is smooth in frequency. */
function peak(loop: FrequencyResponse, { points }: Course, of: (value: Complex) => number): { at: number; value: number } {
  const values = points.map((point) => of(point.loop));
  const lowest = values.reduce((a, b) => Math.min(a, b));
  let best = { at: 0, value: 0 };
  values.forEach((value, i) => {
    const isLow = value <= (values[i - 1] ?? Infinity) && value <= (values[i + 1] ?? Infinity);
    if (!isLow || value > LOCAL * lowest) return;
    const [a, b] = [points[Math.max(0, i - 1)] as Point, points[Math.min(points.length - 1, i + 1)] as Point];
    const found = findMinimum((x) => of(valueAt(loop, Math.exp(x))), logOf(a), logOf(b));
    // An end of the range keeps its own frequency, which exp and log would change in the last bits.
    const ends = [a, b].map((point) => ({ at: point.omega, value: 1 / of(point.loop) }));
    for (const candidate of [...ends, { at: Math.exp(found.x), value: 1 / found.y }]) if (candidate.value > best.value) best = candidate;
  });
  return best;
}

const smallest = <T>(items: readonly T[], of: (item: T) => number): T | null =>
  items.reduce<T | null>((best, item) => (best === null || of(item) < of(best) ? item : best), null);

/** First frequency at which `of` passes through 0 upwards, unless it is above at zero frequency already. */
function firstRise(loop: FrequencyResponse, course: Course, of: (value: Complex) => number, name: string): number | string {
  if (of((course.points[0] as Point).loop) >= 0) return `${name} at the lowest frequencies already`;
  return roots(loop, course, of)[0] ?? `${name} nowhere up to the highest frequency`;
}

/**
 * Margins of an open loop, each found on a grid that follows the loop closely and then refined by root or minimum search.
 *
 * A loop with a delay has phase crossovers without end: the smallest gain margin is given. With several gain crossovers the
 * smallest |phase margin| is. A sampled loop is looked at up to π/h, that end included; its delay margin is a further delay
 * of the continuous signal. Nothing is taken as cancelled: factors common to controller and plant stay.
 * Where the closed loop is unstable, margins, peaks and bandwidths are null, and only the crossovers are listed.
 *
 * @throws RangeError where L is not finite at a frequency above 0, or its range is empty
 */
export function marginsOf(loop: FrequencyResponse, options: MarginOptions = {}): Margins {
  const course = follow(loop);
  const verdict = nyquistVerdict(course, options.openLoopUnstablePoles ?? 0);
  const gainCrossovers = gainCrossoversOf(loop, course);
  const phaseCrossovers = phaseCrossoversOf(loop, course);
  const reasons: Partial<Record<MarginName | 'stable', string>> = {};
  if (verdict.reason !== null) reasons.stable = verdict.reason;
  const absent = (names: readonly MarginName[], reason: string): Partial<Record<MarginName, null>> => {
    for (const name of names) reasons[name] = reason;
    return Object.fromEntries(names.map((name) => [name, null])) as Partial<Record<MarginName, null>>;
  };

  const found = verdict.stable === false ? absent(ALL, UNSTABLE) : {
    ...gains(phaseCrossovers, absent),
    ...phases(gainCrossovers, absent),
    ...peaks(loop, course),
    ...bandwidths(loop, course, absent),
  };
  return {
    ...(found as Record<MarginName, number | null>),
    gainCrossovers,
    phaseCrossovers,
    stable: verdict.stable,
    unstablePoles: verdict.unstablePoles,
    reasons,
  };
}

const ALL: readonly MarginName[] = [
  'gainMargin', 'gainMarginAt', 'gainReduction', 'gainReductionAt', 'phaseMarginDeg', 'crossover', 'delayMarginS',
  'delayMarginAt', 'ms', 'msAt', 'mt', 'mtAt', 'bandwidth', 'rejectionBandwidth',
];

type Found = Partial<Record<MarginName, number | null>>;
type Absent = (names: readonly MarginName[], reason: string) => Found;

function gains(crossovers: readonly PhaseCrossover[], absent: Absent): Found {
  const up = smallest(crossovers.filter((at) => at.gainMargin > 1), (at) => at.gainMargin);
  const down = smallest(crossovers.filter((at) => at.gainMargin < 1), (at) => -at.gainMargin);
  return {
    ...(up === null ? absent(['gainMargin', 'gainMarginAt'], NO_PHASE_CROSSOVER) : { gainMargin: up.gainMargin, gainMarginAt: up.omega }),
    ...(down === null
      ? absent(['gainReduction', 'gainReductionAt'], NOT_LOWERED)
      : { gainReduction: down.gainMargin, gainReductionAt: down.omega }),
  };
}

function phases(crossovers: readonly GainCrossover[], absent: Absent): Found {
  const nearest = smallest(crossovers, (at) => Math.abs(at.phaseMarginDeg));
  const soonest = smallest(crossovers, (at) => at.delayMarginS);
  if (nearest === null || soonest === null) return absent(['phaseMarginDeg', 'crossover', 'delayMarginS', 'delayMarginAt'], NO_CROSSOVER);
  return {
    phaseMarginDeg: nearest.phaseMarginDeg,
    crossover: nearest.omega,
    delayMarginS: soonest.delayMarginS,
    delayMarginAt: soonest.omega,
  };
}

function peaks(loop: FrequencyResponse, course: Course): Found {
  const s = peak(loop, course, returnDifference);
  const t = peak(loop, course, (value) => returnDifference(value) / magnitude(value));
  // What is tended to at frequency zero or without end lies outside the grid: integral action makes T 1 at zero frequency,
  // and a loop that dies out makes S 1.
  const [first, last] = [course.points[0] as Point, course.points.at(-1) as Point];
  const atRest = course.integrators > 0 && t.value <= 1 + 1e-9;
  if (!course.endsAtNyquist && s.value < 1 && magnitude(last.loop) < 0.1) {
    s.value = 1;
    s.at = Infinity;
  }
  const place = (omega: number): number => (omega === first.omega ? 0 : omega);
  return { ms: s.value, msAt: place(s.at), mt: atRest ? 1 : t.value, mtAt: atRest ? 0 : place(t.at) };
}

function bandwidths(loop: FrequencyResponse, course: Course, absent: Absent): Found {
  const closed = (value: Complex): number => magnitude(divide(value, add(ONE, value)));
  const rest = course.integrators > 0 ? 1 : closed((course.points[0] as Point).loop);
  const follows = firstRise(loop, course, (value) => rest * Math.SQRT1_2 - closed(value), 'the closed loop falls by 3 dB');
  const rejects = firstRise(loop, course, (value) => Math.SQRT2 - returnDifference(value), '|S| is above 0.71');
  return {
    ...(typeof follows === 'string' ? absent(['bandwidth'], follows) : { bandwidth: follows }),
    ...(typeof rejects === 'string' ? absent(['rejectionBandwidth'], rejects) : { rejectionBandwidth: rejects }),
  };
}
