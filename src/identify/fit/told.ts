/** What a fit tells of each parameter, and how surely. */
import type { Anchors } from './anchor.js';
import { type Fitted, type Knob, knobValue } from './knobs.js';
import type { LeastSquaresFit } from './least-squares.js';

/**
 * pinned   the 95 % interval is within ± 5 % (a shift: ± 5 % of what matters of it)
 * told     the log halves at least what was not known before, but leaves more than ± 5 %
 * prior    it does not: the value is the file's, more or less
 * held     nothing in the log moves it, or it is the anchor
 */
export type Verdict = 'pinned' | 'told' | 'prior' | 'held';

export interface Told {
  readonly key: string;
  readonly name: string;
  readonly unit: string;
  /** In the documented unit: as in the file, as fitted, and the ends of the 95 % interval; null where it was held. */
  readonly prior: number;
  readonly value: number;
  readonly low: number | null;
  readonly high: number | null;
  readonly verdict: Verdict;
  /** Whether the log excites it: of its prior variance, the part that the log takes away is three quarters or more. */
  readonly excited: boolean;
  /** That part, 0 … 1. */
  readonly taken: number;
  readonly reason: string | null;
  /** Parameters that it goes with, |r| above 0.9. */
  readonly goesWith: readonly { readonly key: string; readonly correlation: number }[];
}

const Z = 1.959964;
/** Student's t of 97.5 % by its expansion about the normal: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 26.7.5. */
export const student = (degrees: number): number =>
  Z + (Z ** 3 + Z) / (4 * degrees) + (5 * Z ** 5 + 16 * Z ** 3 + 3 * Z) / (96 * degrees ** 2) + (3 * Z ** 7 + 19 * Z ** 5 + 17 * Z ** 3 - 15 * Z) / (384 * degrees ** 3);
const PINNED = 0.05;
const TAKEN = 0.75;
const GOES_WITH = 0.9;

export function toldOf(knobs: readonly Knob[], base: Fitted, least: LeastSquaresFit, holding: ReadonlyMap<string, string>, anchors: Anchors): readonly Told[] {
  const { freeNames, covariance } = least;
  const t = student(Math.max(1, (least.blocks ?? Number.POSITIVE_INFINITY) - 1));
  return knobs.map((knob, i): Told => {
    const { key, name, unit, kind } = knob;
    const prior = knob.get(base);
    const value = knobValue(knob, prior, least.values[i]!);
    const spread = least.parameters[i]!;
    const none = (verdict: Verdict, reason: string): Told => ({ key, name, unit, prior, value, low: null, high: null, verdict, excited: false, taken: 0, reason, goesWith: [] });
    if (anchors.held.has(key)) return none('held', 'the anchor');
    const held = holding.get(key);
    if (held !== undefined) return none('held', held);
    if (spread.sd === null) return none('prior', spread.reason ?? '');
    const { sd } = spread;
    const [low, high] = [knobValue(knob, prior, least.values[i]! - t * sd), knobValue(knob, prior, least.values[i]! + t * sd)];
    const taken = Math.max(0, 1 - (sd / knob.sd) ** 2);
    const half = kind === 'scale' ? t * sd : (t * sd) / (Math.abs(value) || knob.sd);
    const excited = taken >= TAKEN;
    const at = freeNames.indexOf(key);
    const goesWith = knobs.flatMap((other) => {
      const to = freeNames.indexOf(other.key);
      if (to < 0 || to === at) return [];
      const correlation = covariance.get(at, to) / Math.sqrt(covariance.get(at, at) * covariance.get(to, to));
      return Math.abs(correlation) > GOES_WITH ? [{ key: other.key, correlation }] : [];
    });
    return {
      key, name, unit, prior, value, low, high, excited, taken, goesWith,
      verdict: !excited ? 'prior' : half <= PINNED ? 'pinned' : 'told',
      reason: excited ? null : 'the log hardly tells it: more or less what the file says',
    };
  });
}
