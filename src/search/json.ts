/** A sweep as JSON. */
import type { Outcome, SweepRow } from './evaluate.js';
import type { SweepResult } from './sweep.js';

const byKey = <R extends Outcome & { readonly values: readonly (number | null)[] }>(
  { axes }: SweepResult, row: R,
): Omit<R, 'values'> & { readonly values: Readonly<Record<string, number | null>> } => ({
  ...row,
  values: Object.fromEntries(axes.map(({ key }, a) => [key, row.values[a] ?? null])),
});

/**
 * Lines of one JSON object, without their ends; a row a line, so that a million cells need not be one string.
 *
 * `{ scenarios, axes: [{ key, unit, spacing, values }], total, complete, starting, ranking, rows }` with the units of
 * `SweepResult`; `ranking` holds the indices of cells, best first; `values` are by key, in the unit of its axis.
 */
export function* jsonLines(result: SweepResult): Generator<string> {
  const { scenarios, axes, total, complete, starting, rows, ranking } = result;
  const order = ranking.map((place) => (rows[place] as SweepRow).index);
  const head = { scenarios, axes, total, complete, starting: byKey(result, starting), ranking: order };
  yield '{';
  for (const [name, value] of Object.entries(head)) yield `  ${JSON.stringify(name)}: ${JSON.stringify(value)},`;
  yield '  "rows": [';
  for (const [i, row] of rows.entries()) yield `    ${JSON.stringify(byKey(result, row))}${i < rows.length - 1 ? ',' : ''}`;
  yield '  ]';
  yield '}';
}
