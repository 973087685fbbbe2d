/** What decides each metric, as bars: the longer, the more. */
import type { MetricSensitivity, SensitivityResult } from '../search/sensitivity.js';
import type { Layout } from './chart.js';
import { palette } from './glyphs.js';
import { formatNumber, plural } from './numbers.js';
import { shortKeys } from './ranking.js';
import { clean, cut, padEnd, padStart, textWidth, wrap } from './text.js';

type Page = Pick<Layout, 'columns' | 'colour'>;

/** A row of the chart. `main` decides the rank; null for a key of which nothing can be said. */
interface Bar {
  readonly key: string;
  readonly main: number | null;
  readonly low: number;
  readonly high: number;
  /** Part of the bar that is drawn solid. */
  readonly solid: number;
  readonly texts: readonly string[];
}

const SOLID = '█';
const LIGHT = '░';
const LONGEST_KEY = 22;
/** Shares below which a key hardly counts. Assumed. */
const HARDLY = 0.05;

const percent = (share: number): string => `${formatNumber(100 * share, 'rpm')}`.replace(/\.\d$/, '');

function barsOf({ result, objective }: MetricSensitivity, names: readonly string[]): { readonly heads: readonly string[]; readonly bars: readonly Bar[] } {
  const nothing = (key: string, columns: number): Bar => ({ key, main: null, low: 0, high: 0, solid: 0, texts: new Array<string>(columns).fill('–') });
  if (result.kind === 'sobol') {
    return {
      heads: ['in all', '95 of 100', 'alone'],
      bars: result.indices.map(({ first, total }, i) => total === null || first === null ? nothing(names[i] as string, 3) : {
        key: names[i] as string, main: total.value, low: total.low, high: total.high,
        solid: Math.min(Math.max(0, first.value), Math.max(0, total.value)),
        texts: [`${percent(total.value)} %`, `${percent(total.low)} … ${percent(total.high)}`, `${percent(first.value)} %`],
      }),
    };
  }
  if (result.kind === 'none') return { heads: [], bars: [] };
  const { unit } = objective;
  return {
    heads: [unit === '' ? 'μ*' : `μ*, ${unit}`, '95 of 100', 'σ', 'more of it'],
    bars: result.indices.map((index, i) => index === null ? nothing(names[i] as string, 4) : {
      key: names[i] as string, main: index.size.value, low: index.size.low, high: index.size.high, solid: index.size.value,
      texts: [
        formatNumber(index.size.value, unit), `${formatNumber(index.size.low, unit)} … ${formatNumber(index.size.high, unit)}`,
        formatNumber(index.scatter, unit), index.size.value === 0 ? 'nothing' : index.mean > 0.9 * index.size.value ? 'raises' : index.mean < -0.9 * index.size.value ? 'lowers' : 'either',
      ],
    }),
  };
}

const byRank = (a: Bar, b: Bar): number => (b.main ?? -Infinity) - (a.main ?? -Infinity);

function drawn(heads: readonly string[], bars: readonly Bar[], { columns, colour }: Page): string[] {
  const paint = palette(colour);
  const widths = heads.map((head, i) => Math.max(textWidth(head), ...bars.map(({ texts }) => textWidth(texts[i] as string))));
  const left = Math.min(LONGEST_KEY, Math.max(...bars.map(({ key }) => textWidth(key))));
  const room = Math.max(6, columns - left - 2 - widths.reduce((sum, width) => sum + width + 2, 0));
  const longest = Math.max(...bars.map(({ main }) => main ?? 0));
  const cells = (value: number): number => (longest <= 0 ? 0 : Math.round((Math.max(0, value) / longest) * room));
  const numbers = (texts: readonly string[]): string => texts.map((text, i) => `  ${padStart(text, widths[i] as number)}`).join('');
  return [
    paint.bold(`${' '.repeat(left + 2 + room)}${numbers(heads)}`),
    ...bars.map(({ key, main, solid, texts }) => {
      const [whole, part] = [cells(main ?? 0), cells(solid)];
      return `${padEnd(cut(key, left), left)}  ${padEnd(SOLID.repeat(Math.min(part, whole)) + LIGHT.repeat(Math.max(0, whole - part)), room)}${numbers(texts)}`;
    }),
  ];
}

/** In words: what decides, what hardly counts, and whether the order is settled. */
function inWords(bars: readonly Bar[], sobol: boolean): string {
  const [first, second] = bars;
  if (first === undefined || first.main === null || first.main <= 0) return 'Nothing here makes it differ.';
  const hardly = bars.filter(({ main }) => main !== null && main < HARDLY * (sobol ? 1 : (first.main as number)));
  const told = hardly.length === 0 ? '' : ` ${hardly.map(({ key }) => key).join(', ')} hardly ${hardly.length === 1 ? 'counts' : 'count'} over ${hardly.length === 1 ? 'its range' : 'their ranges'}.`;
  if (second === undefined) return `${first.key} is all that varies.`;
  const open = second.main !== null && second.high > first.low;
  return `${open ? `${first.key} or ${second.key} decides most: the intervals overlap, and more --samples may part them.` : `${first.key} decides most.`}${told}`;
}

/**
 * A chart for each metric, then what the bars mean.
 *
 * @returns lines no wider than `columns` (60 at least)
 */
export function sensitivityCharts(result: SensitivityResult, page: Page): string[] {
  const columns = Math.max(60, Math.floor(page.columns));
  const paint = palette(page.colour);
  const keys = result.ranges.map(({ key }) => key);
  const names = shortKeys(keys).map(clean);
  const lines: string[] = [];
  for (const metric of result.metrics) {
    const { objective, absent, reason } = metric;
    lines.push(paint.bold(`${objective.label}${objective.unit === '' ? '' : `, ${objective.unit}`}`));
    if (metric.result.kind === 'none') {
      const why = metric.result.reason;
      lines.push(...wrap(`  no indices: ${why}${absent === 0 ? '' : `; absent in ${absent} of ${plural(result.done, 'run')}, first because ${clean(reason ?? '')}`}`, columns, 2), '');
      continue;
    }
    const { heads, bars } = barsOf(metric, names);
    const ranked = [...bars].sort(byRank);
    lines.push(...drawn(heads, ranked, { ...page, columns }));
    if (metric.result.kind === 'sobol') {
      const { mean, variance } = metric.result;
      const unit = objective.unit === '' ? '' : ` ${objective.unit}`;
      lines.push(...wrap(`Mean ${formatNumber(mean, objective.unit || 'score')}${unit}, standard deviation ${formatNumber(Math.sqrt(variance), objective.unit || 'score')}${unit}. ${inWords(ranked, true)}`, columns, 2));
    } else lines.push(...wrap(inWords(ranked, false), columns, 2));
    if (absent > 0) {
      const left = result.method === 'sobol' ? 'base points that need one of these are' : 'effects that need one of these are';
      lines.push(...wrap(`Absent in ${absent} of ${plural(result.done, 'run')}, first because ${clean(reason ?? '')}; ${left} left out, so this holds for the runs that have it.`, columns, 2));
    }
    if (bars.some(({ main }) => main === null)) lines.push(...wrap('–: too few runs have it with this key stepped', columns, 2));
    lines.push('');
  }
  return [...lines, ...meaning(result, names, keys).flatMap((text) => wrap(text, columns, 2))];
}

function meaning(result: SensitivityResult, names: readonly string[], keys: readonly string[]): string[] {
  const { method, ranges, samples, stalled, done, seed } = result;
  return [
    ...ranges.map(({ lo, hi, unit, spacing }, i) => {
      const name = names[i] === keys[i] ? names[i] : `${names[i]} is ${clean(keys[i] as string)},`;
      return `${name} from ${formatNumber(lo)} to ${formatNumber(hi)}${unit === '' ? '' : ` ${unit}`}${spacing === 'log' ? ' in equal ratios' : ''}`;
    }),
    ...(method === 'sobol'
      ? [
        `${SOLID} alone: share of the variance that goes with this setting by itself; ${LIGHT} the rest of its share in all, made together with others. Shares in all may add up to more than 100 %.`,
        `Sobol’ indices, ${plural(samples, 'base point')}, ${plural(done, 'run')}, seed ${seed}; intervals by resampling.`,
      ]
      : [
        'μ*: what a step of this setting does, its sign set aside, as if over its whole range; σ: how much that differs from place to place. Where σ is as large as μ*, the effect bends or depends on other settings.',
        `Morris’s effects, ${samples} trajectories, ${plural(done, 'run')}, seed ${seed}; intervals by resampling.`,
      ]),
    ...(stalled > 0 ? [`${stalled} of ${plural(done, 'run')} ${stalled === 1 ? 'stalls' : 'stall'}: a stall is charged so much that it outweighs all else in the score. Narrower ranges show the rest.`] : []),
  ];
}
