/** The single settings of a resolved scenario, each with its row: what the listings and the sweeps go through. */
import { stored } from '../parameter/fill.js';
import type { Choice, Curve, CurveRow, Flag, Quantity, Row, Table, Text } from '../parameter/table.js';
import { fromSI } from '../parameter/unit.js';
import { rowsUnder, type Scenario, scenarioTableFor, shownUnit, valveRange, withUnit } from './table.js';
import { placeText, type Place, SET } from './problem.js';

export type LeafRow = Quantity | Flag | Choice | Text | CurveRow;

/** One setting. A list without items is a leaf too. */
export interface Leaf {
  readonly path: string;
  readonly row: LeafRow | (Row & { readonly kind: 'list' });
  readonly value: unknown;
}

type Loose = Readonly<Record<string, unknown>>;

/** A stored number in its documented unit: the shortest that is stored as the same bits, if there is one. */
export function documented(row: Pick<Quantity, 'unit' | 'stored'>, value: number): number {
  if (row.stored === 'unit') return value;
  const raw = fromSI(value, row.unit);
  for (let digits = 12; digits <= 17; digits++) {
    const short = Number(raw.toPrecision(digits));
    if (stored(row, short) === value) return short;
  }
  return raw;
}

/** The row of one axis of a curve. */
export const axisRow = (row: CurveRow, axis: 'x' | 'y'): Quantity => ({
  kind: 'quantity',
  ...row[axis],
  stored: row.stored,
  default: 'required',
  meaning: `${row.meaning}: ${row[axis].name}`,
});

function* leavesOf(row: Row, value: unknown, path: string): Generator<Leaf> {
  if (row.kind === 'group') yield* leavesUnder(row.rows, value as Loose, path);
  else if (row.kind === 'variant') {
    const tag = String((value as Loose)[row.tag]);
    yield {
      path: `${path}.${row.tag}`,
      value: tag,
      row: { kind: 'choice', options: Object.keys(row.options), default: row.default, meaning: row.meaning },
    };
    yield* leavesUnder(rowsUnder(row, tag), value as Loose, path);
  } else if (row.kind === 'list') {
    const items = value as readonly unknown[];
    if (items.length === 0) yield { path, row, value };
    for (const [i, item] of items.entries()) yield* leavesOf(row.of, item, `${path}.${i}`);
  } else yield { path, row, value };
}

export function* leavesUnder(rows: Table, settings: Loose, path = ''): Generator<Leaf> {
  for (const [key, row] of Object.entries(rows))
    yield* leavesOf(row, settings[row.as ?? key], path === '' ? key : `${path}.${key}`);
}

/** A setting as a listing shows it. */
export interface Entry {
  readonly path: string;
  /** In the documented unit, with it: `0.15 kg m^2`. */
  readonly text: string;
  /** `four.yaml:12:3`, `--set` or `default`. */
  readonly origin: string;
  /** Where a default comes from: a publication, common practice, or assumed. */
  readonly source?: string;
}

function leafText({ row, value }: Leaf, air: '%' | 'step'): string {
  // ten digits: what came out of a conversion need not be read to the last bit
  const number = (r: Pick<Quantity, 'unit' | 'stored'>, v: number): string => String(Number(documented(r, v).toPrecision(10)));
  switch (row.kind) {
    case 'quantity':
      return value === null ? 'not given' : withUnit(number(row, value as number), shownUnit(row.unit, air));
    case 'curve': {
      const { x, y } = value as Curve;
      const [ux, uy] = [shownUnit(row.x.unit, air), shownUnit(row.y.unit, air)];
      return x
        .map((at, i) => `${withUnit(number(axisRow(row, 'x'), at), ux)}: ${withUnit(number(axisRow(row, 'y'), y[i]!), uy)}`)
        .join(', ');
    }
    case 'flag':
      return value === true ? 'yes' : 'no';
    case 'list':
      return 'none';
    default:
      return String(value);
  }
}

/** Every setting of a scenario, where it was given, and where its default comes from. */
export function entriesOf(scenario: Scenario, places: ReadonlyMap<string, Place>): readonly Entry[] {
  const range = valveRange(scenario.valve);
  return [...leavesUnder(scenarioTableFor(range), scenario as unknown as Loose)].map((leaf) => {
    const place = places.get(leaf.path);
    const base = { path: leaf.path, text: leafText(leaf, range.unit) };
    if (place !== undefined)
      return { ...base, origin: placeText(place) + (place !== SET && setWithin(leaf, places) ? ', --set' : '') };
    const source = leaf.path === 'controller.range' ? 'the range of the valve' : leaf.row.source;
    return { ...base, origin: 'default', ...(source === undefined ? {} : { source }) };
  });
}

/** Whether points of a curve were set singly. */
const setWithin = ({ row, value, path }: Leaf, places: ReadonlyMap<string, Place>): boolean =>
  row.kind === 'curve' &&
  (value as Curve).x.some((_, i) => places.get(`${path}.${i}.0`) === SET || places.get(`${path}.${i}.1`) === SET);

/** A key that a sweep may vary. */
export interface NumericKey {
  readonly path: string;
  /** '' for a plain number. */
  readonly unit: string;
  /** In that unit; null where it is not given. */
  readonly value: number | null;
  readonly min: number;
  readonly max: number;
  readonly integer: boolean;
}

/** Every numeric key of a scenario; points of curves as `controller.base.1.1`, items as `drill.events.0.torque`. */
export function numericKeys(scenario: Scenario): readonly NumericKey[] {
  const range = valveRange(scenario.valve);
  const keyOf = (path: string, row: Quantity, value: number | null): NumericKey => ({
    path,
    unit: shownUnit(row.unit, range.unit),
    value: value === null ? null : documented(row, value),
    min: row.min,
    max: row.max,
    integer: row.integer ?? false,
  });
  return [...leavesUnder(scenarioTableFor(range), scenario as unknown as Loose)].flatMap(({ path, row, value }) => {
    if (row.kind === 'quantity') return [keyOf(path, row, value as number | null)];
    if (row.kind !== 'curve') return [];
    const { x, y } = value as Curve;
    return x.flatMap((at, i) => [
      keyOf(`${path}.${i}.0`, axisRow(row, 'x'), at),
      keyOf(`${path}.${i}.1`, axisRow(row, 'y'), y[i]!),
    ]);
  });
}
