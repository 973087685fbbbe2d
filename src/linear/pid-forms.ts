/**
 * The three ways in which PID gains are written down, and how they turn into each other.
 *
 *     ideal     C = K (1 + 1/(Ti s) + Td s)
 *     parallel  C = Kp + Ki/s + Kd s
 *     series    C = Kc (1 + 1/(τI s)) (1 + τD s)
 *
 * Source: K. J. Åström and T. Hägglund, Advanced PID Control, 2006, section 3.2.
 */

/** Gain in unit of command per unit of error, times in s; tiS is Infinity without integral action. */
export interface IdealPid {
  readonly form: 'ideal';
  readonly k: number;
  readonly tiS: number;
  readonly tdS: number;
}
export interface ParallelPid {
  readonly form: 'parallel';
  readonly kp: number;
  readonly ki: number;
  readonly kd: number;
}
export interface SeriesPid {
  readonly form: 'series';
  readonly kc: number;
  readonly tauIS: number;
  readonly tauDS: number;
}

export const ideal = (k: number, tiS = Infinity, tdS = 0): IdealPid => ({ form: 'ideal', k, tiS, tdS });
export const seriesPid = (kc: number, tauIS = Infinity, tauDS = 0): SeriesPid => ({ form: 'series', kc, tauIS, tauDS });

export function idealOfSeries({ kc, tauIS, tauDS }: SeriesPid): IdealPid {
  const f = 1 + tauDS / tauIS;
  return ideal(kc * f, tauIS * f, tauDS / f);
}

/** The series form of an ideal one; null where there is none: complex zeros, Ti below 4 Td. */
export function seriesOfIdeal({ k, tiS, tdS }: IdealPid): SeriesPid | null {
  if (tiS === Infinity) return seriesPid(k, Infinity, tdS);
  if (tiS < 4 * tdS) return null;
  const f = (1 + Math.sqrt(1 - (4 * tdS) / tiS)) / 2;
  return seriesPid(k * f, tiS * f, tdS / f);
}

export const parallelOf = ({ k, tiS, tdS }: IdealPid): ParallelPid => ({ form: 'parallel', kp: k, ki: k / tiS, kd: k * tdS });

/** @throws RangeError where there is no proportional gain, so no ideal form */
export function idealOfParallel({ kp, ki, kd }: ParallelPid): IdealPid {
  if (kp === 0) throw new RangeError('ideal PID form: needs a proportional gain other than 0');
  return ideal(kp, ki === 0 ? Infinity : kp / ki, kd / kp);
}
