/**
 * A log on an even grid of time.
 *
 *     readings closer than the grid      the mean of those within half a period on either side
 *     otherwise                          straight between the two on either side
 *     a channel that repeats readings    straight between its true ones (refresh.ts)
 *     a switch                           as last read
 *
 * Nothing is made up across a gap longer than the channel's limit, or across a place where the clock was put back: where the
 * gap is in a required channel a stretch ends there; in another, its values are unknown.
 */
import { type ChannelName, kindOf } from './channels.js';
import type { Channel, Gap, Log } from './log.js';
import { periodOf, trueReadings } from './refresh.js';

export interface ResampledColumn {
  readonly unit: string;
  /** One a row; NaN where `known` is 0. */
  readonly values: Float64Array;
  /** 1 where there is a value; null when there is one in every row. */
  readonly known: Uint8Array | null;
}

export interface Stretch {
  /** Time of row k is (first + k) × periodS. */
  readonly first: number;
  readonly rows: number;
  readonly startS: number;
  readonly columns: ReadonlyMap<ChannelName, ResampledColumn>;
}

export interface Resampled {
  readonly periodS: number;
  readonly stretches: readonly Stretch[];
  /** Parts of the log that are in no stretch, with why. */
  readonly left: readonly (Gap & { readonly because: string })[];
}

export interface ResampleOptions {
  /** Channels without which there is no stretch; ['speed']. */
  readonly required?: readonly ChannelName[];
  /** Shortest stretch, s; 2. */
  readonly shortestS?: number;
}

interface Readings {
  readonly channel: Channel;
  readonly timeS: Float64Array;
  readonly values: Float64Array;
  /** Longest gap bridged, s. */
  readonly limitS: number;
  readonly mean: boolean;
}

function readingsOf(channel: Channel, periodS: number): Readings {
  const { refreshS, timeS, values } = channel;
  const read = refreshS !== null ? trueReadings(timeS, values, refreshS) : { timeS, values };
  const step = periodOf(timeS);
  const limitS = Math.max(kindOf(channel.name).bridgeS, 3 * (refreshS ?? (step || 0)));
  return { channel, ...read, limitS, mean: !channel.switch && refreshS === null && step < periodS / 1.5 };
}

/** Spans without a gap or a break within: of rows, since a held channel is there while it repeats itself. */
function spansOf({ channel: { timeS }, limitS }: Readings, breaks: readonly number[]): Gap[] {
  const spans: { fromS: number; toS: number }[] = [];
  let next = 0;
  timeS.forEach((t, k) => {
    const before = k === 0 ? Number.NEGATIVE_INFINITY : (timeS[k - 1] as number);
    let broken = false;
    for (; next < breaks.length && (breaks[next] as number) <= t; next++) broken ||= (breaks[next] as number) > before;
    if (k === 0 || broken || t - before > limitS) spans.push({ fromS: t, toS: t });
    else (spans.at(-1) as { toS: number }).toS = t;
  });
  return spans;
}

/** Where both hold. */
function both(a: readonly Gap[], b: readonly Gap[]): Gap[] {
  return a.flatMap((x) => b.flatMap((y) => (x.fromS <= y.toS && y.fromS <= x.toS ? [{ fromS: Math.max(x.fromS, y.fromS), toS: Math.min(x.toS, y.toS) }] : [])));
}

function columnOf(readings: Readings, spans: readonly Gap[], first: number, rows: number, periodS: number): ResampledColumn {
  const { channel, timeS, values, mean, limitS } = readings;
  const out = new Float64Array(rows).fill(Number.NaN);
  let [low, span] = [0, 0];
  let complete = true;
  for (let k = 0; k < rows; k++) {
    const t = (first + k) * periodS;
    const reach = channel.switch ? limitS : 1e-9;
    while (span < spans.length && (spans[span] as Gap).toS + reach < t) span++;
    const here = spans[span];
    // low: the last reading at or before t
    while (low + 1 < timeS.length && (timeS[low + 1] as number) <= t + 1e-9) low++;
    if (here === undefined || here.fromS > t + 1e-9 || (timeS[low] as number) > t + 1e-9) {
      complete = false;
      continue;
    }
    const [t0, v0] = [timeS[low] as number, values[low] as number];
    const [t1, v1] = [timeS[low + 1] ?? t0, values[low + 1] ?? v0];
    out[k] = channel.switch || t1 > here.toS || t1 === t0 || t - t0 < 1e-9 ? v0 : v0 + ((v1 - v0) * (t - t0)) / (t1 - t0);
    if (!mean) continue;
    let [sum, count] = [0, 0];
    for (let i = low; i >= 0 && (timeS[i] as number) >= t - periodS / 2 && (timeS[i] as number) >= here.fromS; i--) [sum, count] = [sum + (values[i] as number), count + 1];
    for (let i = low + 1; i < timeS.length && (timeS[i] as number) < t + periodS / 2 && (timeS[i] as number) <= here.toS; i++) [sum, count] = [sum + (values[i] as number), count + 1];
    if (count > 0) out[k] = sum / count;
  }
  return { unit: channel.unit, values: out, known: complete ? null : Uint8Array.from(out, (v) => (Number.isNaN(v) ? 0 : 1)) };
}

/** @throws RangeError for a period that is not above 0, or a required channel that the log does not have */
export function resample(log: Log, periodS: number, options: ResampleOptions = {}): Resampled {
  const { required = ['speed'], shortestS = 2 } = options;
  if (!(periodS > 0)) throw new RangeError(`period ${periodS} s: above 0 is wanted`);
  const absent = required.filter((name) => !log.channels.has(name));
  if (absent.length > 0) throw new RangeError(`${log.name}: has no ${absent.join(', ')}`);
  const all = [...log.channels.values()].map((channel) => {
    const readings = readingsOf(channel, periodS);
    return { readings, spans: spansOf(readings, log.breaks) };
  });
  const needed = all.filter(({ readings }) => required.includes(readings.channel.name));
  const spans = needed.slice(1).reduce((sum, { spans: more }) => both(sum, more), needed[0]?.spans ?? []);
  const stretches: Stretch[] = [];
  const left: (Gap & { because: string })[] = [];
  const thinned = log.report.kept !== null;
  let until = 0;
  for (const { fromS, toS } of spans) {
    if (fromS > until) left.push({ fromS: until, toS: fromS, because: thinned ? 'the log holds more than is kept' : `no ${required.join(' and ')} for too long, or the clock was put back` });
    until = toS;
    const first = Math.ceil(fromS / periodS - 1e-9) + 0; // no −0
    const rows = Math.floor(toS / periodS + 1e-9) - first + 1;
    if (toS - fromS < shortestS || rows < 2) left.push({ fromS, toS, because: `shorter than ${shortestS} s` });
    else stretches.push({ first, rows, startS: first * periodS, columns: new Map(all.map(({ readings, spans: own }) => [readings.channel.name, columnOf(readings, own, first, rows, periodS)])) });
  }
  if (log.durationS > until) left.push({ fromS: until, toS: log.durationS, because: thinned ? 'the log holds more than is kept' : `no ${required.join(' and ')}` });
  return { periodS, stretches, left };
}
