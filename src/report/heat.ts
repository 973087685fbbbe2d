/**
 * A map of scores over two settings, in characters: the denser, the worse.
 *
 * Scores have long tails, so each of the five densities holds a fifth of the runs that finished, with its bounds printed;
 * a linear scale would spend four of them on the worst corner. Stalls and cells that could not be run have
 * marks of their own; a missed limit is marked within the density.
 */
import type { Layout } from './chart.js';
import { palette } from './glyphs.js';
import { formatNumber, plural } from './numbers.js';
import { clean, cut, padStart, textWidth, wrap } from './text.js';

export interface HeatAxis {
  readonly key: string;
  readonly unit: string;
  readonly values: readonly number[];
}

/** A score; one that goes with a missed limit; or none: stalled, not to be run, or not reached before the sweep ended. */
export type HeatCell = number | { readonly missed: number } | 'stalled' | 'notRun' | 'unreached';

export interface HeatMap extends Pick<Layout, 'columns' | 'colour'> {
  /** Left to right, and bottom to top. */
  readonly x: HeatAxis;
  readonly y: HeatAxis;
  /** `score[j][i]`, or `score(i, j)`, at `x.values[i]` and `y.values[j]`: a million cells need not be laid out. */
  readonly score: readonly (readonly HeatCell[])[] | ((i: number, j: number) => HeatCell);
  /** Most rows of cells; all when not given. */
  readonly rows?: number;
}

const DENSITY = ['·', '░', '▒', '▓', '█'] as const;
const STALLED = '×';
const MISSED = '!';
const NOT_RUN = '?';
const BEST = '◆';
const MARKS = { stalled: STALLED, notRun: NOT_RUN, unreached: ' ' } as const;
/** A space at which no line is broken. */
const TIED = '\u00a0';

/** Every n-th place so that at most `most` stay, the best one's among them. */
function thinned(count: number, most: number, keep: number): { readonly shown: readonly number[]; readonly stride: number } {
  const stride = Math.max(1, Math.ceil(count / Math.max(1, most)));
  const places = Array.from({ length: count }, (_, i) => i);
  return { shown: places.filter((i) => i % stride === keep % stride), stride };
}

const ordinal = (n: number): string =>
  `${n}${n % 100 >= 11 && n % 100 <= 13 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th')}`;
/** Values of an axis, all with as many decimals as the one that needs most. */
function axisLabels(values: readonly number[]): string[] {
  const texts = values.map((value) => formatNumber(value));
  if (texts.some((text) => text.includes('e'))) return texts;
  const decimals = Math.max(...texts.map((text) => text.split('.')[1]?.length ?? 0));
  return texts.map((text) =>
    decimals === 0 ? text : `${text.split('.')[0]}.${(text.split('.')[1] ?? '').padEnd(decimals, '0')}`,
  );
}

const isMissed = (cell: HeatCell): boolean => typeof cell === 'object';
const scoreOf = (cell: HeatCell): number | null => (typeof cell === 'number' ? cell : typeof cell === 'object' ? cell.missed : null);

/** A mark in a cell of one to three columns. */
const centred = (mark: string, cell: number): string => ` ${mark} `.slice(cell === 3 ? 0 : 1, cell === 1 ? 2 : 3);

const labelOf = (axis: HeatAxis): string => clean(axis.key) + (axis.unit === '' ? '' : `, ${axis.unit}`);

/** What reads a cell. @throws RangeError if the scores do not match the axes */
function readerOf({ x, y, score }: HeatMap): (i: number, j: number) => HeatCell {
  if (typeof score === 'function') return score;
  if (score.length !== y.values.length || score.some((row) => row.length !== x.values.length)) {
    throw new RangeError(`heat map: scores are not ${y.values.length} rows of ${x.values.length}`);
  }
  return (i, j) => (score[j] as readonly HeatCell[])[i] as HeatCell;
}

/** Scores in rising order, where the best is, and how many cells have no score or miss a limit. @throws RangeError if one is not finite */
function survey(across: number, up: number, at: (i: number, j: number) => HeatCell) {
  const scores = new Float64Array(across * up);
  const counts = { stalled: 0, notRun: 0, unreached: 0, missed: 0 };
  let found = 0;
  let best: { readonly value: number; readonly i: number; readonly j: number } | null = null;
  for (let j = 0; j < up; j++) {
    for (let i = 0; i < across; i++) {
      const cell = at(i, j);
      if (typeof cell === 'string') {
        counts[cell] += 1;
        continue;
      }
      if (isMissed(cell)) counts.missed += 1;
      const value = scoreOf(cell) as number;
      if (!Number.isFinite(value)) throw new RangeError('heat map: a score is not finite');
      scores[found++] = value;
      if (best === null || value < best.value) best = { value, i, j };
    }
  }
  return { counts, best, sorted: scores.slice(0, found).sort() };
}

/**
 * The heat map with axes, scale and marks.
 *
 * @returns lines no wider than `columns` (40 at least)
 * @throws RangeError if the scores do not match the axes or one is not finite
 */
export function heatMap(map: HeatMap): string[] {
  const { x, y } = map;
  if (x.values.length === 0 || y.values.length === 0) throw new RangeError('heat map: an axis has no values');
  const at = readerOf(map);
  const columns = Math.max(40, Math.floor(map.columns));
  const paint = palette(map.colour);
  const { counts, sorted, best } = survey(x.values.length, y.values.length, at);
  const bound = (fifth: number): number =>
    sorted[Math.min(sorted.length - 1, Math.ceil((fifth * sorted.length) / DENSITY.length) - 1)] as number;
  const density = (value: number): number =>
    DENSITY.findIndex((_, fifth) => fifth === DENSITY.length - 1 || value <= bound(fifth + 1));

  const yLabels = axisLabels(y.values);
  const xLabels = axisLabels(x.values);
  const left = Math.max(...yLabels.map(textWidth)) + 1;
  const room = columns - left - 2;
  // a missed limit is told beside the density, which takes two columns at least
  const narrowest = counts.missed > 0 ? 2 : 1;
  const cell = Math.max(narrowest, Math.min(3, Math.floor(room / x.values.length)));
  const across = thinned(x.values.length, Math.floor(room / cell), best?.i ?? 0);
  const up = thinned(y.values.length, map.rows ?? y.values.length, best?.j ?? 0);

  const lines = [paint.bold(cut(labelOf(y), columns))];
  for (const j of [...up.shown].reverse()) {
    const drawn = across.shown.map((i) => {
      const value = at(i, j);
      const number = scoreOf(value);
      if (number === null) return centred(MARKS[value as keyof typeof MARKS], cell);
      const missed = isMissed(value);
      if (best === null || i !== best.i || j !== best.j) {
        const glyph = DENSITY[density(number)] as string;
        return missed ? `${glyph}${MISSED}${cell === 3 ? glyph : ''}` : glyph.repeat(cell);
      }
      return paint.bold(missed ? `${cell === 3 ? ' ' : ''}${BEST}${MISSED}` : centred(BEST, cell));
    });
    lines.push(`${padStart(yLabels[j] as string, left - 1)} │${drawn.join('')}`);
  }
  const line = new Array<string>(across.shown.length * cell).fill('─');
  const under = new Array<string>(columns - left - 1).fill(' ');
  let free = 0;
  across.shown.forEach((i, place) => {
    const label = xLabels[i] as string;
    const tick = place * cell + (cell === 3 ? 1 : 0);
    const start = Math.min(tick, under.length - label.length);
    if (start < free || start < 0) return;
    line[tick] = '┬';
    [...label].forEach((character, k) => (under[start + k] = character));
    free = start + label.length + 2;
  });
  lines.push(`${' '.repeat(left)}└${line.join('')}`, `${' '.repeat(left + 1)}${under.join('')}`.trimEnd());
  lines.push(
    padStart(cut(labelOf(x), columns), Math.min(columns, Math.max(textWidth(labelOf(x)), left + 1 + across.shown.length * cell))),
  );

  const tell = (mark: string, what: string, count: number): void => {
    if (count > 0) legend.push(`${mark} ${what} (${count} of ${plural(x.values.length * y.values.length, 'cell')})`);
  };
  const legend: string[] = [];
  if (best !== null) {
    legend.push(
      `${BEST} best ${formatNumber(best.value, 'score')} at ${clean(x.key)} ${formatNumber(x.values[best.i] as number)}, ${clean(y.key)} ${formatNumber(y.values[best.j] as number)}`,
    );
    const used = DENSITY.map((_, place) => place).filter((place) => sorted.some((value) => density(value) === place));
    legend.push(
      `score, lower is better: ${used.map((place) => `${DENSITY[place]}${TIED}to${TIED}${formatNumber(place === DENSITY.length - 1 ? (sorted[sorted.length - 1] as number) : bound(place + 1), 'score')}`).join('  ')}`,
    );
  }
  tell(STALLED, 'stalls', counts.stalled);
  tell(MISSED, 'misses a limit', counts.missed);
  tell(NOT_RUN, 'could not be run', counts.notRun);
  tell('blank:', 'not reached', counts.unreached);
  if (across.stride > 1)
    legend.push(
      `too wide for ${columns} columns: every ${ordinal(across.stride)} value of ${clean(x.key)} is shown, ${across.shown.length} of ${x.values.length}`,
    );
  if (up.stride > 1)
    legend.push(
      `too high for ${map.rows} rows: every ${ordinal(up.stride)} value of ${clean(y.key)} is shown, ${up.shown.length} of ${y.values.length}`,
    );
  return [...lines, ...legend.flatMap((text) => wrap(text, columns, 2).map((part) => part.replaceAll(TIED, ' ')))];
}
