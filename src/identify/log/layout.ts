/** How a log is laid out: delimiter, decimal sign, header, units, one row a sample or one row a reading. */
import { type Delimiter, fieldsOf, isNothing, type Notation, notationOf, readingOf, unitBehind } from './cells.js';
import { longOf } from './long.js';
import { type LogRecord, recordsOf } from './records.js';
import { isDate, stampReaderOf } from './stamps.js';
import { unitOf } from './units.js';

export interface LogColumn {
  /** From 0. */
  readonly index: number;
  /** As the header has it, with its unit. */
  readonly title: string;
  /** Without its unit. */
  readonly name: string;
  /** '' when none is given. */
  readonly unit: string;
}

export interface Layout {
  readonly delimiter: Delimiter;
  readonly notation: Notation;
  readonly columns: readonly LogColumn[];
  /** Line of the header, from 1; null when there is none. */
  readonly headerLine: number | null;
  readonly unitsLine: number | null;
  /** Index of the first line of data among the lines looked at, from 0. */
  readonly firstData: number;
  /** Lines of other text before the header. */
  readonly preamble: number;
  /** Columns of a log that has one row a reading; null when it has one row a sample. */
  readonly long: { readonly time: number; readonly name: number; readonly value: number; readonly unit: number | null } | null;
  /** Fields of most rows. */
  readonly width: number;
}

const COMMENT = /^\s*(?:#|\/\/|%)/;
/** Nothing that begins a comment is as high as a digit. */
export const isComment = (line: string): boolean => line.charCodeAt(0) < 48 && COMMENT.test(line);
export const isBlank = (line: string): boolean => !(line.charCodeAt(0) > 32) && line.trim() === '';

const mode = (values: readonly number[]): number => {
  const counts = new Map<number, number>();
  for (const v of values) counts.set(v, (counts.get(v) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]?.[0] ?? 0;
};

/** The delimiter that gives most lines the same number of fields, two at least; semicolons, tabs and bars before commas, which may be decimal. */
function delimiterOf(lines: readonly string[]): Delimiter {
  let best: Delimiter = ',';
  let most = 0;
  for (const delimiter of [';', '\t', '|', ','] as const) {
    const widths = lines.map((line) => fieldsOf(line, delimiter).length);
    const width = mode(widths.filter((w) => w > 1));
    const share = widths.filter((w) => w === width).length / Math.max(1, lines.length);
    if (width > 1 && share > most + 0.1) [best, most] = [delimiter, share];
  }
  return best;
}

const BRACKETS = /^(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\)|\{([^}]*)\})\s*$/s;

/** `Engine RPM [rpm]`, `MAP (kPa)`, `Coolant, °C`, `map_kPa`: name and unit apart. */
export function splitTitle(title: string): { readonly name: string; readonly unit: string } {
  const text = title.trim();
  const bracket = BRACKETS.exec(text);
  if (bracket !== null && bracket[1] !== '') return { name: bracket[1] as string, unit: (bracket[2] ?? bracket[3] ?? bracket[4] ?? '').trim() };
  const tail = /^(.+?)\s*[,_]\s*([^,_\s]+)$/.exec(text);
  if (tail !== null && unitOf(tail[2] as string) !== null) return { name: tail[1] as string, unit: tail[2] as string };
  // a column that is called by its unit: RPM, MPH
  const of = unitOf(text)?.of;
  return { name: text, unit: of === 'turning' || of === 'road' ? text : '' };
}

/** What recorders write in the row of units over a switch, or over a plain number. */
const NO_UNIT = /^(?:0\s*(?:or|\/|\||…|-)\s*1|bool(?:ean)?|on\s*\/\s*off|off\s*\/\s*on|-|–|n\/a|1)$/i;
const LOOKS_LIKE_UNIT = (cell: string): boolean =>
  cell.trim() === '' || /^[[({].*[\])}]$/.test(cell.trim()) || NO_UNIT.test(cell.trim()) || unitOf(cell.trim()) !== null;
const bare = (unit: string): string => unit.trim().replace(/^[[({]\s*|\s*[\])}]$/g, '');

/** Filled cells. */
const filled = (cells: readonly string[]): number => cells.filter((cell) => cell.trim() !== '').length;

/** The header, in records before the data, and the row of units between them; a comment will do where there is nothing else. */
function headOf(above: readonly Cut[], comments: readonly Cut[], width: number): { readonly header: Cut | null; readonly units: Cut | null } {
  const last = above.at(-1);
  if (last !== undefined) {
    const hasUnits = above.length > 1 && last.cells.every(LOOKS_LIKE_UNIT) && filled(last.cells) > 0;
    return hasUnits ? { header: above.at(-2) as Cut, units: last } : { header: last, units: null };
  }
  return { header: comments.findLast(({ cells }) => cells.length === width && filled(cells) >= width - 1) ?? null, units: null };
}

interface Cut {
  readonly record: LogRecord;
  readonly cells: readonly string[];
}

/**
 * Reads the layout from the first lines of a log.
 *
 * @returns null when no line holds data: two fields at the least, half of them numbers or stamps
 */
export function layoutOf(lines: readonly string[]): Layout | null {
  const records = recordsOf(lines).filter(({ text }) => text.trim() !== '');
  const plain = records.filter(({ text }) => !isComment(text));
  const delimiter = delimiterOf(plain.slice(-200).map(({ text }) => text));
  const quoted = plain.some(({ text }) => text.includes('"'));
  const rows = plain.map((record): Cut => ({ record, cells: fieldsOf(record.text, delimiter) }));
  const notation = notationOf(rows.flatMap(({ cells }) => cells), delimiter, quoted);
  const isValue = (cell: string): boolean => !Number.isNaN(readingOf(cell, notation)) || isDate(cell) || stampReaderOf([cell], '', notation) !== null;
  const isData = (cells: readonly string[]): boolean => {
    const full = cells.filter((cell) => !isNothing(cell));
    return full.length >= 2 && full.filter(isValue).length >= full.length / 2 && isValue(full[0] as string);
  };
  const data = rows.filter(({ cells }) => isData(cells));
  const width = mode(data.map(({ cells }) => cells.length));
  // a date and a time alone in a line before the header are no data
  const first = rows.findIndex(({ cells }) => isData(cells) && cells.length > width / 2);
  if (first < 0) return null;
  // the header is right before the data; a row that begins with a value is data short of readings
  const begins = ({ cells }: Cut): string => cells.find((cell) => cell.trim() !== '') ?? '';
  const above = rows.slice(0, first).filter((row) => filled(row.cells) >= Math.min(2, width) && !isValue(begins(row)));
  const wide = above.filter(({ cells }) => cells.length > width / 2);
  const comments = records.filter(({ text, index }) => isComment(text) && index < (rows[first] as Cut).record.index)
    .map((record): Cut => ({ record, cells: fieldsOf(record.text.replace(COMMENT, ''), delimiter) }));
  const { header, units } = headOf(wide, comments, width);
  const last = units ?? header;
  const from = last === null ? first : rows.findIndex(({ record }) => record.index > last.record.index);
  const body = rows.slice(first).filter(({ cells }) => isData(cells)).map(({ cells }) => cells);
  const columns = Array.from({ length: width }, (_, index): LogColumn => {
    const title = header?.cells[index]?.trim().replace(/\s+/g, ' ') ?? '';
    const below = bare(units?.cells[index] ?? '');
    if (title === '') return { index, title: `column ${index + 1}`, name: `column ${index + 1}`, unit: below };
    const { name, unit } = splitTitle(title);
    return { index, title, name, unit: below !== '' ? below : unit !== '' ? unit : unitIn(body, index) };
  });
  return {
    delimiter, notation, columns, width,
    headerLine: header === null ? null : header.record.index + 1,
    unitsLine: units === null ? null : units.record.index + 1,
    firstData: (rows[from] as Cut).record.index,
    preamble: from - (header === null || !rows.includes(header) ? 0 : 1) - (units === null ? 0 : 1),
    long: longOf(body, columns, notation),
  };
}

/** The unit that stands behind nearly every number of a column; '' without one. */
function unitIn(rows: readonly (readonly string[])[], column: number): string {
  const cells = rows.map((cells) => cells[column] ?? '').filter((cell) => !isNothing(cell));
  const unit = unitBehind(cells[0] ?? '');
  return unit !== '' && unitOf(unit) !== null && cells.filter((cell) => unitBehind(cell) === unit).length > 0.8 * cells.length ? unit : '';
}
