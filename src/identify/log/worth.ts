/**
 * How much a part of a log tells of an idle, for a log of which only parts can be kept: its seconds of idling, for each
 * event of the kind that an idle is judged by as many seconds as one needs, and for each degree of a warm-up some. Speeds, seconds and weights are ours.
 */
import type { Series } from './series.js';

/** Running; at the most an idle; the starter at the most, rpm. */
const [RUNS, IDLES, CRANKS] = [400, 1_500, 300];
/** Above the shut throttle, %. */
const SHUT_PCT = 2;
/** What an event is worth, s: what leads to it and what the loop makes of it. */
const [EVENT_S, START_S] = [20, 60];
/** What a degree of the coolant's range is worth, s: a warm-up comes but once. */
const WARMS_S = 5;
/** Rows further apart are a gap, in which nothing is known, s. */
const GAP_S = 5;
/** Worths as near as this are equal, s. */
const GRAIN = 10;

export interface Seen {
  /** Speed as logged, and what makes rpm of it. */
  readonly speed: Series;
  readonly slope: number;
  readonly throttle: Series | null;
  readonly coolant: Series | null;
  readonly switches: readonly Series[];
}

/** Reads a series as of a time; times must not fall. */
function follower({ length, timeS, values }: Series): (t: number) => number {
  let k = -1;
  return (t) => {
    while (k + 1 < length && (timeS[k + 1] as number) <= t) k++;
    return k < 0 ? Number.NaN : (values[k] as number);
  };
}

/** The middle nine tenths of a series, from some of its values. */
function rangeOf({ length, values }: Series): readonly [number, number] {
  const every = Math.ceil(length / 400);
  const some = Float64Array.from({ length: Math.floor(length / every) }, (_, k) => values[k * every] as number).sort();
  return [some[Math.floor(some.length / 20)] ?? 0, some[Math.floor(0.95 * some.length)] ?? 0];
}

/** Seconds' worth, in steps of ten. */
export function worthOf({ speed, slope, throttle, coolant, switches }: Seen): number {
  const pedal = throttle === null ? null : follower(throttle);
  const states = switches.map((s) => ({ at: follower(s), was: Number.NaN }));
  const shut = throttle === null ? 0 : rangeOf(throttle)[0]; // a dropped reading is not taken for shut
  const [cold, warm] = coolant === null ? [0, 0] : rangeOf(coolant);
  let worth = WARMS_S * (warm - cold);
  let was: 'stands' | 'idles' | 'driven' | null = null as 'stands' | 'idles' | 'driven' | null;
  for (let k = 0; k < speed.length; k++) {
    const t = speed.timeS[k] as number;
    const rpm = (speed.values[k] as number) * slope;
    const open = pedal !== null && pedal(t) > shut + SHUT_PCT;
    const is: typeof was = rpm < CRANKS ? 'stands' : rpm < RUNS && was === 'stands' ? 'stands' : open || rpm > IDLES ? 'driven' : 'idles';
    const step = k === 0 ? 0 : t - (speed.timeS[k - 1] as number);
    if (is === 'idles' && step < GAP_S) worth += step;
    if (was === 'stands' && is !== 'stands') worth += START_S;
    if ((was === 'driven' && is === 'idles') || (was === 'idles' && is === 'stands')) worth += EVENT_S;
    for (const state of states) {
      const now = state.at(t);
      if (now !== state.was && is === 'idles' && !Number.isNaN(state.was) && !Number.isNaN(now)) worth += EVENT_S;
      state.was = now;
    }
    was = is;
  }
  return Math.round(worth / GRAIN) * GRAIN;
}
