/**
 * Reads a log, in one pass and in bounded memory.
 *
 * The first lines tell the layout; after that each line is scanned where it stands (scan.ts), rows are put in order of time
 * (clock.ts), and readings go into a store that keeps the parts that tell of an idle when the log holds more than the budget
 * (store.ts). Measured by `npm run bench:log`.
 */
import type { Problem } from '../../scenario/problem.js';
import { assign, findTime } from './assign.js';
import { type Delimiter, fieldsOf, readingOf } from './cells.js';
import { type ChannelName, kindOf } from './channels.js';
import { createClock } from './clock.js';
import { finishLog } from './finish.js';
import type { Assigned, Found } from './found.js';
import { textKind } from './foreign.js';
import type { Candidate } from './guess.js';
import { isComment, layoutOf, type LogColumn } from './layout.js';
import { linesOf, type TextFacts } from './lines.js';
import type { Log } from './log.js';
import type { Mapping } from './mapping.js';
import { judgeUnit } from './plausible.js';
import { LogError } from './problem.js';
import { createRows } from './rows.js';
import type { Series } from './series.js';
import { addReading, addSeries, advance, createStore, endStore } from './store.js';
import { clockSettingsOf } from './time-column.js';
import { type Converter, createConverter } from './units.js';
import type { Judge } from './windows.js';
import { worthOf } from './worth.js';

export interface ReadOptions {
  /** For messages. */
  readonly name: string;
  /** Columns as the user gives them; the rest is guessed. */
  readonly mapping?: Mapping;
  /** false: only what is given. */
  readonly guess?: boolean;
  /** Stretch to keep, s since the first row. */
  readonly fromS?: number;
  readonly toS?: number;
  /** Channels without which the log is of no use; ['speed']. */
  readonly needed?: readonly ChannelName[];
  /** Most readings held, all channels together, 16 bytes each; 600 000. Of a longer log only parts are kept (store.ts), and the report says which. */
  readonly mostReadings?: number;
}

/** Lines looked at before the first is read. */
const LOOKED_AT = 1000;
/** Most names of readings in a log of one row a reading. */
const MOST_NAMES = 1000;
/** Readings by which a unit or a name is judged before the end. */
const SAMPLE = 5000;

const DELIMITERS: Readonly<Record<Delimiter, string>> = { ',': 'comma', ';': 'semicolon', '\t': 'tab', '|': 'bar' };

const sampleOf = ({ length, values }: Series): Float64Array => values.slice(0, Math.min(SAMPLE, length));

/** Why lines hold no data, as far as it can be told. */
function noTable(lines: readonly string[]): string {
  const full = lines.filter((line) => line.trim() !== '');
  const blanks = full.filter((line) => /^\s*[-+]?[\d.]+(?:\s+[-+]?[\d.]+)+\s*$/.test(line));
  if (blanks.length > full.length / 2) return 'has its columns set apart by blanks: commas, semicolons or tabs are wanted';
  return textKind(full[0] as string) ?? 'holds no rows of data: lines with a time and numbers, cut by commas, semicolons or tabs, are wanted';
}

/** What is worth keeping of the columns that are known; of a log without a speed, all parts alike. */
function judgeOf(held: readonly Series[], assigned: readonly Assigned[], candidates: readonly Candidate[], seriesOf: (assigned: number) => number, convert: Converter): Judge {
  const place = (channel: ChannelName): number => assigned.findIndex((a) => a.channel === channel);
  const speed = place('speed');
  if (speed < 0) return () => 0;
  const kind = kindOf('speed');
  const { unit, index } = assigned[speed] as Assigned;
  const values = sampleOf(held[seriesOf(speed)] as Series);
  const read = judgeUnit(values, kind, { unit: unit ?? candidates[index]?.unit ?? '', by: unit === null ? 'header' : 'user' }, convert).unit;
  const slope = convert(read, 'rpm')?.slope ?? 1;
  const switches = assigned.flatMap(({ channel }, i) => (kindOf(channel).switch === true ? [seriesOf(i)] : []));
  const of = (window: readonly Series[], channel: ChannelName): Series | null => (place(channel) < 0 ? null : (window[seriesOf(place(channel))] ?? null));
  return (window) => worthOf({
    speed: window[seriesOf(speed)] as Series, slope,
    throttle: of(window, 'throttle'), coolant: of(window, 'coolant'),
    switches: switches.map((s) => window[s] as Series),
  });
}

/**
 * Reads a log.
 *
 * @param chunks bytes (UTF-8, UTF-16 or Windows-1252) or text, cut anywhere
 * @throws LogError when it is no log, a column is given wrongly, or a needed channel is not found
 */
export async function readLog(chunks: AsyncIterable<string | Uint8Array>, options: ReadOptions): Promise<Log> {
  const { name, mapping = [], fromS = Number.NEGATIVE_INFINITY, toS = Number.POSITIVE_INFINITY } = options;
  const facts: TextFacts = { encoding: 'UTF-8', ended: true };
  const fail = (message: string, path = ''): never => {
    throw new LogError([{ file: name, line: 0, column: 0, path, message } satisfies Problem]);
  };
  const batches = linesOf(chunks, name, facts);
  const first: string[] = [];
  let over = false;
  while (first.length < LOOKED_AT && !over) {
    const next = await batches.next();
    if (next.done === true) over = true;
    else for (let i = 0; i < next.value.bounds.length; i += 2) first.push(next.value.text.slice(next.value.bounds[i], next.value.bounds[i + 1]));
  }
  if (!first.some((line) => line.trim() !== '')) fail('is empty');
  const looked = first.slice(0, LOOKED_AT);
  const layout = layoutOf(looked) ?? fail(noTable(looked));
  const { delimiter, notation, columns, long } = layout;
  const convert = await createConverter();
  /** Where columns are named, for messages. */
  const place = { file: name, line: layout.headerLine ?? 1, column: 1 };

  const sample = looked.slice(layout.firstData).filter((line) => line.trim() !== '' && !isComment(line)).map((line) => fieldsOf(line, delimiter));
  const time = findTime(layout, sample, mapping.find(({ channel }) => channel === 'time'), place);
  const stamps = sample.map((row) => time.stamps.read(row[time.index] ?? ''));
  const timed = stamps.flatMap((t, k) => (Number.isNaN(t) ? [] : [k]));
  const settings = clockSettingsOf(timed.map((k) => stamps[k] as number), long === null ? null : timed.map((k) => sample[k]?.[long.name] ?? ''), time.stamps.daily);

  // columns are known at once in a log of one row a sample, and by the names met so far in one of one row a reading
  const valuesOf = (c: number): Float64Array => Float64Array.from(sample.map((row) => readingOf(row[c] ?? '', notation)).filter((v) => !Number.isNaN(v)));
  const wide = long === null ? columns.map((column): Candidate => ({ ...column, sample: valuesOf(column.index) })) : null;
  const known = wide === null ? null : assign(wide, { ...options, place }, convert, [time.index]);
  const names: LogColumn[] = [];
  const named = (held: readonly Series[]): Candidate[] => names.map((column, i) => ({ ...column, sample: sampleOf(held[i] as Series) }));

  const store = createStore(options.mostReadings ?? 600_000, (held) => {
    if (wide !== null && known !== null) return judgeOf(held, known.assigned, wide, (i) => i, convert);
    const candidates = named(held);
    const { assigned } = assign(candidates, { ...options, place, needed: [] }, convert, []);
    return judgeOf(held, assigned, candidates, (i) => (assigned[i] as Assigned).index, convert);
  });
  for (const { channel } of known?.assigned ?? []) addSeries(store, kindOf(channel).switch === true);

  const found: Found = { lines: 0, rows: 0, blank: 0, comments: 0, headers: 0, unreadable: 0, firstUnreadable: 0, ragged: 0, cutOff: false, missing: store.columns.map(() => 0) };
  let origin = Number.NaN;
  let endS = 0;
  let rowsKept = 0;
  const clock = createClock(
    settings,
    (t, row) => {
      if (Number.isNaN(origin)) origin = t;
      const at = t - origin;
      endS = at;
      const { values } = row;
      if (at >= fromS && at <= toS) {
        rowsKept++;
        advance(store, at);
        if (values === null) addReading(store, row.series, row.value);
        else {
          for (let i = 0; i < values.length; i++) {
            const value = values[i] as number;
            if (!Number.isNaN(value)) addReading(store, i, value);
          }
        }
      }
      rows.release(row);
    },
    (row) => fail(`line ${row.line}: the clock stands still: no row after this has a later time`, 'time'),
  );
  const rows = createRows({
    layout, time, found, clock,
    header: layout.headerLine === null ? null : (first[layout.headerLine - 1] ?? null),
    wanted: (known?.assigned ?? []).map(({ index }) => index),
    ended: () => facts.ended,
    addName: (column, line) => {
      if (names.length >= MOST_NAMES) fail(`line ${line}: more than ${MOST_NAMES} names of readings: this is no log`);
      names.push(column);
      return addSeries(store, false);
    },
  });

  // the last line is known for the last only when there is no other
  let waiting: { text: string; from: number; to: number } | null = null;
  const feed = (text: string, from: number, to: number): void => {
    if (waiting === null) waiting = { text, from, to };
    else {
      rows.take(waiting.text, waiting.from, waiting.to, false);
      waiting.text = text;
      waiting.from = from;
      waiting.to = to;
    }
  };
  for (const line of first) feed(line, 0, line.length);
  first.length = 0;
  if (!over) for await (const { text, bounds } of batches) for (let i = 0; i < bounds.length; i += 2) feed(text, bounds[i] as number, bounds[i + 1] as number);
  const last = waiting as { text: string; from: number; to: number } | null;
  if (last !== null) rows.take(last.text, last.from, last.to, true);
  clock.end();
  if (rowsKept === 0) fail(Number.isNaN(origin) ? 'no row of data could be kept' : `no row from ${Math.max(0, fromS)} s to ${toS === Number.POSITIVE_INFINITY ? 'its end' : `${toS} s`}: the log goes from 0 to ${Number(endS.toPrecision(6))} s`, 'time');
  const held = endStore(store);

  const candidates = wide ?? named(held.series);
  const { assigned, notes } = known ?? assign(candidates, { ...options, place }, convert, []);
  return finishLog({
    name, place, layout, facts, found, time, settings, clock: { ...clock.facts, jumps: clock.facts.jumps.map((jump) => ({ ...jump, at: jump.at - origin })) }, store, held, convert, notes, candidates, assigned,
    seriesOf: long === null ? (i) => i : (i) => (assigned[i] as Assigned).index,
    timeTitle: columns[time.index]?.title ?? '', delimiterName: DELIMITERS[delimiter],
    leftOut: long === null ? [time.index] : [],
  });
}
