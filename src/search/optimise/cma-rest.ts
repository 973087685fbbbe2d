/** When a run of CMA-ES has come to rest: the criteria of Hansen 2016, B.3, under their names there. */
import type { CmaState } from './cma-es.js';

const MOST_CONDITION = 1e14;
const MOST_GROWTH = 1e4;

const middleOf = (values: readonly number[]): number => [...values].sort((a, b) => a - b)[values.length >> 1] as number;

/** Why the run should end, or null. @param costs of the last generation, one finite at least */
export function restReason({ settings, law, least, middle, population }: CmaState, costs: readonly number[]): string | null {
  const { n, covariance, lengths, pathShape, spread, first } = law;
  const { costTolerance = 1e-12, placeTolerance = 1e-12 } = settings;
  const longest = Math.max(...lengths);
  if (spread * longest > MOST_GROWTH * first) return 'TolXUp';
  if (longest ** 2 > MOST_CONDITION * Math.min(...lengths) ** 2) return 'ConditionCov';
  if (pathShape.every((p, i) => spread * Math.max(Math.abs(p), Math.sqrt(covariance[i * (n + 1)] as number)) < placeTolerance)) return 'TolX';
  const back = 10 + Math.ceil((30 * n) / population);
  if (least.length >= back) {
    const recent = least.slice(-back);
    if (Math.max(...recent, ...costs) - Math.min(...recent, ...costs) <= costTolerance) return 'TolFun';
    if (Math.max(...recent) === Math.min(...recent)) return 'EqualFunValues';
  }
  // neither the least nor the middle costs are lower over the last 30 % of a stretch than over its first 30 %
  const watched = Math.min(20_000, Math.max(120 + Math.ceil((30 * n) / population), Math.floor(least.length / 5)));
  if (least.length > watched && [least, middle].every((history) => {
    const stretch = history.slice(-watched);
    const part = Math.floor(0.3 * watched);
    return middleOf(stretch.slice(-part)) >= middleOf(stretch.slice(0, part));
  })) return 'Stagnation';
  return null;
}
