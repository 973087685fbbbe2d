/** Readings to channels: units judged and converted, refreshes found, and the report. */
import { type ChannelName, kindOf } from './channels.js';
import type { ClockFacts, ClockSettings } from './clock.js';
import type { Candidate } from './guess.js';
import type { Layout } from './layout.js';
import type { TextFacts } from './lines.js';
import type { Channel, ChannelReport, Gap, Log } from './log.js';
import { notesOf } from './notes.js';
import { at, judgeUnit } from './plausible.js';
import { LogError } from './problem.js';
import { periodOf, refreshOf } from './refresh.js';
import type { Series, Store } from './series.js';
import type { TimeColumn } from './time-column.js';
import { type Converter, unitOf } from './units.js';

/** A column and the channel that it is; the unit that the user gave. */
export interface Assigned {
  readonly channel: ChannelName;
  readonly index: number;
  readonly unit: string | null;
  readonly by: ChannelReport['by'];
}

/** What was counted on the way. */
export interface Found {
  lines: number;
  rows: number;
  blank: number;
  comments: number;
  /** Repeats of the header. */
  headers: number;
  unreadable: number;
  firstUnreadable: number;
  /** Rows with fewer fields than most. */
  ragged: number;
  cutOff: boolean;
  /** By series. */
  readonly missing: number[];
}

export interface Read {
  readonly name: string;
  readonly layout: Layout;
  readonly facts: TextFacts;
  readonly found: Found;
  readonly time: TimeColumn;
  readonly settings: ClockSettings;
  readonly clock: ClockFacts;
  readonly store: Store;
  readonly convert: Converter;
  readonly notes: readonly string[];
  readonly candidates: readonly Candidate[];
  readonly assigned: readonly Assigned[];
  readonly seriesOf: (assigned: number) => number;
  readonly timeTitle: string;
  readonly delimiterName: string;
  readonly leftOut: readonly number[];
}

const isSwitch = (values: Float64Array): boolean => values.every((v) => v === 0 || v === 1);

/** The unit that a channel without one of its own is in: as given, or for a valve by the size of its values. */
function ownUnit(channel: ChannelName, given: string, highest: number): { unit: string; note: string | null } {
  if (channel !== 'air') return { unit: given, note: null };
  const known = unitOf(given);
  if (known?.of === 'part') return { unit: '%', note: null };
  if (known?.of === 'steps') return { unit: 'step', note: null };
  const unit = highest > 100 ? 'step' : '%';
  return { unit, note: `${given === '' ? 'no unit is given' : `${given} is no unit of a valve`}; taken for ${unit === '%' ? '%, since no value is above 100' : 'steps, since values go above 100'}` };
}

function channelOf(read: Read, a: Assigned, series: Series, missing: number, notes: string[]): { channel: Channel; report: ChannelReport } {
  const { convert, candidates, name } = read;
  const column = candidates[a.index] as Candidate;
  const kind = kindOf(a.channel);
  const timeS = series.timeS.slice(0, series.length);
  const values = series.values.slice(0, series.length);
  const header = column.unit;
  const known = unitOf(a.unit ?? header) !== null;
  let unitRead = a.unit ?? header;
  let unit = kind.unit ?? unitRead;
  if (kind.unit !== null) {
    const foreign = (of: string): never => {
      throw new LogError([{ file: name, line: 0, column: 0, path: a.channel, message: `column ${column.title} is in ${of}, which is no unit of ${kind.meaning}; give another column, or its unit: --map ${a.channel}=COLUMN [${kind.unit}]` }]);
    };
    if (known && convert(unitRead, kind.unit) === null) foreign(unitRead);
    if (!known && header !== '') notes.push(`${a.channel}: ${header} is no unit that is known`);
    const verdict = judgeUnit(values, kind, { unit: a.unit ?? header, by: a.unit !== null ? 'user' : known ? 'header' : 'none' }, convert);
    if (verdict.note !== null) notes.push(`${a.channel}: ${verdict.note}`);
    unitRead = verdict.unit;
    const conversion = convert(unitRead, kind.unit);
    if (conversion === null) return foreign(unitRead);
    if (conversion.slope !== 1 || conversion.offset !== 0) for (let k = 0; k < values.length; k++) values[k] = (values[k] as number) * conversion.slope + conversion.offset;
  }
  const [lowest, highest] = [values.reduce((x, y) => Math.min(x, y), Infinity), values.reduce((x, y) => Math.max(x, y), -Infinity)];
  if (kind.unit === null && kind.switch !== true) {
    const own = ownUnit(a.channel, unitRead, highest);
    if (own.note !== null) notes.push(`${a.channel}: ${own.note}`);
    unit = own.unit;
  }
  const held = kind.switch === true && isSwitch(values);
  const refreshS = held ? null : refreshOf(timeS, values);
  let longestGapS = 0;
  for (let k = 1; k < timeS.length; k++) longestGapS = Math.max(longestGapS, (timeS[k] as number) - (timeS[k - 1] as number));
  const period = periodOf(timeS);
  const report: ChannelReport = {
    name: a.channel, column: column.title, unitGiven: header, unitRead, unit, by: a.by, samples: values.length, missing,
    periodS: Number.isNaN(period) ? null : period, refreshS, longestGapS, lowest, highest, constant: lowest === highest,
  };
  return { channel: { name: a.channel, unit, switch: held, timeS, values, refreshS }, report };
}

/** A standing engine turns slower than this, rpm. */
const STANDS = 50;

function stoppedIn({ timeS, values }: Channel): Gap[] {
  const found: { fromS: number; toS: number }[] = [];
  let open: { fromS: number; toS: number } | null = null;
  values.forEach((v, k) => {
    const t = timeS[k] as number;
    if (v >= STANDS) open = null;
    else if (open !== null) open.toS = t;
    else {
      open = { fromS: t, toS: t };
      found.push(open);
    }
  });
  return found;
}

export function gapsIn({ timeS }: { readonly timeS: Float64Array }, limitS: number): Gap[] {
  return [...timeS.keys()].slice(1).flatMap((k) => ((timeS[k] as number) - (timeS[k - 1] as number) > limitS ? [{ fromS: timeS[k - 1] as number, toS: timeS[k] as number }] : []));
}

/** Gaps longer than this are gaps: five steps, and no less than 2.5 s. */
export const gapLimit = (periodS: number): number => Math.max(2.5, 5 * periodS);

/** What a shut throttle reads: the level near its lowest at which it rests one reading in twenty or more, within 1 %. */
function closedThrottle({ values }: Channel): number | null {
  const sorted = values.slice().sort();
  const low = at(sorted, 0.03);
  const near = sorted.filter((v) => Math.abs(v - low) <= 1);
  return near.length >= sorted.length / 20 ? at(near, 0.5) : null;
}

export function finishLog(read: Read): Log {
  const { store, assigned, candidates, layout, found, clock, settings, time } = read;
  const unitNotes: string[] = [];
  const made = assigned.flatMap((a, i) => {
    const series = store.series[read.seriesOf(i)] as Series;
    if (series.length === 0) {
      unitNotes.push(`${a.channel}: column ${candidates[a.index]?.title ?? ''} holds no readings, and is left out`);
      return [];
    }
    return [channelOf(read, a, series, found.missing[read.seriesOf(i)] ?? 0, unitNotes)];
  });
  const channels = new Map(made.map(({ channel }) => [channel.name, channel]));
  const lead = channels.get('speed') ?? made[0]?.channel;
  if (lead === undefined) throw new LogError([{ file: read.name, line: 0, column: 0, path: '', message: 'no channel holds a reading' }]);
  const throttle = channels.get('throttle');
  const periodS = periodOf(lead.timeS);
  const used = new Set([...read.leftOut, ...assigned.map(({ index }) => index)]);
  const report = {
    name: read.name,
    form: layout.long === null ? ('one row a sample' as const) : ('one row a reading' as const),
    encoding: read.facts.encoding, delimiter: read.delimiterName, decimal: layout.notation.decimal,
    rows: found.rows, lines: found.lines,
    time: {
      column: read.timeTitle, how: time.stamps.how, periodS, coarseS: settings.coarse, duplicates: clock.duplicates, conflicts: clock.conflicts,
      backward: clock.backward, stray: clock.stray, unreadable: found.unreadable, jumps: clock.jumps,
    },
    gaps: gapsIn(lead, gapLimit(periodS)),
    channels: made.map((m) => m.report),
    left: candidates.flatMap((c, i) => (used.has(i) || (c.sample.length === 0 && c.title === `column ${i + 1}`) ? [] : [c.title])),
    stopped: channels.has('speed') ? stoppedIn(lead) : [],
    closedThrottlePct: throttle === undefined ? null : closedThrottle(throttle),
    averagedS: store.binS > 0 ? store.binS : null,
  };
  const durationS = Math.max(...made.map(({ channel }) => channel.timeS.at(-1) as number));
  return {
    name: read.name, durationS, channels, breaks: clock.jumps.map(({ at: place }) => place),
    report: { ...report, notes: notesOf(report, { ...read, unitNotes }) },
  };
}
