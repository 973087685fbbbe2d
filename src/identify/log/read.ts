/** Reads a log, in one pass and in bounded memory. */
import type { Problem } from '../../scenario/problem.js';
import { nearestName, quote } from '../../scenario/problem.js';
import { type Delimiter, fieldsOf, isNothing, numberOf, readingOf } from './cells.js';
import { type ChannelName, kindOf } from './channels.js';
import { createClock, type Row } from './clock.js';
import { type Assigned, finishLog, type Found } from './finish.js';
import { type Candidate, guessChannels } from './guess.js';
import { isBlank, isComment, type Layout, type LogColumn, layoutOf } from './layout.js';
import { linesOf, type TextFacts } from './lines.js';
import type { Log } from './log.js';
import { findColumn, type Mapping, type MappingEntry } from './mapping.js';
import { LogError } from './problem.js';
import { addReading, addSeries, createStore, endStore } from './series.js';
import { stampReaderOf } from './stamps.js';
import { clockSettingsOf, type TimeColumn, timeColumnOf } from './time-column.js';
import { createConverter, type Converter } from './units.js';

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
  /** Most readings held, all channels together: 16 bytes each; 1 000 000. Beyond, readings are averaged. */
  readonly mostReadings?: number;
}

/** Lines looked at before the first is read. */
const LOOKED_AT = 1000;
/** Most names of readings in a log of one row a reading. */
const MOST_NAMES = 1000;

const problem = (file: string, path: string, message: string): Problem => ({ file, line: 0, column: 0, path, message });
const titles = (columns: readonly LogColumn[]): string => quote(columns.map(({ title }) => title).join(', '), 400);

function findTime(layout: Layout, rows: readonly (readonly string[])[], given: MappingEntry | undefined, name: string): TimeColumn {
  const { columns, notation, long } = layout;
  const cellsOf = (index: number): string[] => rows.map((row) => row[index] ?? '');
  if (given !== undefined) {
    const found = findColumn(given, columns);
    if (!('index' in found)) throw new LogError([found]);
    const stamps = stampReaderOf(cellsOf(found.index), found.unit ?? columns[found.index]?.unit ?? '', notation);
    if (stamps === null) throw new LogError([{ ...given.place, path: 'time', message: `column ${quote(given.column)} holds no times: ${quote(cellsOf(found.index).find((c) => !isNothing(c)) ?? 'nothing')}` }]);
    return { index: found.index, stamps, because: null };
  }
  const stamps = long === null ? null : stampReaderOf(cellsOf(long.time), columns[long.time]?.unit ?? '', notation);
  const time = stamps === null ? timeColumnOf(columns, rows, notation) : { index: (long as { time: number }).time, stamps, because: null };
  if (time === null) throw new LogError([problem(name, 'time', `no column runs as time does; give --map time=COLUMN. The log has ${titles(columns)}`)]);
  return time;
}

/** Channels of columns: as given, then as guessed. Throws for what is given wrongly, and where a needed one is missing. */
function assign(columns: readonly Candidate[], options: ReadOptions, convert: Converter, taken: readonly number[], problems: Problem[]): { assigned: Assigned[]; notes: string[] } {
  const { mapping = [], needed = ['speed'], name } = options;
  const assigned: Assigned[] = [];
  const notes: string[] = [];
  for (const entry of mapping) {
    if (entry.channel === 'time') continue;
    const found = findColumn(entry, columns);
    if (!('index' in found)) problems.push(found);
    else assigned.push({ channel: entry.channel, index: found.index, unit: found.unit, by: 'given' });
  }
  if (options.guess !== false) {
    const guesses = guessChannels(columns, convert, { columns: new Set([...taken, ...assigned.map((a) => a.index)]), channels: new Set(mapping.map((m) => m.channel)) });
    for (const { channel, index, sure } of guesses.found) assigned.push({ channel, index, unit: null, by: sure });
    for (const { channel, indices } of guesses.open) {
      const list = indices.map((i) => quote(columns[i]?.title ?? '')).join(' or ');
      if (needed.includes(channel)) problems.push(problem(name, channel, `could be ${list}; give --map ${channel}=COLUMN`));
      else notes.push(`${channel} could be ${list}, and is left out; --map ${channel}=COLUMN takes one`);
    }
  }
  for (const channel of needed) {
    if (assigned.some((a) => a.channel === channel) || problems.some(({ path }) => path === channel)) continue;
    const near = nearestName(channel, columns.map((c) => c.name));
    problems.push(problem(name, channel, `no column is plainly the ${kindOf(channel).meaning}${near === null ? '' : `; is it ${quote(near)}`}. Give --map ${channel}=COLUMN. The log has ${quote(columns.map((c) => c.title).join(', '), 400)}`));
  }
  return { assigned, notes };
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
    throw new LogError([problem(name, path, message)]);
  };
  const batches = linesOf(chunks, name, facts);
  const first: string[] = [];
  let over = false;
  while (first.length < LOOKED_AT && !over) {
    const next = await batches.next();
    if (next.done === true) over = true;
    else first.push(...next.value);
  }
  if (!first.some((line) => line.trim() !== '')) fail('is empty');
  const looked = first.slice(0, LOOKED_AT);
  const layout = layoutOf(looked) ?? fail('holds no rows of data: lines with a time and numbers, cut by commas, semicolons or tabs, are wanted');
  const { delimiter, notation, columns, width, long } = layout;
  const convert = await createConverter();

  const sample = looked.slice(layout.firstData).filter((line) => line.trim() !== '' && !isComment(line)).map((line) => fieldsOf(line, delimiter));
  const time = findTime(layout, sample, mapping.find(({ channel }) => channel === 'time'), name);
  const stamps = sample.map((row) => time.stamps.read(row[time.index] ?? ''));
  const timed = stamps.flatMap((t, k) => (Number.isNaN(t) ? [] : [k]));
  const settings = clockSettingsOf(timed.map((k) => stamps[k] as number), long === null ? null : timed.map((k) => sample[k]?.[long.name] ?? ''), time.stamps.daily);

  const store = createStore(options.mostReadings ?? 1_000_000);
  const problems: Problem[] = [];
  let candidates: Candidate[] = [];
  let assigned: Assigned[] = [];
  let notes: string[] = [];
  if (long === null) {
    const valuesOf = (c: number): Float64Array => Float64Array.from(sample.map((row) => readingOf(row[c] ?? '', notation)).filter((v) => !Number.isNaN(v)));
    candidates = columns.map((column) => ({ ...column, sample: valuesOf(column.index) }));
    ({ assigned, notes } = assign(candidates, options, convert, [time.index], problems));
    if (problems.length > 0) throw new LogError(problems);
    for (const { channel } of assigned) addSeries(store, kindOf(channel).switch === true);
  }

  const found: Found = { lines: 0, rows: 0, blank: 0, comments: 0, headers: 0, unreadable: 0, firstUnreadable: 0, ragged: 0, cutOff: false, missing: assigned.map(() => 0) };
  let origin = Number.NaN;
  let rowsKept = 0;
  const clock = createClock(
    settings,
    (t, row) => {
      if (Number.isNaN(origin)) origin = t;
      const at = t - origin;
      if (at < fromS || at > toS) return;
      rowsKept++;
      if (row.values === null) addReading(store, row.series, at, row.value);
      else for (let i = 0; i < row.values.length; i++) if (!Number.isNaN(row.values[i])) addReading(store, i, at, row.values[i] as number);
    },
    (row) => fail(`line ${row.line}: the clock stands still: no row after this has a later time`, 'time'),
  );
  const names = new Map<string, number>();
  const longColumns: LogColumn[] = [];

  function longRow(cells: readonly string[], line: number, t: number): void {
    const { name: n, value: v, unit: u } = long as NonNullable<Layout['long']>;
    const title = (cells[n] ?? '').trim();
    const value = readingOf(cells[v] ?? '', notation);
    let series = names.get(title);
    if (series === undefined) {
      if (names.size >= MOST_NAMES) fail(`line ${line}: more than ${MOST_NAMES} names of readings: this is no log`);
      series = addSeries(store, false);
      names.set(title, series);
      found.missing.push(0);
      longColumns.push({ index: series, title, name: title, unit: u === null ? '' : (cells[u] ?? '').trim() });
    }
    if (Number.isNaN(value)) found.missing[series] = (found.missing[series] ?? 0) + 1;
    else clock.push({ line, t, values: null, series, value });
  }

  const header = layout.headerLine === null ? null : first[layout.headerLine - 1];
  const wanted = assigned.map(({ index }) => index);
  let before: readonly string[] = [];
  function take(text: string, last: boolean): void {
    const line = ++found.lines;
    if (line <= layout.firstData) return;
    if (isBlank(text)) return void found.blank++;
    if (isComment(text)) return void found.comments++;
    if (text === header) return void found.headers++;
    const cells = fieldsOf(text, delimiter);
    const t = time.stamps.read(cells[time.index] ?? '');
    // a last row without a line end is kept only when nothing can be missing of it
    if (last && !facts.ended && (cells.length < before.length || (cells.at(-1)?.length ?? 0) < (before.at(-1)?.length ?? 0))) {
      found.cutOff = true;
      return;
    }
    before = cells;
    if (Number.isNaN(t) || cells.length < Math.min(width, 2)) {
      if (found.unreadable++ === 0) found.firstUnreadable = line;
      return;
    }
    found.rows++;
    if (cells.length < width) found.ragged++;
    if (long !== null) {
      longRow(cells, line, t);
      return;
    }
    const values = new Float64Array(wanted.length);
    for (let i = 0; i < wanted.length; i++) {
      const cell = cells[wanted[i] as number] ?? '';
      let value = numberOf(cell, notation);
      if (Number.isNaN(value)) value = readingOf(cell, notation);
      if (Number.isNaN(value)) found.missing[i] = (found.missing[i] as number) + 1;
      values[i] = value;
    }
    const row: Row = { line, t, values, series: 0, value: 0 };
    clock.push(row);
  }

  // the last line is known for the last only when there is no other
  let waiting: string | null = null;
  const feed = (line: string): void => {
    if (waiting !== null) take(waiting, false);
    waiting = line;
  };
  for (const line of first) feed(line);
  first.length = 0;
  if (!over) for await (const batch of batches) for (const line of batch) feed(line);
  if (waiting !== null) take(waiting, true);
  clock.end();
  endStore(store);
  if (rowsKept === 0) fail('no row of data could be kept', 'time');

  if (long !== null) {
    candidates = longColumns.map((column, i) => ({ ...column, sample: store.series[i]?.values.slice(0, Math.min(5000, store.series[i]?.length ?? 0)) ?? new Float64Array() }));
    ({ assigned, notes } = assign(candidates, options, convert, [], problems));
    if (problems.length > 0) throw new LogError(problems);
  }
  return finishLog({
    name, layout, facts, found, time, settings, clock: { ...clock.facts, jumps: clock.facts.jumps.map((jump) => ({ ...jump, at: jump.at - origin })) }, store, convert, notes, candidates, assigned,
    seriesOf: long === null ? (i) => i : (i) => (assigned[i] as Assigned).index,
    timeTitle: columns[time.index]?.title ?? '', delimiterName: DELIMITERS[delimiter],
    leftOut: long === null ? [time.index] : [],
  });
}

const DELIMITERS: Readonly<Record<Delimiter, string>> = { ',': 'comma', ';': 'semicolon', '\t': 'tab', '|': 'bar' };
