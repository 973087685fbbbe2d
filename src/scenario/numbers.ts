/** Reads the numbers of a tree: quantities and curves, in stored units. */
import { stored } from '../parameter/fill.js';
import type { CurveRow, Quantity } from '../parameter/table.js';
import { isUnitProblem, plainText, readPlainQuantity, splitQuantity, type UnitReader } from '../units/index.js';
import { type Place, type Problem, quote } from './problem.js';
import { isAir, shownUnit, withUnit } from './table.js';
import { kindName, type Tree } from './tree.js';

export interface Reading {
  /** Reader of units that are not documented ones; null until one is found to be needed, which sets `wantsUnits`. */
  readonly units: UnitReader | null;
  wantsUnits: boolean;
  /** The valve's unit; null while the valve itself is not understood, and then rows in it are not judged. */
  air: '%' | 'step' | null;
  readonly problems: Problem[];
  /** Where each key was given. */
  readonly places: Map<string, Place>;
}

/** Notes a problem; there is nothing to return then. */
export const note = (reading: Reading, place: Place, path: string, message: string): undefined => {
  reading.problems.push({ ...place, path, message });
};

/** @returns undefined where nothing is given, or there is a problem */
export function readQuantity(reading: Reading, row: Quantity, node: Tree, path: string): number | undefined {
  const { air } = reading;
  const unit = shownUnit(row.unit, air ?? '%');
  const wanted = withUnit(row.integer ? 'a whole number' : 'a number', unit === '' ? '' : `in ${unit}`);
  if (node.kind === 'nothing') {
    return row.default === null ? undefined : note(reading, node.place, path, `has no value; ${wanted} is wanted`);
  }
  if (node.kind !== 'text') return note(reading, node.place, path, `${wanted} is wanted, not ${kindName(node)}`);
  if (isAir(row.unit) && air === null) {
    const split = splitQuantity(node.text);
    return isUnitProblem(split) ? note(reading, node.place, path, told(node.text, split.problem)) : undefined;
  }
  let value = readPlainQuantity(node.text, unit === '' ? '1' : unit);
  if (value === null) {
    reading.wantsUnits = true;
    if (reading.units === null) return undefined;
    value = reading.units(node.text, unit);
  }
  if (isUnitProblem(value)) return note(reading, node.place, path, told(node.text, value.problem));
  const result = stored(row, value);
  const slack = 1e-12 * Math.max(Math.abs(row.min), Math.abs(row.max)); // as in fill
  if (!(result >= stored(row, row.min - slack) && result <= stored(row, row.max + slack))) {
    return note(
      reading,
      node.place,
      path,
      `${shown(node.text, value, unit)} is outside ${withUnit(`${row.min} … ${row.max}`, unit)}`,
    );
  }
  if (row.integer && !Number.isInteger(value))
    return note(reading, node.place, path, `${shown(node.text, value, unit)} is not a whole number`);
  return result;
}

/** Most characters of a problem that says what was given. */
const LONGEST_TOLD = 200;

/** A problem that says what was given, which is quoted in it. */
function told(text: string, problem: string): string {
  const plain = plainText(text);
  return quote(plain === '' ? problem : problem.replaceAll(plain, () => quote(plain)), LONGEST_TOLD);
}

/** What was given, and what it is in the documented unit where that was not said. */
function shown(text: string, value: number, unit: string): string {
  const split = splitQuantity(text);
  if (isUnitProblem(split) || split.unit === '' || split.unit === unit) return withUnit(String(value), unit);
  return `${quote(plainText(text))} (${withUnit(String(Number(value.toPrecision(4))), unit)})`;
}

export function readCurve(reading: Reading, row: CurveRow, node: Tree, path: string): unknown {
  const pair = `[${row.x.name}, ${row.y.name}]`;
  if (node.kind !== 'list') return note(reading, node.place, path, `a list of pairs ${pair} is wanted, not ${kindName(node)}`);
  if (node.items.length === 0) return note(reading, node.place, path, `has no points; at least one pair ${pair} is wanted`);
  const before = reading.problems.length;
  const axis = (a: CurveRow['x']): Quantity => ({
    kind: 'quantity',
    ...a,
    stored: row.stored,
    default: 'required',
    meaning: a.name,
  });
  const x: number[] = [];
  const y: number[] = [];
  let last: { readonly value: number; readonly text: string } | null = null;
  for (const [i, point] of node.items.entries()) {
    if (point.kind !== 'list' || point.items.length !== 2) {
      const got = point.kind === 'list' ? `${point.items.length} values` : kindName(point);
      note(reading, point.place, `${path}.${i}`, `a pair ${pair} is wanted, not ${got}`);
      continue;
    }
    const [px, py] = [point.items[0]!, point.items[1]!].map((part, j) => {
      const of = axis(j === 0 ? row.x : row.y);
      if (part.kind === 'default') return stored(of, row.default[i]![j as 0 | 1]);
      reading.places.set(`${path}.${i}.${j}`, part.place);
      return readQuantity(reading, of, part, `${path}.${i}.${j}`);
    });
    if (px !== undefined) {
      const text = point.items[0]!.kind === 'default' ? `${row.default[i]![0]}` : kindName(point.items[0]!);
      // what is but a conversion's rounding above does not count as above
      if (last !== null && !(px - last.value > 1e-12 * Math.max(Math.abs(px), Math.abs(last.value))))
        note(
          reading,
          point.items[0]!.place,
          `${path}.${i}.0`,
          `${text} does not lie above ${last.text} before it; ${row.x.name} must ascend`,
        );
      last = { value: px, text };
    }
    x.push(px ?? 0);
    y.push(py ?? 0);
  }
  return reading.problems.length > before ? undefined : { x, y };
}
