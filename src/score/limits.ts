/**
 * Limits that a run missed: those it broke, and those that could not be told, which are not kept for want of a number.
 *
 * A metric that is absent keeps a limit where the reason says that there is nothing of it, or that it cannot be in such a
 * window (no target step, the foot down to the end). Where a window was over too soon, another that tells makes up for it.
 */
import type { EventMetrics } from './events.js';
import type { Limits, Scoring } from './parameters.js';
import { absence } from './reasons.js';
import { unsettled } from './worst.js';

export type LimitName = keyof Limits;

/** A limit that was broken, at its worst. */
export interface Missed {
  readonly limit: LimitName;
  /** What was measured; null when it never came to a number (the speed did not settle). */
  readonly value: number | null;
  readonly allowed: number;
  readonly atS: number;
  readonly event: string;
  /** Why it could not be told whether the limit is kept; not there when it was broken. */
  readonly untold?: string;
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

/** Whether an event tells that a limit is kept, given that it does not break it. */
function tells(event: EventMetrics, limit: LimitName, allowed: number): 'kept' | 'too soon' | 'untold' {
  if (event[limit] !== null) return 'kept';
  if (limit === 'settlingTimeS') return unsettled(event) && event.outsideUntilS > 0 ? 'too soon' : 'kept';
  const told = absence(event.reasons[limit]);
  return limit === 'huntingRpm' && told === 'untold' && event.mostHuntingRpm <= allowed ? 'kept' : told;
}

/** The event for which it could not be told whether a limit is kept, or null. */
function untoldIn(events: readonly EventMetrics[], limit: LimitName, allowed: number): EventMetrics | null {
  const told = events.map((event) => tells(event, limit, allowed));
  const first = told.indexOf('untold');
  if (first >= 0) return events[first] as EventMetrics;
  return told.includes('kept') ? null : (events[0] ?? null);
}

/**
 * The limits that these events broke or leave open, each once, at the event that broke it most; in the order of the limits.
 *
 * @param quiet a stretch beside the events whose numbers count, and whose absences do not
 */
export function missedLimits(
  events: readonly EventMetrics[], limits: Limits, scoring: Scoring, quiet: EventMetrics | null = null,
): readonly Missed[] {
  const missed: Missed[] = [];
  for (const limit of Object.keys(limits) as LimitName[]) {
    const allowed = limits[limit];
    if (allowed === null) continue;
    let worst: EventMetrics | null = null;
    let by = 0;
    for (const event of quiet === null || quiet[limit] === null ? events : [quiet, ...events]) {
      const over = excess(event, limit, allowed, scoring);
      if (over > by) [worst, by] = [event, over];
    }
    const open = worst === null ? untoldIn(events, limit, allowed) : null;
    if (worst !== null) missed.push({ limit, value: worst[limit], allowed, atS: worst.atS, event: worst.name });
    else if (open !== null) {
      missed.push({ limit, value: null, allowed, atS: open.atS, event: open.name, untold: open.reasons[limit] ?? 'absent' });
    }
  }
  return missed;
}
