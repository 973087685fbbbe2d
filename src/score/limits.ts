/** Limits that a run missed. */
import type { EventMetrics } from './events.js';
import type { Limits, Scoring } from './parameters.js';

export type LimitName = keyof Limits;

/** A limit that was broken, at its worst. */
export interface Missed {
  readonly limit: LimitName;
  /** What was measured; null when it never came to a number (the speed did not settle). */
  readonly value: number | null;
  readonly allowed: number;
  readonly atS: number;
  readonly event: string;
}

/** By how much an event breaks a limit; 0 or less when it keeps it or there is nothing to judge. */
function excess(event: EventMetrics, limit: LimitName, allowed: number, scoring: Scoring): number {
  const value = event[limit];
  if (limit === 'stallMarginRpm') return value === null ? 0 : allowed - value;
  if (value !== null) return value - allowed;
  if (limit !== 'settlingTimeS') return 0;
  // Not settled (outside until 0 where the driver left nothing to settle): broken by a stall, by being outside too late, or by not holding though there was time enough for it.
  if (event.window.stalled) return Number.POSITIVE_INFINITY;
  const seenS = event.window.endS - event.settlesFromS;
  return Math.max(event.outsideUntilS - allowed, event.outsideUntilS > 0 ? seenS - allowed - scoring.settlingHoldS : 0);
}

/** The limits that these events broke, each once, at the event that broke it most; in the order of the limits. */
export function missedLimits(events: readonly EventMetrics[], limits: Limits, scoring: Scoring): readonly Missed[] {
  const missed: Missed[] = [];
  for (const limit of Object.keys(limits) as LimitName[]) {
    const allowed = limits[limit];
    if (allowed === null) continue;
    let worst: EventMetrics | null = null;
    let by = 0;
    for (const event of events) {
      const over = excess(event, limit, allowed, scoring);
      if (over > by) [worst, by] = [event, over];
    }
    if (worst !== null) missed.push({ limit, value: worst[limit], allowed, atS: worst.atS, event: worst.name });
  }
  return missed;
}
