/** The front of two objectives: a scatter of all settings with the front marked, and the front as a table. */
import type { SweepRow } from '../search/evaluate.js';
import { type Objective, objectiveOf } from '../search/objectives.js';
import type { Layout } from './chart.js';
import { palette } from './glyphs.js';
import { formatMark, formatNumber, plural } from './numbers.js';
import { shortKeys } from './ranking.js';
import { isLabelled, roundTimes, rowOf, rowScale, rowValue } from './scale.js';
import { table, type TableCell, type TableHead } from './table.js';
import { clean, eventKey, padStart, textWidth, wrap } from './text.js';

export interface FrontPage extends Pick<Layout, 'columns' | 'colour'> {
  readonly objectives: readonly [Objective, Objective];
  /** The front, best in the first objective first. */
  readonly front: readonly SweepRow[];
  /** Settings that are drawn behind it: all others, or some of them where there are very many. */
  readonly others: readonly SweepRow[];
  /** How many settings there were. */
  readonly of: number;
  /** Keys that vary, in the order of a row's values. */
  readonly axes: readonly { readonly key: string; readonly unit: string }[];
  /** Height of the scatter; 15 when not given. */
  readonly rows?: number;
  /** Most rows of the table, spread along the front; 20 when not given. */
  readonly top?: number;
}

const OTHER = '·';
const MANY = ':';
const PLAIN = '◆';

const named = ({ label, unit }: Objective): string => (unit === '' ? label : `${label}, ${unit}`);
const unitOf = ({ unit }: Objective): string => unit || 'score';
type Point = readonly [x: number, y: number];

function pointsOf(rows: readonly SweepRow[], [x, y]: FrontPage['objectives']): Point[] {
  return rows.flatMap((row): Point[] => {
    const [a, b] = [objectiveOf(row, x), objectiveOf(row, y)];
    return a === null || b === null || row.stalled ? [] : [[a, b]];
  });
}

function scatter(page: FrontPage, front: readonly SweepRow[], letters: ReadonlyMap<SweepRow, string>): string[] {
  const { columns, colour, objectives, rows = 15 } = page;
  const paint = palette(colour);
  const others = pointsOf(page.others, objectives);
  const own = pointsOf(front, objectives);
  const of = (axis: 0 | 1): number[] => [...own, ...others].map((point) => point[axis]);
  const [low, high] = [of(1).reduce((a, b) => Math.min(a, b)), of(1).reduce((a, b) => Math.max(a, b))];
  const scale = rowScale(low, high, rows, 1e-9);
  const labels = Array.from({ length: rows }, (_, row) => (isLabelled(scale, row) ? formatMark(rowValue(scale, row), scale.step) : ''));
  const left = Math.max(...labels.map(textWidth));
  const plot = columns - left - 3;
  const [from, to] = [of(0).reduce((a, b) => Math.min(a, b)), of(0).reduce((a, b) => Math.max(a, b))];
  const span = to - from || 1;
  const columnOf = (value: number): number => Math.min(plot - 1, Math.max(0, Math.round(((value - from) / span) * (plot - 1))));

  const grid = Array.from({ length: rows }, () => new Array<string>(plot).fill(' '));
  const put = ([a, b]: Point, glyph: (before: string) => string): void => {
    const line = grid[rows - 1 - rowOf(scale, b)] as string[];
    line[columnOf(a)] = glyph(line[columnOf(a)] as string);
  };
  for (const point of others) put(point, (before) => (before === ' ' ? OTHER : MANY));
  for (const row of [...front].reverse()) for (const point of pointsOf([row], objectives)) put(point, () => letters.get(row) ?? PLAIN);

  const isFront = (glyph: string): boolean => glyph !== ' ' && glyph !== OTHER && glyph !== MANY;
  const lines = [paint.bold(named(objectives[1]))];
  grid.forEach((line, i) => {
    const text = line.map((glyph) => (isFront(glyph) ? paint.bold(glyph) : glyph)).join('').trimEnd();
    lines.push(`${padStart(labels[rows - 1 - i] as string, left)} ${labels[rows - 1 - i] === '' ? '│' : '┤'}${text}`.trimEnd());
  });
  const axis = new Array<string>(plot).fill('─');
  const under = new Array<string>(plot).fill(' ');
  const ticks = roundTimes([from, from + span], Math.max(1, Math.floor(plot / 12)));
  for (const value of ticks.times) {
    const at = columnOf(value);
    const label = formatMark(value, ticks.step);
    const start = Math.max(0, Math.min(at - Math.floor((label.length - 1) / 2), plot - label.length));
    axis[at] = '┬';
    [...label].forEach((character, k) => {
      under[start + k] = character;
    });
  }
  const title = named(objectives[0]);
  return [...lines, `${' '.repeat(left + 1)}└${axis.join('')}`, `${' '.repeat(left + 2)}${under.join('')}`.trimEnd(), padStart(title, left + 2 + plot)];
}

/** At most so many, spread evenly by place, the ends among them. */
function spread<T>(items: readonly T[], most: number): readonly T[] {
  if (items.length <= most) return items;
  if (most === 1) return items.slice(0, 1);
  return Array.from({ length: most }, (_, i) => items[Math.round((i * (items.length - 1)) / (most - 1))] as T);
}

/**
 * The front of two objectives, drawn and listed; letters in the scatter are those of the table.
 *
 * @returns lines no wider than `columns` (40 at least)
 */
export function frontPage(given: FrontPage): string[] {
  const page = { ...given, columns: Math.max(40, Math.floor(given.columns)) };
  const { columns, colour, objectives, front, of, axes, top = 20 } = page;
  const [x, y] = objectives;
  if (front.length === 0) return wrap(`No front of ${x.label} against ${y.label}: no setting that runs through has both.`, columns, 2);
  const shown = spread(front, Math.max(1, top));
  const letters = new Map(shown.flatMap((row, i): [SweepRow, string][] => (eventKey(i).length === 1 ? [[row, eventKey(i)]] : [])));
  const short = shortKeys(axes.map(({ key }) => key));
  const heads: TableHead[] = [
    { head: '', align: 'left', names: true },
    { head: x.label, unit: x.unit, names: true },
    { head: y.label, unit: y.unit, names: true },
    ...axes.map(({ unit }, i): TableHead => ({ head: short[i] as string, unit })),
    ...(x.name === 'score' || y.name === 'score' ? [] : [{ head: 'score' }]),
    { head: 'outcome', align: 'left' },
  ];
  const rows = shown.map((row, i): TableCell[] => [
    eventKey(i),
    formatNumber(objectiveOf(row, x) as number, unitOf(x)),
    formatNumber(objectiveOf(row, y) as number, unitOf(y)),
    ...row.values.map((value) => formatNumber(value)),
    ...(x.name === 'score' || y.name === 'score' ? [] : [formatNumber(row.score as number, 'score')]),
    row.missed.length > 0 ? `${row.missed.length} missed` : 'holds',
  ]);
  const notes = [
    `The front: ${plural(front.length, 'setting')} of ${of} that no other betters in ${x.label} without giving way in ${y.label}${shown.length < front.length ? `; ${shown.length} of them, spread along it, are listed` : ''}.`,
    `${x.label}: ${x.better} is better; ${y.label}: ${y.better} is better. ${OTHER} another setting, ${MANY} several${shown.length < front.length ? `, ${PLAIN} on the front but not listed` : ''}.`,
    ...axes.flatMap(({ key }, i) => (short[i] === key ? [] : [`${short[i]} is ${clean(key)}`])),
  ];
  return [...scatter(page, front, letters), '', ...table({ heads, rows, columns, colour }), ...notes.flatMap((note) => wrap(note, columns, 2))];
}
