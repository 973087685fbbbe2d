/** A scenario with numbers replaced: what a sweep does for every cell. */
import { fill, type Partly, stored } from '../parameter/fill.js';
import type { Curve, CurveRow, Quantity, Row, Table } from '../parameter/table.js';
import type { ValveRange } from '../plant/types.js';
import { contradictions } from './check.js';
import { axisRow, leavesUnder, numericKeys } from './leaves.js';
import { nearestName } from './problem.js';
import { isAir, rowsUnder, type Scenario, scenarioTableFor, shownUnit, valveRange, withUnit } from './table.js';

type Loose = Readonly<Record<string, unknown>>;

/** Not a numeric key; the caller knows the names to suggest. */
class Unknown extends Error {}

/**
 * The scenario with numbers replaced; all else is shared with the one given. What follows from a number (the range of a
 * valve, defaults in its unit) follows here as it does when a file says the same.
 *
 * @param values keys as `numericKeys` names them, numbers in documented units
 * @throws RangeError when a key is unknown, a number out of its range or not whole, or settings then contradict each other
 */
export function withValues(scenario: Scenario, values: ReadonlyMap<string, number>): Scenario {
  const before = valveRange(scenario.valve);
  let result = scenario;
  const put = (path: string, value: number, range: ValveRange): void => {
    try {
      result = replaced(
        { kind: 'group', rows: scenarioTableFor(range), meaning: '' },
        result,
        path.split('.'),
        value,
        path,
        range,
      ) as Scenario;
    } catch (error) {
      if (!(error instanceof Unknown)) throw error;
      const near = nearestName(
        path,
        numericKeys(scenario).map((key) => key.path),
      );
      throw new RangeError(`${path}: no numeric key of this scenario${near === null ? '' : `; did you mean ${near}?`}`);
    }
  };
  const [valves, others] = [
    [...values].filter(([path]) => path.startsWith('valve.')),
    [...values].filter(([path]) => !path.startsWith('valve.')),
  ];
  for (const [path, value] of valves) put(path, value, before);
  const range = valves.length > 0 ? valveRange(result.valve) : before;
  if (range.full !== before.full) result = followRange(result, range);
  for (const [path, value] of others) put(path, value, range);
  const said = others
    .map(([path]) => path.replace(/(controller\.base)\.\d+\.\d+$/, '$1'))
    .filter((path) => path.startsWith('controller.') && isAirKey(path, range));
  if (said.length > 0) result = { ...result, airGiven: [...new Set([...result.airGiven, ...said])] };
  const [first] = contradictions(result);
  if (first !== undefined)
    throw new RangeError(`${first.paths.find((path) => values.has(path)) ?? first.paths[0]}: ${first.message}`);
  return result;
}

/** A copy with one number replaced. */
function replaced(
  row: Row | undefined,
  value: unknown,
  path: readonly string[],
  to: number,
  whole: string,
  range: ValveRange,
): unknown {
  const [key, ...rest] = path;
  if (row === undefined) throw new Unknown();
  if (key === undefined) {
    if (row.kind !== 'quantity') throw new Unknown();
    return checked(row, to, whole, range);
  }
  const index = /^(0|[1-9]\d*)$/.test(key) ? Number(key) : -1;
  if (row.kind === 'list') {
    const items = value as readonly unknown[];
    if (!(index >= 0 && index < items.length)) throw new Unknown();
    return items.with(index, replaced(row.of, items[index], rest, to, whole, range));
  }
  if (row.kind === 'curve') return replacedPoint(row, value as Curve, index, rest, to, whole, range);
  const rows = row.kind === 'group' ? row.rows : row.kind === 'variant' ? rowsUnder(row, String((value as Loose)[row.tag])) : {};
  const under = Object.hasOwn(rows, key) ? rows[key] : undefined;
  if (under === undefined) throw new Unknown();
  const field = under.as ?? key;
  return { ...(value as Loose), [field]: replaced(under, (value as Loose)[field], rest, to, whole, range) };
}

function replacedPoint(
  row: CurveRow,
  curve: Curve,
  index: number,
  rest: readonly string[],
  to: number,
  whole: string,
  range: ValveRange,
): Curve {
  const axis = rest[0] === '0' ? 'x' : rest[0] === '1' ? 'y' : null;
  if (!(index >= 0 && index < curve.x.length) || axis === null || rest.length !== 1) throw new Unknown();
  const points = curve[axis].with(index, checked(axisRow(row, axis), to, whole, range));
  if (axis === 'x' && points.some((x, i) => i > 0 && !(x > points[i - 1]!)))
    throw new RangeError(`${whole}: ${to} is out of order; ${row.x.name} must ascend`);
  return { ...curve, [axis]: points };
}

function checked(row: Quantity, value: number, path: string, range: ValveRange): number {
  const unit = shownUnit(row.unit, range.unit);
  const result = stored(row, value);
  const slack = 1e-12 * Math.max(Math.abs(row.min), Math.abs(row.max)); // as in fill
  if (!(result >= stored(row, row.min - slack) && result <= stored(row, row.max + slack))) {
    throw new RangeError(`${path}: ${withUnit(String(value), unit)} is outside ${withUnit(`${row.min} … ${row.max}`, unit)}`);
  }
  if (row.integer && !Number.isInteger(value))
    throw new RangeError(`${path}: ${withUnit(String(value), unit)} is not a whole number`);
  return result;
}

const isAirKey = (path: string, range: ValveRange): boolean => {
  let row: Row | undefined = { kind: 'group', rows: scenarioTableFor(range) as Table, meaning: '' };
  for (const key of path.split('.'))
    row = row?.kind === 'list' ? row.of : row?.kind === 'group' && Object.hasOwn(row.rows, key) ? row.rows[key] : undefined;
  return (row?.kind === 'quantity' && isAir(row.unit)) || (row?.kind === 'curve' && isAir(row.y.unit));
};

/** The controller's defaults in the valve's unit, and the range that it believes in, put to a new range. */
function followRange(scenario: Scenario, range: ValveRange): Scenario {
  const { controller } = scenarioTableFor(range);
  const given = new Set(scenario.airGiven);
  const strip = (rows: Table, settings: Loose, path: string): Loose =>
    Object.fromEntries(
      Object.entries(rows).flatMap(([key, row]) => {
        const field = row.as ?? key;
        const at = `${path}.${key}`;
        const value = settings[field];
        if (isAirKey(at, range) && !given.has(at)) return [];
        if (row.kind === 'group') return [[field, strip(row.rows, value as Loose, at)]];
        if (row.kind !== 'list' || row.of.kind !== 'group') return [[field, value]];
        const of = row.of.rows;
        return [[field, (value as readonly Loose[]).map((item, i) => strip(of, item, `${at}.${i}`))]];
      }),
    );
  const filled = fill({ controller }, {
    controller: strip(controller.rows, scenario.controller as unknown as Loose, 'controller'),
  } as Partly<unknown> as never);
  for (const { path, row, value } of leavesUnder({ controller }, filled)) {
    if (row.kind !== 'curve' || !isAir(row.y.unit)) continue;
    for (const [i, y] of (value as Curve).y.entries()) checked(axisRow(row, 'y'), y, `${path}.${i}.1`, range);
  }
  return { ...scenario, controller: { ...filled.controller, airFull: filled.controller.airFull ?? range.full } } as Scenario;
}
