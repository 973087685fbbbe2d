/** Metrics of a whole run: the worst of its events; steady running also from the stretch before the first event. */
import type { EventMetrics } from './events.js';
import { METRICS, type MetricName, type Metrics } from './metrics.js';

/** Metrics that the stretch before the first event counts for as well. */
const STEADY: ReadonlySet<MetricName> = new Set([
  'stallMarginRpm', 'stallMarginPct', 'lowestRpm', 'lowestAtS', 'huntingRpm', 'huntingHz', 'valveTravelPctPerS', 'sparkActivityDeg',
]);
const LOWER_IS_WORSE: ReadonlySet<MetricName> = new Set(['stallMarginRpm', 'stallMarginPct', 'lowestRpm']);
/** Metrics that go with another one's worst event. */
const WITH: Readonly<Partial<Record<MetricName, MetricName>>> = { lowestAtS: 'lowestRpm', huntingHz: 'huntingRpm' };

/** The event in which a metric is worst, or null when it exists in none. */
export function worstBy(events: readonly EventMetrics[], name: MetricName): EventMetrics | null {
  const sign = LOWER_IS_WORSE.has(name) ? -1 : 1;
  let worst: EventMetrics | null = null;
  for (const event of events) {
    const value = event[name];
    if (value !== null && (worst === null || sign * value > sign * (worst[name] as number))) worst = event;
  }
  return worst;
}

/** True of an event in which the speed was left to settle, and did not. With the foot down to the end, there was nothing to. */
export const unsettled = (event: EventMetrics): boolean => event.settlingTimeS === null && event.settlesFromS < event.window.endS;

/** True of a stretch that must be judged though nothing was done in it: it leaves the band, sags or flares by more than that. */
export const rough = (event: EventMetrics, bandRpm: number): boolean =>
  event.sagRpm !== null && (event.sagRpm > bandRpm || (event.flareRpm ?? 0) > bandRpm || (unsettled(event) && event.outsideUntilS > 0));

/** Worst values of events, and of the lead-in where there is one. A run in which one event never settled has no settling time. */
export function worstMetrics(events: readonly EventMetrics[], leadIn: EventMetrics | null): Metrics {
  const reasons: Partial<Record<MetricName, string>> = {};
  const values = METRICS.map((name): [MetricName, number | null] => {
    const among = leadIn !== null && STEADY.has(name) ? [leadIn, ...events] : events;
    const never = name === 'settlingTimeS' ? among.find(unsettled) : undefined;
    // the reason that an event gives says more than that of the quiet before it
    const without = never ?? [...events, ...among].find((event) => event[name] === null);
    const worst = never === undefined ? worstBy(among, WITH[name] ?? name) : null;
    if (worst === null && without !== undefined) reasons[name] = `${without.name}: ${without.reasons[name] ?? 'absent'}`;
    return [name, worst === null ? null : worst[name]];
  });
  return { ...(Object.fromEntries(values) as Record<MetricName, number | null>), reasons };
}
