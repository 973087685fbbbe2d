/** Which column is which channel, as the user gives it: `--map speed=Engine RPM [rpm]`, or a file of the same in YAML. */
import { LineCounter, isMap, isScalar, parseDocument } from 'yaml';
import { nearestName, type Problem, quote } from '../../scenario/problem.js';
import { type ChannelKind, CHANNELS, type ChannelName } from './channels.js';
import { unitOf } from './units.js';

export interface MappingEntry {
  readonly channel: ChannelName | 'time';
  /** Column as named by the user: its title, its name without unit, or #3 for the third. */
  readonly column: string;
  /** Unit in brackets behind it; null where there is none. */
  readonly unit: string | null;
  readonly place: { readonly file: string; readonly line: number; readonly column: number };
}

export type Mapping = readonly MappingEntry[];

const NAMES = ['time', ...Object.keys(CHANNELS)];
const isChannel = (name: string): name is ChannelName | 'time' => NAMES.includes(name) || /^load:[^\s=]+$/.test(name);

function entry(channel: string, given: string, place: MappingEntry['place'], problems: Problem[]): MappingEntry[] {
  const wrong = (message: string): MappingEntry[] => {
    problems.push({ ...place, path: quote(channel), message });
    return [];
  };
  if (!isChannel(channel)) {
    const near = nearestName(channel, NAMES);
    return wrong(`no such channel${near === null ? '' : `; did you mean ${near}?`} There are ${NAMES.join(', ')} and load:NAME`);
  }
  const text = given.trim();
  const bracket = /^(.*\S)\s*\[([^\]]+)\]$/.exec(text);
  if (text === '') return wrong('a column is wanted');
  return [{ channel, column: text, unit: bracket === null ? null : (bracket[2] as string).trim(), place }];
}

/** Reads the values of `--map`. */
export function parseMap(given: readonly string[]): { readonly mapping: Mapping; readonly problems: readonly Problem[] } {
  const problems: Problem[] = [];
  const place = { file: '--map', line: 0, column: 0 };
  const mapping = given.flatMap((text) => {
    const at = text.indexOf('=');
    if (at > 0) return entry(text.slice(0, at).trim(), text.slice(at + 1), place, problems);
    problems.push({ ...place, path: '', message: `${quote(text)}: channel=column is wanted, as in speed=Engine RPM [rpm]` });
    return [];
  });
  return { mapping, problems: [...problems, ...twice(mapping)] };
}

/** Reads a mapping file: channels as keys, columns as values. */
export function parseMappingFile(file: string, text: string): { readonly mapping: Mapping; readonly problems: readonly Problem[] } {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines });
  const placeOf = (offset: number): MappingEntry['place'] => {
    const { line, col } = lines.linePos(offset);
    return { file, line, column: col };
  };
  const problems: Problem[] = document.errors.map(({ pos, message }) => ({ ...placeOf(pos[0]), path: '', message: message.split('\n')[0]?.replace(/ at line.*$/, '') ?? '' }));
  if (problems.length > 0) return { mapping: [], problems };
  if (!isMap(document.contents)) return { mapping: [], problems: [{ file, line: 1, column: 1, path: '', message: 'channels and their columns are wanted, as in speed: Engine RPM [rpm]' }] };
  const mapping = document.contents.items.flatMap(({ key, value }) => {
    const name = isScalar(key) ? String(key.value) : '';
    const at = placeOf(isScalar(key) ? (key.range?.[0] ?? 0) : 0);
    if (!isScalar(value) || value.value === null || typeof value.value === 'object') {
      problems.push({ ...at, path: quote(name), message: 'a column is wanted' });
      return [];
    }
    return entry(name, String(value.value), at, problems);
  });
  return { mapping, problems: [...problems, ...twice(mapping)] };
}

function twice(mapping: Mapping): Problem[] {
  const seen = new Set<string>();
  return mapping.flatMap(({ channel, place }) => {
    if (seen.has(channel)) return [{ ...place, path: channel, message: 'is given twice' }];
    seen.add(channel);
    return [];
  });
}

/** A column that entries may name. */
export interface Named {
  readonly title: string;
  readonly name: string;
  readonly unit: string;
}

/** Units of a channel, for a message. */
function unitsOf(channel: string): string {
  const kind: ChannelKind = CHANNELS[channel as 'speed'];
  return [kind.unit, ...(kind.rivals ?? [])].join(', ');
}

const plain = (text: string): string => text.trim().toLowerCase().replace(/\s+/g, ' ');

/**
 * Finds the column that an entry names.
 *
 * @returns its index and the unit asked for, null for the column's own; or a problem
 */
export function findColumn(entry: MappingEntry, columns: readonly Named[]): { readonly index: number; readonly unit: string | null } | Problem {
  const wrong = (message: string): Problem => ({ ...entry.place, path: entry.channel, message });
  const without = entry.unit === null ? null : entry.column.replace(/\s*\[[^\]]+\]$/, '');
  for (const [text, unit] of [[entry.column, null], [without, entry.unit]] as const) {
    if (text === null) continue;
    const number = /^#(\d+)$/.exec(text)?.[1];
    if (number !== undefined) {
      const index = Number(number) - 1;
      if (columns[index] === undefined) return wrong(`there is no column ${text}; the log has ${columns.length}`);
      return { index, unit };
    }
    for (const of of [(c: Named) => c.title === text, (c: Named) => plain(c.title) === plain(text), (c: Named) => plain(c.name) === plain(text)]) {
      const found = columns.flatMap((c, index) => (of(c) ? [index] : []));
      if (found.length > 1) return wrong(`${found.length} columns are called ${quote(text)}; say which by number: ${found.map((i) => `#${i + 1}`).join(', ')}`);
      if (found.length === 1) {
        if (unit !== null && unitOf(unit) === null && CHANNELS[entry.channel as 'speed']?.unit) return wrong(`${quote(unit)} is no unit that is known; ${unitsOf(entry.channel)} are`);
        return { index: found[0] as number, unit };
      }
    }
  }
  const names = columns.map(({ title }) => title);
  const near = nearestName(without ?? entry.column, columns.flatMap(({ title, name }) => [title, name]));
  return wrong(`no column is called ${quote(without ?? entry.column)}${near === null ? '.' : `; did you mean ${quote(near)}?`} The log has ${quote(names.join(', '), 300)}`);
}
