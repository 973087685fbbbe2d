/**
 * exp, log, pow, sin and cos from + − × ÷ alone, so that a run has the same bits in every engine and browser, which
 * `Math.exp` and the rest do not promise.
 *
 * Each reduces its argument exactly, or to far more than working precision (after W. J. Cody and W. Waite, Software
 * Manual for the Elementary Functions, 1980), sums a Taylor series of the reduced one, and puts the result together so
 * that only the last addition rounds at full size. In the proofs of the bounds u = 2⁻⁵³ is the unit roundoff, "remainder"
 * is the series cut off, and "rounding" the sum of the roundings, each with its weight in the result. Tests hold every
 * bound against 64-digit arithmetic.
 *
 * Special values give what `Math`'s functions give, but for what the docstrings say.
 */
import { exponentOf, productRest, scale, sumRest } from './bits.js';

/** ln 2 as a sum: the first with 33 bits, so that its product with an exponent is exact. */
const LN2_HIGH = 0.6931471803691238;
const LN2_LOW = 1.9082149292705877e-10;
const PER_LN2 = Math.LOG2E;

/** π/2 as a sum: the first three with 33 bits each, so that their products with n < 2²⁰ are exact. */
const QUARTER_1 = 1.5707963267341256;
const QUARTER_2 = 6.077100506303966e-11;
const QUARTER_3 = 2.0222662487111665e-21;
const QUARTER_4 = 8.4784276603688996e-32;
const PER_QUARTER = 0.6366197723675814;

/** Largest angle that `sin` and `cos` take, rad. */
export const LARGEST_ANGLE = 1.6e6;

/**
 * eˣ. Relative error below 2.2e-16 where the result is normal; where it is subnormal, half its spacing more.
 *
 * x = k·ln 2 + r, |r| < 0.34658, e^r = 1 + s, s = r + r²q. Remainder after r¹³: 1.03·r¹⁴/14! < 4.3e-18, 0.06 u of the
 * result. Rounding for r > 0, where the result is ≥ 1: the last addition u; s < 0.4143 u; r²q < 0.068, five roundings
 * (two of r) 0.35 u, and its sum with the rest 0.07 u: 1.84 u. For r < 0, where the result is ≥ 0.7071 and is rounded by
 * u/2: (0.5 + 0.293 + 0.28 + 0.06) u/0.7071 = 1.6 u. Together below 1.9 u = 2.11e-16.
 */
export function exp(x: number): number {
  return expOfSum(x, 0);
}

/** e^(x + rest), |rest| < 1e-12. */
function expOfSum(x: number, rest: number): number {
  if (x > 710) return Infinity;
  if (x < -746) return 0;
  if (Number.isNaN(x)) return x;
  const k = Math.floor(x * PER_LN2 + 0.5);
  const high = x - k * LN2_HIGH; // exact, product and difference
  const low = k * LN2_LOW - rest;
  const r = high - low;
  // biome-ignore format: the series reads better in rows
  const q = 1 / 2 + r * (1 / 6 + r * (1 / 24 + r * (1 / 120 + r * (1 / 720 + r * (1 / 5040 + r * (1 / 40320 +
    r * (1 / 362880 + r * (1 / 3628800 + r * (1 / 39916800 + r * (1 / 479001600 + r * (1 / 6227020800)))))))))));
  return scale(1 + (high + (r * r * q - low)), k);
}

/**
 * Natural logarithm. Relative error below 3.3e-16; below 2.1e-16 for 0.7071067 < x < 1.4142137.
 *
 * x = 2ᵏm with m in that range, f = m − 1 (exact), s = f/(2 + f), log m = 2 artanh s = f − t, t = h − s(h + R), h = f²/2,
 * R = 2(s²/3 + s⁴/5 + … + s²⁰/21); |s| < 0.17158. Remainder: 1.04·s²²/23 < 6.5e-19 of log m, 0.01 u.
 * Rounding for k = 0, in parts of |log m|: the last subtraction u; t ≤ 0.196 u; h ≤ 0.25 u; s(h + R) ≤ 0.052, six
 * roundings, 0.32 u: 1.8 u. For k ≠ 0, where |log x| > 0.3465: the last subtraction u; f − t, 0.3466 u; t and its parts
 * 0.27 u; k·LN2_LOW nothing: u + 0.62 u/0.3465 < 2.9 u.
 */
export function log(x: number): number {
  if (!(x > 0)) return x === 0 ? -Infinity : NaN;
  if (x === Infinity) return x;
  const k = exponentOf(x);
  const f = scale(x, -k) - 1;
  const h = 0.5 * f * f;
  const s = f / (2 + f);
  const z = s * s;
  // biome-ignore format: the series reads better in rows
  const R = z * (2 / 3 + z * (2 / 5 + z * (2 / 7 + z * (2 / 9 + z * (2 / 11 + z * (2 / 13 + z * (2 / 15 + z * (2 / 17 +
    z * (2 / 19 + z * (2 / 21))))))))));
  return k * LN2_HIGH - (h - (s * (h + R) + k * LN2_LOW) - f);
}

/**
 * x to the power y, for x ≥ 0; −0 counts as 0, and x < 0 gives NaN but for y = 0. Relative error below 2.8e-16 where the
 * result is normal; where it is subnormal, half its spacing more.
 *
 * log x is worked out as a sum of two doubles (series as in `log`, to s²⁴/25: remainder 2⁻⁷⁰). All of it is carried in
 * pairs but Q = 1/5 + s²/7 + …, whose rounding, 0.42 u, weighs s⁴ < 8.7e-4 in the result: relative error of the
 * logarithm below 2⁻⁶⁴. Times y, at most 746 where the power is neither 0 nor infinite, that is 746·2⁻⁶⁴ < 4.1e-17
 * absolute in the exponent, so as much relative in the power; exp adds 2.2e-16.
 */
export function pow(x: number, y: number): number {
  if (y === 0) return 1;
  if (!(x >= 0) || Number.isNaN(y)) return NaN;
  if (x === 1) return y === Infinity || y === -Infinity ? NaN : 1;
  if (x === 0 || x === Infinity || y === Infinity || y === -Infinity) return x > 1 === y > 0 ? Infinity : 0;
  if (y === 1) return x;

  const k = exponentOf(x);
  const f = scale(x, -k) - 1;
  // s = f/(2 + f)
  const d = 2 + f;
  const dRest = f - (d - 2);
  const s = f / d;
  const sd = s * d;
  const sRest = (f - sd - productRest(s, d, sd) - s * dRest) / d;
  // z = s²
  const z = s * s;
  const zRest = productRest(s, s, z) + 2 * s * sRest;
  // biome-ignore format: the series reads better in rows
  const Q = 1 / 5 + z * (1 / 7 + z * (1 / 9 + z * (1 / 11 + z * (1 / 13 + z * (1 / 15 + z * (1 / 17 + z * (1 / 19 +
    z * (1 / 21 + z * (1 / 23 + z * (1 / 25))))))))));
  // c = 1/3 + zQ; the double nearest 1/3 falls short of it by 2⁻⁵⁴/3
  const zQ = z * Q;
  const c = 1 / 3 + zQ;
  const cRest = zQ - (c - 1 / 3) + (productRest(z, Q, zQ) + zRest * Q + 1 / 3 / 18014398509481984);
  // a = s + szc, half the logarithm of m
  const zc = z * c;
  const zcRest = productRest(z, c, zc) + (z * cRest + zRest * c);
  const szc = s * zc;
  const szcRest = productRest(s, zc, szc) + (s * zcRest + sRest * zc);
  const a = s + szc;
  const aRest = szc - (a - s) + (sRest + szcRest);
  // log x = k·ln 2 + 2a
  const whole = k * LN2_HIGH;
  const logX = whole + 2 * a;
  const logRest = 2 * a - (logX - whole) + (k * LN2_LOW + 2 * aRest);

  const product = y * logX;
  if (product > 710) return Infinity;
  if (product < -746) return 0;
  return expOfSum(product, productRest(y, logX, product) + y * logRest);
}

/**
 * Sine, x in rad, |x| ≤ 1.6e6. Relative error below 2e-16, close to its zeros too.
 *
 * x = n·π/2 + r, |r| ≤ π/4, r as a sum of two doubles wrong by at most 2⁻¹⁰⁵|r| + 2⁻¹³⁵. No double in the range but 0
 * lies closer to a multiple of π/2 than 2⁻⁶¹ (counted through all n; n = 29 is the worst), so that is nothing.
 * Sine of r, to r¹⁷: remainder r¹⁹/19! < 1.2e-19 of it. Rounding, in parts of it: the last addition u; r³S ≤ 0.111, five
 * roundings, 0.56 u; the rest's factor 0.02 u: 1.6 u = 1.8e-16. Cosine of r, to r¹⁶: remainder r¹⁸/18! < 2.1e-18.
 * Rounding: the last addition u/2; r²/2 0.31 u; r⁴C 0.06 u; over 0.7071: 1.3 u.
 * @throws RangeError beyond 1.6e6 rad: take whole turns off first
 */
export function sin(x: number): number {
  return x === 0 ? x : sineOf(x, 0);
}

/** Cosine, x in rad, |x| ≤ 1.6e6. Relative error below 2e-16, close to its zeros too; see `sin`. */
export function cos(x: number): number {
  return sineOf(x, 1);
}

/** sin(x + quarters·π/2) */
function sineOf(x: number, quarters: number): number {
  if (!(Math.abs(x) <= LARGEST_ANGLE)) {
    if (!Number.isFinite(x)) return NaN;
    throw new RangeError(`sine or cosine: takes up to ${LARGEST_ANGLE} rad; given ${x}`);
  }
  const n = Math.floor(x * PER_QUARTER + 0.5);
  const first = x - n * QUARTER_1; // exact, product and difference
  const second = first - n * QUARTER_2;
  const third = second - n * QUARTER_3;
  const lost = sumRest(first, -n * QUARTER_2, second) + sumRest(second, -n * QUARTER_3, third) - n * QUARTER_4;
  const r = third + lost;
  const rest = lost - (r - third);
  const quadrant = (n + quarters) & 3;
  const y = (quadrant & 1) === 0 ? sineNearZero(r, rest) : cosineNearZero(r, rest);
  return (quadrant & 2) === 0 ? y : -y;
}

function sineNearZero(r: number, rest: number): number {
  const z = r * r;
  // biome-ignore format: the series reads better in rows
  const S = -1 / 6 + z * (1 / 120 + z * (-1 / 5040 + z * (1 / 362880 + z * (-1 / 39916800 + z * (1 / 6227020800 +
    z * (-1 / 1307674368000 + z * (1 / 355687428096000)))))));
  return r + (r * z * S + rest * (1 - 0.5 * z));
}

function cosineNearZero(r: number, rest: number): number {
  const z = r * r;
  // biome-ignore format: the series reads better in rows
  const C = 1 / 24 + z * (-1 / 720 + z * (1 / 40320 + z * (-1 / 3628800 + z * (1 / 479001600 + z * (-1 / 87178291200 +
    z * (1 / 20922789888000))))));
  const half = 0.5 * z;
  const w = 1 - half;
  return w + (1 - w - half + (z * z * C - r * rest));
}
