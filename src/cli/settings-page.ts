/**
 * The page of a resolved scenario: a heading for each section, under it a line for each key with its value and where that
 * came from. What does not fit its column goes on below, so that nothing is cut.
 */
import type { Entry } from '../scenario/index.js';
import { clean, padEnd, textWidth, wrap } from '../report/text.js';

const INDENT = 2;
const GAP = 2;
/** Cells that the values take at least, where there is room. */
const LEAST_VALUE = 16;
const VALUE_SHARE = 0.36;
const KEY_SHARE = 0.42;

/** Text in lines of a width, broken at spaces, else after the last slash that fits. */
function fold(text: string, width: number): readonly string[] {
  const pieces = text.split(' ').flatMap((word) => {
    const parts: string[] = [];
    let rest = word;
    while (textWidth(rest) > width) {
      const at = rest.lastIndexOf('/', width - 1) + 1;
      if (at <= 0) break;
      parts.push(rest.slice(0, at));
      rest = rest.slice(at);
    }
    return [...parts, rest];
  });
  return wrap(pieces.join(' '), width);
}

const from = ({ origin, source }: Entry): string => (origin === 'default' && source !== undefined ? `default: ${source}` : origin);

/** @param columns cells of the page */
export function settingsPage(entries: readonly Entry[], columns: number): readonly string[] {
  const rows = entries.map((entry) => {
    const path = clean(entry.path);
    const dot = path.indexOf('.');
    return {
      section: dot < 0 ? '' : path.slice(0, dot),
      indent: dot < 0 ? '' : ' '.repeat(INDENT),
      key: path.slice(dot + 1),
      value: entry.text === '' ? 'empty' : clean(entry.text),
      from: clean(from(entry)),
    };
  });
  const longest = (field: 'key' | 'value' | 'from'): number => rows.reduce((most, row) => Math.max(most, textWidth(row[field])), 0);
  const key = Math.min(longest('key') + INDENT, Math.floor(columns * KEY_SHARE));
  const rest = columns - key - 2 * GAP;
  const wanted = Math.max(Math.min(LEAST_VALUE, rest >> 1), Math.floor(rest * VALUE_SHARE), rest - longest('from'));
  const value = Math.min(longest('value'), wanted, rest - 1);
  const gap = ' '.repeat(GAP);
  const lines: string[] = [];
  let section = '';
  for (const row of rows) {
    if (row.section !== section && row.section !== '') lines.push('', row.section);
    section = row.section;
    const cells = [fold(row.key, key - INDENT).map((line) => row.indent + line), fold(row.value, value), fold(row.from, rest - value)];
    const high = Math.max(...cells.map((cell) => cell.length));
    for (let i = 0; i < high; i++) {
      const [a, b, c] = cells.map((cell) => cell[i] ?? '');
      lines.push(`${padEnd(a!, key)}${gap}${padEnd(b!, value)}${gap}${c}`.trimEnd());
    }
  }
  return lines;
}
