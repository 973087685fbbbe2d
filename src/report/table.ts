/**
 * Tables in a plain style: a rule under the heads, no other lines, numbers at the right, units under the heads.
 *
 * A table that is too wide becomes several under each other, each with the columns that name a row; where not even those
 * and one more fit, rows are written out one number a line. Nothing wraps. What does not exist is a dash with the number
 * of its reason below.
 */
import CliTable3 from 'cli-table3';
import { palette } from './glyphs.js';
import { clean, cut, padEnd, padStart, textWidth, wrap } from './text.js';

export interface TableHead {
  readonly head: string;
  readonly unit?: string;
  /** Text stands at the left, numbers (when not given) at the right. */
  readonly align?: 'left' | 'right';
  /** Names the row: repeated in each part of a table that is split, and cut when too long. */
  readonly names?: boolean;
  /** Columns that belong together: where a table must be split, it is first split between these. */
  readonly part?: number;
}

/** A text, or nothing, with the reason why. */
export type TableCell = string | { readonly absent: string };

export interface TableOptions {
  readonly heads: readonly TableHead[];
  readonly rows: readonly (readonly TableCell[])[];
  readonly columns: number;
  readonly colour: boolean;
  /** Parts beyond which rows are written out instead; as many as it takes when not given. */
  readonly mostParts?: number;
}

const GAP = 2;
const DASH = '–';
/** Width down to which a name is cut before rows are written out. */
const LEAST_NAME = 8;
const NO_LINES = Object.fromEntries(
  [
    'top',
    'top-mid',
    'top-left',
    'top-right',
    'bottom',
    'bottom-mid',
    'bottom-left',
    'bottom-right',
    'left',
    'left-mid',
    'right',
    'right-mid',
  ].map((name) => [name, '']),
);

const superscript = (n: number): string => [...String(n)].map((digit) => '⁰¹²³⁴⁵⁶⁷⁸⁹'.charAt(Number(digit))).join('');

/** Reasons in the order they come up, each once. */
interface Notes {
  readonly mark: (reason: string) => string;
  readonly lines: (columns: number) => string[];
}

function createNotes(): Notes {
  const reasons: string[] = [];
  return {
    mark: (reason) => {
      const text = clean(reason);
      if (!reasons.includes(text)) reasons.push(text);
      return superscript(reasons.indexOf(text) + 1);
    },
    lines: (columns) => reasons.flatMap((reason, i) => wrap(`${superscript(i + 1)} ${reason}`, columns, 2)),
  };
}

const rightAligned = (head: TableHead): boolean => head.align !== 'left';

/** A head in lines, one word each, the unit last. */
function headLines(head: TableHead): string[] {
  const words = clean(head.head).split(' ');
  return head.unit === undefined || head.unit === '' ? words : [...words, head.unit];
}

/** Draws columns that are known to fit. */
function draw(
  heads: readonly TableHead[],
  widths: readonly number[],
  rows: readonly (readonly string[])[],
  bold: (text: string) => string,
): string[] {
  const high = Math.max(...heads.map((head) => headLines(head).length));
  const fit = (text: string, i: number): string => {
    const width = widths[i] as number;
    return rightAligned(heads[i] as TableHead) ? padStart(cut(text, width), width) : padEnd(cut(text, width), width);
  };
  const table = new CliTable3({
    head: heads.map((head, i) => {
      const lines = headLines(head);
      return [...new Array<string>(high - lines.length).fill(''), ...lines].map((line) => fit(line, i)).join('\n');
    }),
    colAligns: heads.map((head) => (rightAligned(head) ? 'right' : 'left')),
    chars: { ...NO_LINES, middle: ' '.repeat(GAP), mid: '─', 'mid-mid': '─'.repeat(GAP) },
    style: { head: [], border: [], compact: true, 'padding-left': 0, 'padding-right': 0 },
  });
  for (const row of rows) table.push(row.map(fit));
  const lines = table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd());
  return lines.map((line, i) => (i < high ? bold(line) : line));
}

/** Splits the columns that are not names into groups that fit beside the names; null when one does not. */
function split(heads: readonly TableHead[], widths: readonly number[], room: number): number[][] | null {
  const free = heads.flatMap((head, i) => (head.names === true ? [] : [i]));
  const size = (group: readonly number[]): number => group.reduce((sum, i) => sum + GAP + (widths[i] as number), 0);
  if (free.some((i) => size([i]) > room)) return null;
  if (size(free) <= room) return [free];
  const parts = [...new Set(free.map((i) => heads[i]?.part ?? 0))].map((part) =>
    free.filter((i) => (heads[i]?.part ?? 0) === part),
  );
  const groups: number[][] = [];
  for (const part of parts) {
    const last = groups.at(-1);
    if (last !== undefined && size([...last, ...part]) <= room) last.push(...part);
    else if (size(part) <= room) groups.push([...part]);
    else {
      groups.push([]);
      for (const i of part) {
        if (size([...(groups.at(-1) as number[]), i]) > room) groups.push([]);
        groups.at(-1)?.push(i);
      }
    }
  }
  return groups.filter((group) => group.length > 0);
}

/**
 * A table, in lines no wider than `columns` (40 at least).
 *
 * @throws RangeError if a row has not as many cells as there are heads
 */
export function table(options: TableOptions): string[] {
  const { heads, rows, colour } = options;
  const columns = Math.max(40, Math.floor(options.columns));
  const paint = palette(colour);
  const notes = createNotes();
  rows.forEach((row, i) => {
    if (row.length !== heads.length) throw new RangeError(`table: row ${i} has ${row.length} cells under ${heads.length} heads`);
  });
  const texts = rows.map((row) => row.map((cell) => (typeof cell === 'string' ? clean(cell) : DASH + notes.mark(cell.absent))));
  const natural = heads.map((head, i) =>
    Math.max(1, ...headLines(head).map(textWidth), ...texts.map((row) => textWidth(row[i] as string))),
  );
  const names = heads.flatMap((head, i) => (head.names === true ? [i] : []));
  const widest = Math.max(0, ...natural.filter((_, i) => heads[i]?.names !== true));

  // names give way first, the widest of them one cell at a time
  const widths = [...natural];
  const named = (): number => names.reduce((sum, i) => sum + (widths[i] as number) + GAP, -GAP);
  const most = Math.max(columns - GAP - widest, 0);
  const bound = Math.min(most, Math.max(Math.floor(columns / 2), LEAST_NAME));
  while (named() > bound) {
    const i = names.reduce((a, b) => ((widths[b] as number) > (widths[a] as number) ? b : a), names[0] as number);
    if ((widths[i] as number) <= LEAST_NAME) break;
    (widths[i] as number)--;
  }
  const parts = named() > most ? null : split(heads, widths, columns - Math.max(0, named()) - (names.length === 0 ? -GAP : 0));
  const groups = parts !== null && parts.length > (options.mostParts ?? parts.length) ? null : parts;
  const lines: string[] = [];
  if (groups === null) {
    const label = (i: number): string => clean(heads[i]?.head ?? '') + (heads[i]?.unit ? `, ${heads[i]?.unit}` : '');
    const free = heads.flatMap((head, i) => (head.names === true ? [] : [i]));
    const width = Math.min(Math.floor(columns / 2), Math.max(0, ...free.map((i) => textWidth(label(i)))));
    for (const row of texts) {
      lines.push(
        paint.bold(
          cut(names.map((i) => `${i === names[0] ? '' : `${clean(heads[i]?.head ?? '')} `}${row[i]}`).join('  '), columns),
        ),
      );
      for (const i of free)
        lines.push(`  ${padEnd(cut(label(i), width), width)}  ${cut(row[i] as string, columns - width - 4)}`.trimEnd());
    }
  } else {
    groups.forEach((group, part) => {
      const shown = [...names, ...group];
      if (part > 0) lines.push('');
      const pick = <T>(all: readonly T[]): T[] => shown.map((i) => all[i] as T);
      lines.push(...draw(pick(heads), pick(widths), texts.map(pick), paint.bold));
    });
  }
  return [...lines, ...notes.lines(columns).map(paint.dim)];
}
