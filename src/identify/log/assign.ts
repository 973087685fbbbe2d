/** Which columns of a log are its time and its channels: as given, then as guessed. */
import { nearestName, type Place, type Problem, quote } from '../../scenario/problem.js';
import { isNothing } from './cells.js';
import { type ChannelName, kindOf } from './channels.js';
import type { Assigned } from './found.js';
import { type Candidate, guessChannels } from './guess.js';
import type { Layout, LogColumn } from './layout.js';
import { findColumn, type Mapping, type MappingEntry } from './mapping.js';
import { LogError } from './problem.js';
import { stampReaderOf } from './stamps.js';
import { runs, type TimeColumn, timeColumnOf } from './time-column.js';
import type { Converter } from './units.js';

const titles = (columns: readonly LogColumn[]): string => quote(columns.map(({ title }) => title).join(', '), 400);

/** @throws LogError when no column, or not the one given, holds times */
export function findTime(layout: Layout, rows: readonly (readonly string[])[], given: MappingEntry | undefined, place: Place): TimeColumn {
  const { columns, notation, long } = layout;
  const cellsOf = (index: number): string[] => rows.map((row) => row[index] ?? '');
  if (given !== undefined) {
    const found = findColumn(given, columns);
    if (!('index' in found)) throw new LogError([found]);
    const stamps = stampReaderOf(cellsOf(found.index), found.unit ?? columns[found.index]?.unit ?? '', notation);
    if (stamps === null) throw new LogError([{ ...given.place, path: 'time', message: `column ${quote(given.column)} holds no times: ${quote(cellsOf(found.index).find((c) => !isNothing(c)) ?? 'nothing')}` }]);
    const { rises, moves } = runs(cellsOf(found.index).map((cell) => stamps.read(cell)));
    if (rows.length > 2 && (rises < 0.6 || moves === 0)) throw new LogError([{ ...given.place, path: 'time', message: `column ${quote(given.column)} does not run as time does. The log has ${titles(columns)}` }]);
    return { index: found.index, stamps, because: null };
  }
  const stamps = long === null ? null : stampReaderOf(cellsOf(long.time), columns[long.time]?.unit ?? '', notation);
  const time = stamps === null ? timeColumnOf(columns, rows, notation) : { index: (long as { time: number }).time, stamps, because: null };
  if (time === null) throw new LogError([{ ...place, path: 'time', message: `no column runs as time does; give --map time=COLUMN. The log has ${titles(columns)}` }]);
  return time;
}

export interface AssignOptions {
  /** Where the columns are named. */
  readonly place: Place;
  readonly mapping?: Mapping;
  readonly guess?: boolean;
  readonly needed?: readonly ChannelName[];
}

/**
 * Channels of columns.
 *
 * @param taken columns that are something else
 * @throws LogError for what is given wrongly, and where a needed one is missing
 */
export function assign(columns: readonly Candidate[], options: AssignOptions, convert: Converter, taken: readonly number[]): { readonly assigned: readonly Assigned[]; readonly notes: readonly string[] } {
  const { mapping = [], needed = ['speed'], place } = options;
  const problems: Problem[] = [];
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
    for (const { channel, index, twins } of guesses.found) {
      if (twins.length > 0) notes.push(`${channel}: ${twins.length + 1} columns called ${quote(columns[index]?.title ?? '')} hold the same; #${index + 1} is read`);
    }
    for (const { channel, indices } of guesses.open) {
      const same = new Set(indices.map((i) => columns[i]?.title)).size < indices.length;
      const list = indices.map((i) => `${quote(columns[i]?.title ?? '')}${same ? ` (#${i + 1})` : ''}`).join(' or ');
      if (needed.includes(channel)) problems.push({ ...place, path: channel, message: `could be ${list}; give --map ${channel}=${same ? '#NUMBER' : 'COLUMN'}` });
      else notes.push(`${channel} could be ${list}, and is left out; --map ${channel}=${same ? '#NUMBER' : 'COLUMN'} takes one`);
    }
  }
  for (const channel of needed) {
    if (assigned.some((a) => a.channel === channel) || problems.some(({ path }) => path === channel)) continue;
    const near = nearestName(channel, columns.map((c) => c.name));
    if (columns.every(({ title }, i) => title === `column ${i + 1}`)) {
      problems.push({ ...place, path: channel, message: `there is no header to say which column is the ${kindOf(channel).meaning}; give its number, as in --map ${channel}=#2. There are ${columns.length} columns` });
      continue;
    }
    problems.push({ ...place, path: channel, message: `no column is plainly the ${kindOf(channel).meaning}${near === null ? '' : `; is it ${quote(near)}`}. Give --map ${channel}=COLUMN. The log has ${quote(columns.map((c) => c.title).join(', '), 400)}` });
  }
  if (problems.length > 0) throw new LogError(problems);
  return { assigned, notes };
}
