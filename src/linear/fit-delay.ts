/**
 * One or two lags, or an integrator, and a delay, fitted to a frequency response up to its phase crossover, where a tuning
 * rule needs them to be right.
 *
 * Minimises Σ |log(model/process)|² over frequencies evenly spread in their logarithm, so that a relative error of magnitude
 * and an error of phase in rad weigh alike. The delay, linear in phase, is solved for in closed form at each trial of the rest
 * (variable projection: G. H. Golub and V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413).
 */
import { magnitude, phase, scale, type Complex } from './complex.js';
import { findMinimum } from './minimum.js';
import { integratingProcess, lagProcess, type IntegratingProcess, type LagProcess } from './process-model.js';
import type { FrequencyResponse } from './response.js';
import { ultimateOf } from './ultimate.js';
import { times } from './transfer.js';

export interface FitOptions {
  /** Highest frequency fitted, rad/s; the phase crossover when not given. */
  readonly upTo?: number;
  /** Lowest one; a tenth of the highest when not given: a steady gain is taken from further down anyhow. */
  readonly downTo?: number;
}

export interface DelayFit<Model> {
  readonly model: Model;
  /** Frequencies fitted, rad/s. */
  readonly from: number;
  readonly to: number;
  /** Largest errors among them: of magnitude, relative, in %, and of phase, degrees. */
  readonly magnitudePct: number;
  readonly phaseDeg: number;
  /** Where the fit ran into a bound that it would pass. */
  readonly note: string | null;
}

const PLACES = 60;

interface Data {
  readonly omegas: readonly number[];
  /** log |P| and arg P, rad, of the process with its sign turned to be positive at rest. */
  readonly gain: readonly number[];
  readonly angle: readonly number[];
  readonly sign: number;
}

/** Highest frequency to fit where no phase crossover ends it: where the response has fallen to 1/100. */
function fallsTo(source: FrequencyResponse, part: number): number {
  const rest = magnitude(source.at(source.from));
  let omega = source.from;
  while (omega < source.to && magnitude(source.at(omega)) > part * rest) omega *= 1.1;
  return Math.min(omega, source.to);
}

function dataOf(source: FrequencyResponse, options: FitOptions, atRest: number): Data {
  const start = phase(source.at(source.from));
  // Whether the steady gain, or slope, is negative, from the phase at rest.
  const sign = Math.cos(start - atRest) < 0 ? -1 : 1;
  const turned = times(sign, source);
  const to = options.upTo ?? ultimateOf(turned).point?.omega ?? fallsTo(turned, 0.01);
  const from = Math.max(options.downTo ?? to / 10, source.from);
  if (!(to > from)) throw new RangeError(`fit: no frequencies between ${from} and ${to} rad/s`);
  const omegas = Array.from({ length: PLACES + 1 }, (_, i) => from * (to / from) ** (i / PLACES));
  const values = omegas.map((omega): Complex => scale(source.at(omega), sign));
  // Followed from the lowest frequency on, so that a phase beyond −180° is not taken for a lead.
  const angle: number[] = [];
  values.forEach((value, i) => {
    const raw = phase(value);
    const before = angle[i - 1] ?? atRest;
    angle.push(raw + 2 * Math.PI * Math.round((before - raw) / (2 * Math.PI)));
  });
  return { omegas, gain: values.map((value) => Math.log(magnitude(value))), angle, sign };
}

const sumOf = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

interface Trial {
  readonly cost: number;
  readonly delayS: number;
  readonly bounded: boolean;
}

/** Best delay to given log magnitudes and phases of the rest of the model, and what is left. */
function withDelay(data: Data, gain: readonly number[], angle: readonly number[]): Trial {
  const { omegas } = data;
  const left = data.angle.map((value, i) => value - (angle[i] as number));
  const free = -sumOf(left.map((value, i) => value * (omegas[i] as number))) / sumOf(omegas.map((omega) => omega * omega));
  const delayS = Math.max(0, free);
  const cost = sumOf(left.map((value, i) => (value + (omegas[i] as number) * delayS) ** 2)) + sumOf(gain.map((value, i) => (value - (data.gain[i] as number)) ** 2));
  return { cost, delayS, bounded: free < -1e-9 / (omegas.at(-1) as number) };
}

const lagGain = (omega: number, lagS: number): number => -0.5 * Math.log1p((omega * lagS) ** 2);
const lagAngle = (omega: number, lagS: number): number => -Math.atan(omega * lagS);

/** Least of a function of log x over decades, by a scan and a refinement. */
function leastOver(of: (x: number) => number, lo: number, hi: number, places: number): number {
  const at = (i: number): number => Math.log(lo) + (i * Math.log(hi / lo)) / places;
  const costs = Array.from({ length: places + 1 }, (_, i) => of(Math.exp(at(i))));
  const best = costs.indexOf(Math.min(...costs));
  return Math.exp(findMinimum((x) => of(Math.exp(x)), at(Math.max(0, best - 1)), at(Math.min(places, best + 1)), 1e-10).x);
}

function report<Model>(data: Data, model: Model, gain: readonly number[], angle: readonly number[], trial: Trial): DelayFit<Model> {
  const worst = (values: readonly number[]): number => Math.max(...values.map(Math.abs));
  return {
    model,
    from: data.omegas[0] as number,
    to: data.omegas.at(-1) as number,
    magnitudePct: 100 * worst(gain.map((value, i) => Math.expm1(value - (data.gain[i] as number)))),
    phaseDeg: (180 / Math.PI) * worst(angle.map((value, i) => value - (data.omegas[i] as number) * trial.delayS - (data.angle[i] as number))),
    note: trial.bounded ? 'the fit asked for a delay below 0; it was held at 0' : null,
  };
}

/**
 * Steady gain, taken at the lowest frequency of the response, with one lag or two equal or unequal ones, and a delay.
 * @throws RangeError when the response integrates, or its range leaves nothing to fit
 */
export function fitLag(source: FrequencyResponse, order: 1 | 2, options: FitOptions = {}): DelayFit<LagProcess> {
  const data = dataOf(source, options, 0);
  const { omegas } = data;
  const rest = Math.log(magnitude(source.at(source.from)));
  if (Math.abs(phase(scale(source.at(source.from), data.sign))) > 0.3)
    throw new RangeError('fit of lags: the response has no steady gain at its lowest frequency; fit an integrating process');
  const gains = (first: number, second: number): number[] => omegas.map((omega) => rest + lagGain(omega, first) + lagGain(omega, second));
  const angles = (first: number, second: number): number[] => omegas.map((omega) => lagAngle(omega, first) + lagAngle(omega, second));
  const trial = (first: number, second: number): Trial => withDelay(data, gains(first, second), angles(first, second));
  const [shortest, longest] = [0.01 / (omegas.at(-1) as number), 100 / (omegas[0] as number)];
  if (order === 1) {
    const lag = leastOver((first) => trial(first, 0).cost, shortest, longest, 60);
    const found = trial(lag, 0);
    return report(data, lagProcess(data.sign * Math.exp(rest), lag, found.delayS), gains(lag, 0), angles(lag, 0), found);
  }
  const ratioTo = (first: number): number => leastOver((ratio) => trial(first, first * ratio).cost, 1e-3, 1, 24);
  const first = leastOver((lag) => trial(lag, lag * ratioTo(lag)).cost, shortest, longest, 60);
  const second = first * ratioTo(first);
  const found = trial(first, second);
  const model = lagProcess(data.sign * Math.exp(rest), first, found.delayS, second);
  return report(data, model, gains(first, second), angles(first, second), found);
}

/**
 * Slope with a delay: what a slow process looks like near its crossover, whether or not it integrates in the end.
 */
export function fitIntegrating(source: FrequencyResponse, options: FitOptions = {}): DelayFit<IntegratingProcess> {
  const data = dataOf(source, options, -Math.PI / 2);
  const { omegas } = data;
  const logSlope = sumOf(data.gain.map((value, i) => value + Math.log(omegas[i] as number))) / omegas.length;
  const gains = omegas.map((omega) => logSlope - Math.log(omega));
  const angles = omegas.map(() => -Math.PI / 2);
  const found = withDelay(data, gains, angles);
  return report(data, integratingProcess(data.sign * Math.exp(logSlope), found.delayS), gains, angles, found);
}
