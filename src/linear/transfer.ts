/** Transfer functions in s or z, with delay, as frequency responses. */
import { type Complex, complex, divide, magnitude, multiply, phase, scale, turn } from './complex.js';
import { type Polynomial, product, rootsOf, sum, trimmed, evaluated } from './polynomial.js';
import type { FrequencyResponse } from './response.js';

/** Numerator over denominator in s, or in z where there is a sampling period, times a pure delay. */
export interface Transfer extends FrequencyResponse {
  readonly numerator: Polynomial;
  readonly denominator: Polynomial;
  /** Pure delay, s; of a sampled one a whole number of periods. */
  readonly delayS: number;
}

export interface TransferOptions {
  readonly delayS?: number;
  /** Sampling period, s: the polynomials are in z. */
  readonly periodS?: number | null;
}

/** Decades that a response is shown below its lowest and above its highest corner. */
const DECADES = 3;

/** Least corner of a sampled one, rad a period: a double pole at z = 1 comes out of the root finder 1e-8 off. */
const LEAST_PER_PERIOD = 1e-6;

/** Corner frequencies of poles or zeros, rad/s; those at s = 0 or z = 1, and at z = 0, have none. */
function corners(roots: readonly Complex[], periodS: number | null): number[] {
  if (periodS === null) return roots.map(magnitude).filter((omega) => omega > 0);
  const inPeriods = roots.map((z) => Math.hypot(Math.log(magnitude(z)), phase(z)));
  return inPeriods.filter((omega) => omega > LEAST_PER_PERIOD && Number.isFinite(omega)).map((omega) => omega / periodS);
}

function rangeOf(numerator: Polynomial, denominator: Polynomial, delayS: number, periodS: number | null): readonly [number, number] {
  const gain = Math.abs((numerator.at(-1) as number) / (denominator.at(-1) as number));
  const found = [...corners(rootsOf(denominator), periodS), ...(trimmed(numerator)[0] === 0 ? [] : corners(rootsOf(numerator), periodS))];
  // A delay that would only show at a billion times the highest corner shows nowhere.
  if (1 / delayS <= Math.max(...found, 1e-300) * 1e9 || (found.length === 0 && delayS > 1e-300)) found.push(1 / delayS);
  if (found.length === 0) found.push(Number.isFinite(gain) && gain > 0 ? gain : 1);
  const top = periodS === null ? Infinity : Math.PI / periodS;
  const lowest = Math.min(...found, top);
  return [lowest * 10 ** -DECADES, periodS === null ? Math.max(...found) * 10 ** (delayS > 0 ? 2 : DECADES) : top];
}

/**
 * @param numerator, denominator coefficients, highest power first
 * @throws RangeError when the denominator is 0, a number is not finite, or a sampled delay is not whole periods
 */
export function transfer(numerator: Polynomial, denominator: Polynomial, options: TransferOptions = {}): Transfer {
  const { delayS = 0, periodS = null } = options;
  const [over, under] = [trimmed(numerator), trimmed(denominator)];
  if (![...over, ...under].every(Number.isFinite)) throw new RangeError('transfer function: coefficients must be finite');
  if (under.length === 1 && under[0] === 0) throw new RangeError('transfer function: the denominator is 0');
  if (!(delayS >= 0 && Number.isFinite(delayS))) throw new RangeError(`transfer function: delay ${delayS} s is not 0 or more`);
  if (periodS !== null && !(periodS > 0 && Number.isFinite(periodS))) throw new RangeError(`transfer function: period ${periodS} s is not above 0`);
  if (periodS !== null && Math.abs(delayS / periodS - Math.round(delayS / periodS)) > 1e-9)
    throw new RangeError(`transfer function: a delay of ${delayS} s is not whole periods of ${periodS} s; holdEquivalent takes any`);
  const [from, to] = rangeOf(over, under, delayS, periodS);
  return {
    numerator: over,
    denominator: under,
    delayS,
    periodS,
    from,
    to,
    at(omega) {
      const x = periodS === null ? complex(0, omega) : turn(omega * periodS);
      const rational = divide(evaluated(over, x), evaluated(under, x));
      return delayS === 0 ? rational : multiply(rational, turn(-omega * delayS));
    },
  };
}

function commonPeriod(parts: readonly FrequencyResponse[]): number | null {
  const periods = [...new Set(parts.map((part) => part.periodS))];
  if (periods.length > 1)
    throw new RangeError(`series: sampling periods ${periods.map((period) => (period === null ? 'none' : `${period} s`)).join(' and ')} do not go together; use holdEquivalent for what is continuous`);
  return periods[0] ?? null;
}

/** Product of frequency responses of one kind, or of one sampling period. */
export function series(...parts: readonly FrequencyResponse[]): FrequencyResponse {
  const periodS = commonPeriod(parts);
  return {
    periodS,
    from: Math.min(...parts.map((part) => part.from)),
    to: Math.max(...parts.map((part) => part.to)),
    at: (omega) => parts.map((part) => part.at(omega)).reduce(multiply, complex(1)),
  };
}

/** Product of transfer functions; common factors stay. */
export function seriesOf(...parts: readonly Transfer[]): Transfer {
  const periodS = commonPeriod(parts);
  const delayS = parts.reduce((total, part) => total + part.delayS, 0);
  return transfer(product(...parts.map((part) => part.numerator)), product(...parts.map((part) => part.denominator)), { delayS, periodS });
}

export const times = (gain: number, part: FrequencyResponse): FrequencyResponse => ({
  ...part,
  at: (omega) => scale(part.at(omega), gain),
});

/** Poles of the transfer function; a sampled delay's, all at z = 0, included. */
export const polesOf = (of: Transfer): Complex[] => rootsOf(withDelay(of));
export const zerosOf = (of: Transfer): Complex[] => rootsOf(of.numerator);

/** Denominator with a sampled delay in it. */
function withDelay({ denominator, delayS, periodS }: Transfer): Polynomial {
  if (delayS > 0 && periodS === null) throw new RangeError('poles: a continuous delay has poles without end; use marginsOf');
  return periodS === null ? denominator : [...denominator, ...new Array<number>(Math.round(delayS / periodS)).fill(0)];
}

/**
 * Poles of 1 + L.
 * @throws RangeError for a continuous loop with delay
 */
export const closedLoopPoles = (loop: Transfer): Complex[] => rootsOf(sum(withDelay(loop), loop.numerator));

/** Whether a pole grows: right of the axis, or outside the unit circle, by more than `tolerance` (of a period when sampled). */
export function grows(pole: Complex, periodS: number | null, tolerance = 0): boolean {
  return periodS === null ? pole.re > tolerance : magnitude(pole) > 1 + tolerance;
}
