/** A map of scores over two settings: the darker, the better; what misses a limit is a ring, what stalls a cross. */
import { formatNumber } from '../numbers.js';
import type { PageAxis, PageCell, PageSweep } from '../page-payload.js';
import { box, label, px, type Shape, shape } from './drawing.js';
import { CELL, EDGE, WIDTH } from './picture.js';

type CellMap = NonNullable<PageSweep['map']>;

/** Shades, the best first: each stands for a fifth of the cells that have a score, as on a terminal. */
const SHADES = [1, 0.75, 0.52, 0.32, 0.14] as const;
const MOST_CELL = 36;
const MOST_HIGH = 420;

export const scoreOf = (cell: PageCell): number | null => (typeof cell === 'number' ? cell : typeof cell === 'object' ? cell.missed : null);

/** How dark a score is, 1 for the best, and the scores at which shades end. */
export interface Shading {
  readonly best: number;
  /** Highest score of each shade. */
  readonly ends: readonly number[];
  shade(score: number): number;
}

/** By rank and not by size: the good ones lie close together, and the bad ones far off. Null where no cell has a score. */
export function shadingOf({ rows }: CellMap): Shading | null {
  const sorted = rows.flatMap((row) => row.map(scoreOf).filter((score) => score !== null)).sort((a, b) => a - b);
  if (sorted.length === 0) return null;
  const ends = SHADES.map((_, i) => sorted[Math.ceil(((i + 1) * sorted.length) / SHADES.length) - 1]!);
  return { best: sorted[0]!, ends, shade: (score) => SHADES[Math.max(0, ends.findIndex((end) => score <= end))]! };
}

/** What the marks of a map mean, in words. */
export const mapWords = (map: CellMap): string => {
  const shading = shadingOf(map);
  const has = (is: (cell: PageCell) => boolean): boolean => map.rows.some((row) => row.some(is));
  if (shading === null) return 'no cell has a score';
  const { best, ends } = shading;
  return [
    best === ends.at(-1) ? `filled: score ${formatNumber(best, 'score')}, the same in all` : `filled: score, a fifth of the cells in each shade, from the best, ${formatNumber(best, 'score')}, darkest up to ${formatNumber(ends[0]!, 'score')}, to the worst, ${formatNumber(ends.at(-1)!, 'score')}`,
    ...(has((cell) => typeof cell === 'object') ? ['ringed: misses a limit'] : []), ...(has((cell) => cell === 'stalled') ? ['crossed: stalls'] : []),
    ...(has((cell) => cell === 'notRun' || cell === 'unreached') ? ['empty: no result'] : []),
  ].join('; ');
};

const valueText = (value: number): string => formatNumber(Number(value.toPrecision(3)));

/** Places of an axis that get a number: so many that they do not touch, the ends among them. */
function marked({ values }: PageAxis, each: number, along: boolean): readonly number[] {
  const widest = Math.max(...values.map((value) => valueText(value).length)) * CELL + 6;
  const every = Math.max(1, Math.ceil((along ? widest : 18) / each));
  return values.flatMap((_, i) => (i % every === 0 ? [i] : []));
}

/** @param top of the whole   @returns its shapes, and where it ends */
export function drawMap(map: CellMap, top: number): { readonly shapes: readonly Shape[]; readonly bottom: number } {
  const { x, y, rows } = map;
  const shading = shadingOf(map);
  const left = EDGE + Math.max(...y.values.map((value) => valueText(value).length)) * CELL + 8;
  const each = Math.min(MOST_CELL, (WIDTH - EDGE - left) / x.values.length, MOST_HIGH / y.values.length);
  const from = top + 22;
  const bottom = from + each * y.values.length;
  const place = (i: number, j: number): readonly [number, number] => [left + i * each, bottom - (j + 1) * each];
  const gap = each > 6 ? 1 : 0;
  const marks = new Map<string, string>();
  const add = (of: string, d: string): void => void marks.set(of, (marks.get(of) ?? '') + d);
  let best: { readonly score: number; readonly i: number; readonly j: number } | null = null;
  rows.forEach((row, j) => row.forEach((cell, i) => {
    const score = scoreOf(cell);
    const [cx, cy] = place(i, j);
    if (score !== null) {
      const [inset, of] = typeof cell === 'number' ? [0, 'cell'] : [each / 5, 'ring'];
      const side = px(each - gap - 2 * inset);
      add(`${of} ${shading?.shade(score) ?? 1}`, `M${px(cx + inset)} ${px(cy + inset)}h${side}v${side}h${-side}z`);
      if (typeof cell === 'number' && (best === null || score < best.score)) best = { score, i, j };
    } else if (cell === 'stalled') {
      const side = px(each - gap - 4);
      add('cross 1', `M${px(cx + 2)} ${px(cy + 2)}l${side} ${side}m0 ${-side}l${-side} ${side}`);
    }
  }));
  const shapes: Shape[] = [
    label(`${y.key}${y.unit === '' ? '' : `, ${y.unit}`}`, EDGE, top + 12, 'name'),
    ...[...marks].sort(([a], [b]) => (a < b ? -1 : 1)).map(([name, d]) => {
      const [of, shade] = name.split(' ') as [string, string];
      return shape('path', { class: of, opacity: shade, d });
    }),
    ...marked(y, each, false).map((j) => label(valueText(y.values[j]!), left - 6, place(0, j)[1] + each / 2 + 4.5, 'faint', 'end')),
    ...marked(x, each, true).map((i) => label(valueText(x.values[i]!), place(i, 0)[0] + each / 2, bottom + 16, 'faint', 'middle')),
    label(`${x.key}${x.unit === '' ? '' : `, ${x.unit}`}`, left, bottom + 34, 'name'),
  ];
  if (best !== null) {
    const { i, j } = best as { readonly i: number; readonly j: number };
    const [cx, cy] = place(i, j);
    shapes.push(box('best', cx - 1, cy - 1, each + 1, each + 1));
  }
  return { shapes, bottom: bottom + 38 };
}
