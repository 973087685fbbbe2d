/** A sweep as JSON. */
import type { Outcome } from './evaluate.js';
import type { SweptRows } from './sweep.js';

const byKey = <R extends Outcome & { readonly values: readonly (number | null)[] }>(
  { axes }: Pick<SweptRows, 'axes'>, row: R,
): Omit<R, 'values'> & { readonly values: Readonly<Record<string, number | null>> } => ({
  ...row,
  values: Object.fromEntries(axes.map(({ key }, a) => [key, row.values[a] ?? null])),
});

/**
 * Lines of one JSON object, without their ends; a row a line, so that a million cells need not be one string.
 *
 * `{ scenarios, axes: [{ key, unit, spacing, values }], total, complete, starting, ranking, rows }` with the units of
 * `SweepResult`; `more` stands before the rows; `ranking` holds the indices of cells, best first; `values` are by key, in the unit of its axis.
 */
export function* jsonLines(result: SweptRows, more: Readonly<Record<string, unknown>> = {}): Generator<string> {
  const { scenarios, axes, total, complete, starting, rows, ranking } = result;
  const indices = new Uint32Array(ranking.length);
  let place = 0;
  for (const { index } of rows) indices[place++] = index;
  const order = ranking.map((at) => indices[at] as number);
  const head = { scenarios, axes, total, complete, starting: byKey(result, starting), ranking: order, ...more };
  yield '{';
  for (const [name, value] of Object.entries(head)) yield `  ${JSON.stringify(name)}: ${JSON.stringify(value)},`;
  yield '  "rows": [';
  place = 0;
  for (const row of rows) yield `    ${JSON.stringify(byKey(result, row))}${++place < ranking.length ? ',' : ''}`;
  yield '  ]';
  yield '}';
}
