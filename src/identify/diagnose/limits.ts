/**
 * What an idle may do before it counts as a symptom. Where a scenario states a limit of its own, that is taken.
 * The values are tickover's own, assumed: about what a driver notices.
 */
import type { Limits } from '../../score/index.js';

export interface SymptomLimits {
  /** Peak to peak of a sustained oscillation, rpm. */
  readonly huntingRpm: number;
  /** Below target and above it, when a load comes or goes that the controller knows of, rpm. */
  readonly sagRpm: number;
  readonly flareRpm: number;
  /** Below target after the throttle shuts, the clutch opens, or the engine has caught, rpm. */
  readonly undershootRpm: number;
  /** Above target after a start, rpm; and the area above target once the first second and a half is over, rpm·s: every start flares, a good one briefly. */
  readonly startFlareRpm: number;
  readonly startAreaRpmS: number;
  /** Time within ±25 rpm again, s; on the way down from a free-rev, s; above target, not coming down, s. */
  readonly settlingS: number;
  readonly hangS: number;
  /** Error that lasts, rpm. */
  readonly offsetRpm: number;
  /** Starter until the engine catches, s. */
  readonly crankingS: number;
}

export const SYMPTOM_LIMITS: SymptomLimits = {
  huntingRpm: 32, sagRpm: 120, flareRpm: 150, undershootRpm: 150, startFlareRpm: 1100, startAreaRpmS: 420, settlingS: 6,
  hangS: 2.5, offsetRpm: 25, crankingS: 3,
};

/** Those of a scenario in place of ours, where it states them. */
export function limitsFrom(stated: Partial<Limits> | null): SymptomLimits {
  if (stated === null) return SYMPTOM_LIMITS;
  const { huntingRpm, sagRpm, flareRpm, settlingTimeS } = stated;
  return {
    ...SYMPTOM_LIMITS,
    ...(huntingRpm == null ? {} : { huntingRpm }),
    ...(sagRpm == null ? {} : { sagRpm, undershootRpm: sagRpm }),
    ...(flareRpm == null ? (sagRpm == null ? {} : { flareRpm: Math.max(sagRpm, SYMPTOM_LIMITS.flareRpm) }) : { flareRpm }),
    ...(settlingTimeS == null ? {} : { settlingS: settlingTimeS }),
  };
}
