/** How a log is laid out: delimiter, decimal sign, header, units, one row a sample or one row a reading. */
import { type Delimiter, fieldsOf, isNothing, type Notation, notationOf, readingOf } from './cells.js';
import { stampReaderOf } from './stamps.js';
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
  return { name: text, unit: '' };
}

/** What recorders write in the row of units over a switch, or over a plain number. */
const NO_UNIT = /^(?:0\s*(?:or|\/|\||…|-)\s*1|bool(?:ean)?|on\s*\/\s*off|off\s*\/\s*on|-|–|n\/a|1)$/i;
const LOOKS_LIKE_UNIT = (cell: string): boolean =>
  cell.trim() === '' || /^[[({].*[\])}]$/.test(cell.trim()) || NO_UNIT.test(cell.trim()) || unitOf(cell.trim()) !== null;
const bare = (unit: string): string => unit.trim().replace(/^[[({]\s*|\s*[\])}]$/g, '');

/**
 * Reads the layout from the first lines of a log.
 *
 * @returns null when no line holds data: two fields at the least, half of them numbers or stamps
 */
export function layoutOf(lines: readonly string[]): Layout | null {
  const plain = lines.flatMap((line, index) => (line.trim() === '' || isComment(line) ? [] : [{ line, index }]));
  const delimiter = delimiterOf(plain.slice(-200).map(({ line }) => line));
  const quoted = plain.some(({ line }) => line.includes('"'));
  const rows = plain.map(({ line, index }) => ({ index, cells: fieldsOf(line, delimiter) }));
  const notation = notationOf(rows.flatMap(({ cells }) => cells), delimiter, quoted);
  const isValue = (cell: string): boolean => !Number.isNaN(readingOf(cell, notation)) || stampReaderOf([cell], '', notation) !== null;
  const isData = (cells: readonly string[]): boolean => {
    const full = cells.filter((cell) => !isNothing(cell));
    return full.length >= 2 && full.filter(isValue).length >= full.length / 2 && isValue(cells.find((cell) => !isNothing(cell)) as string);
  };
  const first = rows.findIndex(({ cells }) => isData(cells));
  if (first < 0) return null;
  const data = rows.slice(first).filter(({ cells }) => isData(cells));
  const width = mode(data.map(({ cells }) => cells.length));
  // the header is right before the data, a row of units between them; a row that begins with a value is data short of readings
  const begins = ({ cells }: { readonly cells: readonly string[] }): string => cells.find((cell) => cell.trim() !== '') ?? '';
  const above = rows.slice(0, first).filter((row) => row.cells.filter((c) => c.trim() !== '').length >= Math.min(2, width) && !isValue(begins(row)));
  const last = above.at(-1);
  const hasUnits = last !== undefined && above.length > 1 && last.cells.every(LOOKS_LIKE_UNIT) && last.cells.some((c) => c.trim() !== '');
  const units = hasUnits ? last : null;
  const header = units === null ? last : above.at(-2);
  const from = last === undefined ? first : rows.indexOf(last) + 1;
  const columns = Array.from({ length: width }, (_, index): LogColumn => {
    const title = header?.cells[index]?.trim() ?? '';
    if (title === '') return { index, title: `column ${index + 1}`, name: `column ${index + 1}`, unit: bare(units?.cells[index] ?? '') };
    const { name, unit } = splitTitle(title);
    const below = bare(units?.cells[index] ?? '');
    return { index, title, name, unit: below === '' ? unit : below };
  });
  return {
    delimiter, notation, columns, width,
    headerLine: header === undefined ? null : header.index + 1,
    unitsLine: units === null ? null : units.index + 1,
    firstData: (rows[from] as { index: number }).index,
    preamble: from - (header === undefined ? 0 : 1) - (units === null ? 0 : 1),
    long: longOf(data.map(({ cells }) => cells), columns, notation),
  };
}

/** One row a reading: a stamp, a name of which there are few, a number, and perhaps a unit. */
function longOf(rows: readonly (readonly string[])[], columns: readonly LogColumn[], notation: Notation): Layout['long'] {
  const cellsOf = (c: number): string[] => rows.map((row) => row[c] ?? '').filter((cell) => !isNothing(cell));
  const isText = (cell: string): boolean => Number.isNaN(readingOf(cell, notation));
  const used = columns.map(({ index }) => index).filter((c) => cellsOf(c).length > 0);
  if (used.length < 3 || used.length > 5 || rows.length < 6) return null;
  const time = used.find((c) => !cellsOf(c).every((cell) => isText(cell)) && stampReaderOf(cellsOf(c), '', notation) !== null)
    ?? used.find((c) => stampReaderOf(cellsOf(c), '', notation) !== null);
  const texts = used.filter((c) => c !== time && cellsOf(c).filter(isText).length > 0.9 * rows.length);
  const names = texts.filter((c) => {
    const distinct = new Set(cellsOf(c)).size;
    return distinct >= 2 && distinct <= rows.length / 3;
  });
  const name = names[0];
  const value = used.find((c) => c !== time && !texts.includes(c) && cellsOf(c).filter(isText).length < 0.3 * rows.length);
  if (time === undefined || name === undefined || value === undefined) return null;
  const unit = texts.find((c) => c !== name && cellsOf(c).filter((cell) => unitOf(cell) !== null).length > cellsOf(c).length / 3);
  return { time, name, value, unit: unit ?? null };
}
