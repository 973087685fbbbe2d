/** What is tuned, and the box that is searched: each setting as a place from 0 to 1. */
import { numericKeys, type Scenario } from '../../scenario/index.js';
import type { ProcessSeen } from './process.js';
import { typed } from './rule-rows.js';

export interface Variable {
  readonly key: string;
  /** Documented unit. */
  readonly unit: string;
  readonly least: number;
  readonly most: number;
  /** Gains go as the square of their place: fine steps near 0, which is among them. */
  readonly square: boolean;
}

export const GAIN_KEYS = { kp: 'controller.pid.kp', ki: 'controller.pid.ki', kd: 'controller.pid.kd', deadBand: 'controller.pid.deadBand', rate: 'controller.spark.rate' } as const;

export type TuneTerms = 'i' | 'pi' | 'pid';

/** Gains beyond which no rule goes and no bound on sensitivity is held, from the ultimate point, or from K where there is none. */
function gainBounds({ ultimate, rpmPerAir }: ProcessSeen): { readonly kp: number; readonly ki: number; readonly kd: number } {
  const { point } = ultimate;
  if (point === null) return { kp: 3 / rpmPerAir, ki: 6 / rpmPerAir, kd: 1 / rpmPerAir };
  return { kp: point.gain, ki: (4 * point.gain) / point.periodS, kd: 0.4 * point.gain * point.periodS };
}

/**
 * The integral takes a steady load over from the trim in about 1/(ki·K): in no more than this, or the trim would hold the load
 * for good and have nothing left for the next. Assumed.
 */
const HANDOVER_S = 10;

/** Least integral worth having, air/(rpm s). */
export const leastIntegral = ({ rpmPerAir }: ProcessSeen): number => typed(1 / (HANDOVER_S * rpmPerAir));

/** Widest dead band worth trying, in what one step is worth, rpm at least. */
const DEAD_BAND_STEPS = 1.5;
const DEAD_BAND_RPM = 10;

/**
 * @param sparkMost largest spark rate, °/rpm; null where spark is not tuned
 * @param own further settings with their bounds
 */
export function variablesOf(scenario: Scenario, seen: ProcessSeen, terms: TuneTerms, stepper: boolean, sparkMost: number | null, own: readonly Variable[]): readonly Variable[] {
  const known = new Map(numericKeys(scenario).map((key) => [key.path, key]));
  const bounds = gainBounds(seen);
  const variable = (key: string, most: number): Variable => {
    const { unit = '', max = most, min = 0 } = known.get(key) ?? {};
    return { key, unit, least: Math.max(0, min), most: Math.min(max, typed(most)), square: true };
  };
  const integral = variable(GAIN_KEYS.ki, bounds.ki);
  return [
    ...(terms === 'i' ? [] : [variable(GAIN_KEYS.kp, bounds.kp)]),
    { ...integral, least: Math.min(integral.most, Math.max(integral.least, leastIntegral(seen))) },
    ...(terms === 'pid' ? [variable(GAIN_KEYS.kd, bounds.kd)] : []),
    ...(stepper ? [{ ...variable(GAIN_KEYS.deadBand, Math.max(DEAD_BAND_RPM, DEAD_BAND_STEPS * seen.rpmPerAir)), square: false }] : []),
    ...(sparkMost === null ? [] : [variable(GAIN_KEYS.rate, sparkMost)]),
    ...own,
  ];
}

/** The setting at a place, as it would be typed in: three digits. */
export function settingAt({ least, most, square }: Variable, place: number): number {
  const u = Math.min(1, Math.max(0, place));
  return Math.min(most, Math.max(least, typed(least + (most - least) * (square ? u * u : u))));
}

export function placeOf({ least, most, square }: Variable, value: number): number {
  const u = Math.min(1, Math.max(0, (value - least) / (most - least)));
  return square ? Math.sqrt(u) : u;
}
