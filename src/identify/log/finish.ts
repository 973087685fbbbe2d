/** Readings to channels and the report. */
import { channelOf, gapsIn } from './channel.js';
import type { Read } from './found.js';
import type { Channel, Gap, Log } from './log.js';
import { notesOf } from './notes.js';
import { at } from './plausible.js';
import { LogError } from './problem.js';
import { periodOf } from './refresh.js';
import type { Series } from './series.js';

/** A standing engine turns slower than this, rpm. */
const STANDS = 50;

function stoppedIn({ timeS, values }: Channel, cuts: readonly number[]): Gap[] {
  const found: { fromS: number; toS: number }[] = [];
  let open: { fromS: number; toS: number } | null = null;
  let next = 0;
  values.forEach((v, k) => {
    const t = timeS[k] as number;
    for (; (cuts[next] ?? Infinity) <= t; next++) open = null;
    if (v >= STANDS) open = null;
    else if (open !== null) open.toS = t;
    else {
      open = { fromS: t, toS: t };
      found.push(open);
    }
  });
  return found;
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
  const { store, held, assigned, candidates, layout, found, clock, settings, time } = read;
  const unitNotes: string[] = [];
  const unsaid: string[] = [];
  const made = assigned.flatMap((a, i) => {
    const series = held.series[read.seriesOf(i)] as Series;
    if (series.length === 0) {
      unitNotes.push(`${a.channel}: column ${candidates[a.index]?.title ?? ''} holds no readings, and is left out`);
      return [];
    }
    const one = channelOf(read, a, series, found.missing[read.seriesOf(i)] ?? 0, unitNotes, unsaid);
    return one === null ? [] : [one];
  });
  if (unsaid.length > 0) unitNotes.push(`no unit is given, and values are right for these: ${unsaid.join(', ')}`);
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
    gaps: gapsIn(lead, gapLimit(periodS), held.cuts),
    channels: made.map((m) => m.report),
    left: candidates.flatMap((c, i) => (used.has(i) || (c.sample.length === 0 && c.title === `column ${i + 1}`) ? [] : [c.title])),
    stopped: channels.has('speed') ? stoppedIn(lead, held.cuts) : [],
    closedThrottlePct: throttle === undefined ? null : closedThrottle(throttle),
    averagedS: store.binS > 0 ? store.binS : null,
    kept: held.kept,
    durationS: store.lastS,
  };
  return {
    name: read.name, durationS: store.lastS, channels,
    breaks: [...clock.jumps.map(({ at: place }) => place), ...held.cuts].sort((a, b) => a - b),
    report: { ...report, notes: notesOf(report, { ...read, unitNotes }) },
  };
}
