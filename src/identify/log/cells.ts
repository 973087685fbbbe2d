/** Cells of a log: fields of a line, numbers in either notation, on and off. */
import { parse } from 'csv-parse/sync';

export type Delimiter = ',' | ';' | '\t' | '|';

/** How numbers are written. */
export interface Notation {
  readonly decimal: '.' | ',';
  readonly thousands: '.' | ',' | null;
}

/** Fields that are plain, or wholly within quotation marks; null where a mark means more than that. */
function cutQuoted(line: string, delimiter: Delimiter): string[] | null {
  const fields: string[] = [];
  for (let at = 0; ; at++) {
    if (line.charCodeAt(at) === QUOTE) {
      const end = line.indexOf('"', at + 1);
      if (end < 0 || (end + 1 < line.length && line[end + 1] !== delimiter)) return null;
      fields.push(line.slice(at + 1, end));
      at = end + 1;
    } else {
      const end = line.indexOf(delimiter, at);
      const field = line.slice(at, end < 0 ? line.length : end);
      fields.push(field);
      at += field.length;
    }
    if (at >= line.length) return fields;
  }
}

const QUOTE = 34;

/**
 * The fields of a line. Plain lines, nearly all of any log, are cut at the delimiter, which is several times as fast as the
 * library; the library takes those in which a quotation mark means more. A mark that is never closed is a letter like any other.
 */
export function fieldsOf(line: string, delimiter: Delimiter): readonly string[] {
  if (!line.includes('"')) return line.split(delimiter);
  const plain = cutQuoted(line, delimiter);
  if (plain !== null) return plain;
  try {
    const rows = parse(line, { delimiter, relax_quotes: true, relax_column_count: true }) as string[][];
    return rows[0] ?? [];
  } catch {
    return line.split(delimiter).map((field) => field.replace(/^"|"$/g, ''));
  }
}

const LEADING = /^[+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?(?=\s*(?:[%°℃℉\ufffda-zA-Zµμ].*)?$)/;
/** Blanks and apostrophes between thousands, as in 1 234 and 1'234. */
const GROUPED = /(?<=\d)[\u0020\u00a0\u2009\u202f'’](?=\d{3}(?!\d))/g;

/** What recorders write for no reading. */
const NOTHING = new Set(['', '-', '--', '---', '–', '—', '...', 'na', 'n.a.', 'nd', 'not available', 'unavailable', 'unknown', 'missing', 'no value', '#value!', '#div/0!', '#num!', 'undefined', 'n/a', 'nan', '#n/a', 'null', 'none', 'nil', '?', 'inf', '-inf', 'infinity', '∞', '*', 'nodata', 'no data', 'invalid', 'error']);
export const isNothing = (cell: string): boolean => NOTHING.has(cell.trim().toLowerCase());

const ON = new Set(['on', 'true', 'yes', 'active', 'pressed', 'closed', 'enabled', 'engaged', 'ein', 'an', 'ja', 'oui', 'marche', 'si', 'sim', 'ligado']);
const OFF = new Set(['off', 'false', 'no', 'inactive', 'released', 'open', 'disabled', 'disengaged', 'aus', 'nein', 'non', 'arret', 'nao', 'apagado', 'desligado']);

/** A number in plain notation; NaN where the cell is none. */
export function numberOf(cell: string, { decimal, thousands }: Notation): number {
  if (decimal === '.' && thousands === null) return decimalOf(cell);
  let text = cell.trim();
  if (thousands !== null && text.includes(thousands)) text = text.replaceAll(thousands, '');
  if (decimal === ',') text = text.replace(',', '.');
  return decimalOf(text);
}

const [PLUS, MINUS, POINT, ZERO, NINE, SMALL_E] = [43, 45, 46, 48, 57, 101];
const POWERS = Array.from({ length: 16 }, (_, k) => 10 ** k);

/**
 * Number() without what it takes beside decimal numbers: nothing at all as 0, 0x1F, Infinity.
 *
 * Up to fifteen digits are read here: a whole number below 2⁵³ over a power of ten below 10²² is rounded once, so the result
 * is Number()'s own.
 */
function decimalOf(text: string): number {
  const length = text.length;
  if (length > 0 && length < 16) {
    const head = text.charCodeAt(0);
    let k = head === MINUS || head === PLUS ? 1 : 0;
    let [whole, digits, point] = [0, 0, -1];
    for (; k < length; k++) {
      const code = text.charCodeAt(k);
      if (code >= ZERO && code <= NINE) {
        whole = whole * 10 + code - ZERO;
        digits++;
      } else if (code === POINT && point < 0) point = k;
      else break;
    }
    if (k === length && digits > 0) {
      const value = point < 0 ? whole : whole / (POWERS[length - 1 - point] as number);
      return head === MINUS ? -value : value;
    }
  }
  const value = Number(text);
  if (value === 0 && text.trim() === '') return Number.NaN;
  if (text.charCodeAt(0) === ZERO && text.charCodeAt(1) > NINE && (text.charCodeAt(1) | 32) !== SMALL_E) return Number.NaN;
  return Number.isFinite(value) ? value : Number.NaN;
}

/** A reading: a number, one with its unit behind it, on or off as 1 and 0; NaN for anything else. */
export function readingOf(cell: string, notation: Notation): number {
  const value = numberOf(cell, notation);
  if (!Number.isNaN(value)) return value;
  const text = cell.trim();
  const word = text.toLowerCase();
  if (ON.has(word)) return 1;
  if (OFF.has(word)) return 0;
  const leading = LEADING.exec(text.replace(GROUPED, ''))?.[0];
  return leading === undefined ? Number.NaN : numberOf(leading, notation);
}

/** The unit behind the number in a cell, as in `83 °C`; '' without one. */
export function unitBehind(cell: string): string {
  const text = cell.trim();
  const leading = LEADING.exec(text)?.[0];
  return leading === undefined ? '' : text.slice(leading.length).trim();
}

/** Tells the notation from cells that may be numbers, when the delimiter leaves commas to them. */
export function notationOf(cells: Iterable<string>, delimiter: Delimiter, quoted: boolean): Notation {
  let [comma, dot, both, threes] = [0, 0, 0, 0];
  let last: '.' | ',' = '.';
  for (const cell of cells) {
    const text = cell.trim();
    if (!/^[+-]?[\d.,]*\d(?:[eE][+-]?\d+)?$/.test(text)) continue;
    const [hasComma, hasDot] = [text.includes(','), text.includes('.')];
    if (hasComma && hasDot) {
      both++;
      last = text.lastIndexOf(',') > text.lastIndexOf('.') ? ',' : '.';
    } else if (hasComma) {
      comma++;
      if (/^[+-]?\d{1,3}(,\d{3})+$/.test(text)) threes++;
    } else if (hasDot) dot++;
  }
  if (delimiter === ',' && !quoted) return { decimal: '.', thousands: null };
  if (both > 0) return last === ',' ? { decimal: ',', thousands: '.' } : { decimal: '.', thousands: ',' };
  // 1,234 beside 12.5 has its comma between thousands
  if (comma > 0 && dot > 0) return comma === threes ? { decimal: '.', thousands: ',' } : { decimal: ',', thousands: null };
  return { decimal: comma > 0 ? ',' : '.', thousands: null };
}
