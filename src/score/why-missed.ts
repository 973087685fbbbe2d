/** Why a run misses its limits, or stalls: told from its trace in torque and air, a sentence each, with the time to look at. */
import type { Trace } from '../loop/trace.js';
import type { EventMetrics } from './events.js';
import type { Missed } from './limits.js';
import { at, highest, lowest, surplus } from './read.js';
import type { Scored } from './score.js';

export interface WhyMissed {
  /** Time on the trace, s. */
  readonly atS: number;
  readonly says: string;
}

/** Time after an event by which a quick loop has answered, s. */
const SOON_S = 0.3;
/** Speed above target at which a loop that closes is early, rpm; assumed. */
const EARLY_RPM = 400;

const plain = (value: number, digits = 1): string => value.toFixed(digits).replace('-', '−');
const torque = (spare: number): string => `${plain(Math.abs(spare))} N·m ${spare < 0 ? 'short' : 'ahead'}`;

/** @returns nothing where nothing is missed, or where the trace has no more to tell than the verdict says */
export function whyMissed(trace: Trace, { events, missed }: Pick<Scored, 'events' | 'missed'>): readonly WhyMissed[] {
  if (trace.stalled) return stall(trace);
  return missed.flatMap((each) => {
    const event = events.find(({ atS, name }) => atS === each.atS && name === each.event);
    return event === undefined ? [] : one(trace, each, event);
  }).sort((a, b) => a.atS - b.atS);
}

const airText = (trace: Trace): ((value: number) => string) => (trace.airUnit === '%' ? (value) => `${plain(value)} %` : (value) => `${plain(value, 0)} steps`);

/** Last time up to `atS` at which the speed fell through its target, s. */
function crossingBefore(trace: Trace, atS: number): number {
  let crossing = atS;
  for (let t = atS; t > 0 && at(trace, 'speedRpm', t) < at(trace, 'targetRpm', t); t -= trace.recordS) crossing = t;
  return crossing;
}

/** What stood ready as the speed fell through target, and whether the loop had taken it away before. */
function fell(trace: Trace, crossing: number): readonly WhyMissed[] {
  const closes = closedSince(trace, crossing);
  const above = closes === null ? 0 : at(trace, 'speedRpm', closes) - at(trace, 'targetRpm', closes);
  return [
    ...(closes !== null && above > EARLY_RPM ? [{ atS: closes, says: `The loop closed ${plain(above, 0)} rpm above target, and took air away from there on.` }] : []),
    { atS: crossing, says: `As the speed last fell through target the air stood at ${airText(trace)(at(trace, 'air', crossing))} and the manifold at ${plain(at(trace, 'mapKpa', crossing))} kPa; the crank was ${torque(surplus(trace, crossing))}.` },
  ];
}

const stall = (trace: Trace): readonly WhyMissed[] => fell(trace, crossingBefore(trace, trace.stallTimeS ?? trace.end.atS));

/** When the loop closed that is closed at a time, s; null when it is open there, or was closed from the start. */
function closedSince(trace: Trace, atS: number): number | null {
  if (at(trace, 'closed', atS) === 0) return null;
  for (let t = atS; t > 0; t -= trace.recordS) if (at(trace, 'closed', t) === 0) return t + trace.recordS;
  return null;
}

/** '' where it has not moved. */
const went = (what: string, from: string, to: string): string => (from === to ? '' : `the ${what} had gone from ${from} to ${to}`);

function one(trace: Trace, { limit, allowed }: Missed, event: EventMetrics): readonly WhyMissed[] {
  const air = airText(trace);
  const { startS, endS } = event.window;
  const last = Math.max(startS, endS - trace.recordS);
  const ends = at(trace, 'air', last);
  switch (limit) {
    case 'sagRpm': {
      const low = lowest(trace, 'speedRpm', startS, last);
      const crossing = crossingBefore(trace, low.atS);
      if (crossing > event.engagedS + SOON_S) return fell(trace, crossing);
      const soon = Math.min(low.atS, event.engagedS + SOON_S);
      const before = Math.max(0, startS - trace.recordS);
      const moved = [went('air', air(at(trace, 'air', before)), air(at(trace, 'air', soon))), went('spark', `${plain(at(trace, 'sparkDeg', before))}°`, `${plain(at(trace, 'sparkDeg', soon))}°`)].filter((text) => text !== '');
      return [{ atS: soon, says: `${plain(soon - event.engagedS)} s after ${event.name} ${moved.length === 0 ? 'neither air nor spark had moved' : moved.join(' and ')}, and the crank was ${torque(surplus(trace, soon))}.${moved.length === 0 || ends <= at(trace, 'air', soon) + 0.1 ? '' : ` The air it idles on with later is ${air(ends)}.`}` }];
    }
    case 'flareRpm': {
      const high = highest(trace, 'speedRpm', startS, last);
      return [{ atS: high.atS, says: `As the speed was highest the air stood at ${air(at(trace, 'air', high.atS))} and the manifold at ${plain(at(trace, 'mapKpa', high.atS))} kPa. In the end it idles on ${air(ends)} and ${plain(at(trace, 'mapKpa', last))} kPa.` }];
    }
    case 'settlingTimeS': {
      const due = Math.min(last, event.settlesFromS + allowed);
      const off = at(trace, 'speedRpm', due) - at(trace, 'targetRpm', due);
      return [{ atS: due, says: `When it should have settled it was ${plain(Math.abs(off), 0)} rpm ${off < 0 ? 'below' : 'above'} target, with the air at ${air(at(trace, 'air', due))}${air(at(trace, 'air', due)) === air(ends) ? ', where it stays' : ` on its way to ${air(ends)}`}.` }];
    }
    case 'huntingRpm': {
      const half = (startS + last) / 2;
      const swing = (column: 'speedRpm' | 'air' | 'sparkDeg'): number => highest(trace, column, half, last).value - lowest(trace, column, half, last).value;
      return [{ atS: half, says: `To the end the speed swings by ${plain(swing('speedRpm'), 0)} rpm, the air by ${air(swing('air'))}, the spark by ${plain(swing('sparkDeg'))}°: each answer comes when the speed has turned already.` }];
    }
    case 'valveTravelPctPerS': {
      const half = (startS + last) / 2;
      return [{ atS: half, says: `With nothing going on, the air goes up and down between ${air(lowest(trace, 'air', half, last).value)} and ${air(highest(trace, 'air', half, last).value)}.` }];
    }
    default:
      return [];
  }
}
