/** A sensitivity analysis as JSON and as a table of comma-separated values. */
import { csvField } from '../search/csv.js';
import type { MetricSensitivity, SensitivityMethod, SensitivityResult } from '../search/sensitivity.js';

/** One key's numbers; null where there are none. */
function keyNumbers({ result }: MetricSensitivity, method: SensitivityMethod, i: number): Readonly<Record<string, number | null>> {
  if (method === 'sobol') {
    const { first, total, used } = (result.kind === 'sobol' ? result.indices[i] : undefined) ?? { first: null, total: null, used: 0 };
    return {
      first: first?.value ?? null, firstLow: first?.low ?? null, firstHigh: first?.high ?? null,
      total: total?.value ?? null, totalLow: total?.low ?? null, totalHigh: total?.high ?? null, used,
    };
  }
  const index = result.kind === 'morris' ? (result.indices[i] ?? null) : null;
  return {
    muStar: index?.size.value ?? null, muStarLow: index?.size.low ?? null, muStarHigh: index?.size.high ?? null,
    mu: index?.mean ?? null, sigma: index?.scatter ?? null, used: index?.used ?? 0,
  };
}

const SOBOL = ['first', 'firstLow', 'firstHigh', 'total', 'totalLow', 'totalHigh', 'used'];
const MORRIS = ['muStar', 'muStarLow', 'muStarHigh', 'mu', 'sigma', 'used'];

/** Lines without their ends: a line a metric and key, numbers at full precision, absent ones empty. */
export function* sensitivityCsv(result: SensitivityResult): Generator<string> {
  const columns = result.method === 'sobol' ? SOBOL : MORRIS;
  const line = (fields: readonly (string | number | null)[]): string => fields.map(csvField).join(',');
  yield line(['metric', 'unit', 'key', ...columns, 'absent', 'reason']);
  for (const metric of result.metrics) {
    const reason = metric.result.kind === 'none' ? metric.result.reason : metric.reason;
    for (const [i, { key }] of result.ranges.entries()) {
      const numbers = keyNumbers(metric, result.method, i);
      yield line([metric.objective.option, metric.objective.unit, key, ...columns.map((name) => numbers[name] ?? null), metric.absent, reason]);
    }
  }
}

/** A plain object: the settings of the analysis, then for each metric a list of keys with their numbers. */
export function sensitivityObject({ metrics, ...head }: SensitivityResult): object {
  return {
    ...head,
    complete: head.done === head.total,
    metrics: metrics.map((metric) => ({
      metric: metric.objective.option, unit: metric.objective.unit, absent: metric.absent, absentReason: metric.reason,
      reason: metric.result.kind === 'none' ? metric.result.reason : null,
      ...(metric.result.kind === 'sobol' ? { mean: metric.result.mean, variance: metric.result.variance } : {}),
      keys: head.ranges.map(({ key }, i) => ({ key, ...keyNumbers(metric, head.method, i) })),
    })),
  };
}
