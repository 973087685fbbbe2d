/** A suite on one page: each drill, whether it passes, and the number that decided. */
import type { ScoredMetric, Scoring } from '../score/parameters.js';
import type { Scored } from '../score/score.js';
import { METRIC_ROWS } from './metric-names.js';
import { formatNumber, plural, withUnit } from './numbers.js';
import { table } from './table.js';

export interface SuiteRun {
  readonly drill: string;
  readonly scored: Scored;
  readonly scoring: Scoring;
}

/** What weighs most in a run: its worst metric over the scale that the score charges it by. */
function decided({ scored, scoring }: SuiteRun): string {
  if (scored.stalled) return `stalls at ${withUnit(scored.stallTimeS ?? 0, 's')}`;
  const [missed] = scored.missed;
  if (missed !== undefined) {
    const row = METRIC_ROWS.find(({ name }) => name === missed.limit);
    const value = missed.value === null ? 'not reached' : withUnit(missed.value, row?.unit ?? '');
    return `${row?.label ?? missed.limit} ${value}, allowed ${withUnit(missed.allowed, row?.unit ?? '')}`;
  }
  const shares = METRIC_ROWS.flatMap(({ name, label, unit }) => {
    const scale = scoring.scales[name as ScoredMetric] as number | undefined;
    const value = scored.metrics[name];
    return scale === undefined || value === null ? [] : [{ share: value / scale, text: `${label} ${withUnit(value, unit)}` }];
  });
  const most = shares.reduce((a, b) => (b.share > a.share ? b : a), { share: 0, text: 'nothing to speak of' });
  return most.text;
}

const outcome = ({ scored }: SuiteRun): string => (scored.stalled ? 'stalls' : scored.missed.length > 0 ? 'fails' : 'passes');

/**
 * The page.
 *
 * @returns lines no wider than `columns` (40 at least), the last one the count
 */
export function suiteTable(runs: readonly SuiteRun[], layout: { readonly columns: number; readonly colour: boolean }): string[] {
  const failed = runs.filter((run) => outcome(run) !== 'passes').length;
  return [
    ...table({
      heads: [
        { head: 'drill', align: 'left', names: true },
        { head: '', align: 'left' },
        { head: 'score' },
        { head: 'what decided', align: 'left' },
      ],
      rows: runs.map((run) => [run.drill, outcome(run), formatNumber(run.scored.score, 'score'), decided(run)]),
      columns: layout.columns,
      colour: layout.colour,
    }),
    failed === 0 ? `All ${plural(runs.length, 'drill')} pass.` : `${failed} of ${plural(runs.length, 'drill')} ${failed === 1 ? 'does' : 'do'} not pass.`,
  ];
}
