/**
 * Settings from a table: its defaults, overlaid with what is given, in stored units.
 *
 * This is the programmer's door (`fill(engineTable, { inertia: 0.2 })`); files come through room `scenario`, which reads
 * units and reports positions, and ends here for the defaults.
 */
import type { Quantity, Row, Table, Values } from './table.js';
import { toSI } from './unit.js';

/** Every field optional, at every depth. */
export type Partly<T> = T extends readonly (infer I)[]
  ? readonly Partly<I>[]
  : T extends object
    ? { readonly [K in keyof T]?: Partly<T[K]> | undefined }
    : T;

type Loose = Readonly<Record<string, unknown>>;

/** What a quantity's documented number is stored as. */
export const stored = (row: { readonly unit: Quantity['unit']; readonly stored: 'si' | 'unit' }, value: number): number =>
  row.stored === 'si' ? toSI(value, row.unit) : value;

const isRecord = (value: unknown): value is Loose => typeof value === 'object' && value !== null && !Array.isArray(value);

function fillRow(row: Row, given: unknown, path: string): unknown {
  switch (row.kind) {
    case 'quantity': {
      if (given === null && row.default !== null) throw new RangeError(`${path}: null; a number is wanted`);
      if (given === undefined || given === null) {
        if (row.default === 'required') throw new RangeError(`${path}: required`);
        return row.default === null ? null : stored(row, row.default);
      }
      const slack = 1e-12 * Math.max(Math.abs(row.min), Math.abs(row.max));
      if (typeof given !== 'number' || !(given >= stored(row, row.min - slack) && given <= stored(row, row.max + slack))) {
        throw new RangeError(`${path}: ${String(given)} is outside ${stored(row, row.min)} … ${stored(row, row.max)}`);
      }
      return given;
    }
    case 'flag':
    case 'choice':
    case 'text': {
      const value = given ?? row.default;
      if (row.kind === 'text' && given === undefined && row.default === 'required') throw new RangeError(`${path}: required`);
      if (row.kind === 'choice' && !row.options.includes(String(value))) {
        throw new RangeError(`${path}: ${String(value)} is none of ${row.options.join(', ')}`);
      }
      return value;
    }
    case 'curve': {
      if (given !== undefined) return given;
      const axis = (a: typeof row.x, value: number): number => stored({ unit: a.unit, stored: row.stored }, value);
      return { x: row.default.map(([x]) => axis(row.x, x)), y: row.default.map(([, y]) => axis(row.y, y)) };
    }
    case 'group':
      return fillTable(row.rows, given, path);
    case 'variant': {
      const tag = (isRecord(given) ? given[row.tag] : undefined) ?? row.default;
      const rows = row.options[String(tag)];
      if (rows === undefined) throw new RangeError(`${path}.${row.tag}: ${String(tag)} is none of ${Object.keys(row.options).join(', ')}`);
      return { [row.tag]: tag, ...fillTable(rows, given, path, row.tag) };
    }
    case 'list':
      if (given !== undefined && !Array.isArray(given)) throw new RangeError(`${path}: a list is wanted`);
      return (given ?? []).map((item: unknown, i: number) => fillRow(row.of, item, `${path}.${i}`));
  }
}

function fillTable(table: Table, given: unknown, path: string, tag?: string): Record<string, unknown> {
  if (given !== undefined && !isRecord(given)) throw new RangeError(`${path}: a group of settings is wanted`);
  const fields = new Map(Object.entries(table).map(([key, row]) => [row.as ?? key, row]));
  for (const key of Object.keys(given ?? {})) {
    if (!fields.has(key) && key !== tag) throw new RangeError(`${path}.${key}: unknown; known here: ${[...fields.keys()].join(', ')}`);
  }
  return Object.fromEntries([...fields].map(([field, row]) => [field, fillRow(row, given?.[field], `${path}.${field}`)]));
}

/**
 * Full settings from a table and what differs from its defaults.
 *
 * @param given in stored units (SI for plant and loop)  @param name what errors call the whole
 * @throws RangeError naming the key when one is unknown, missing or out of range
 */
export function fill<T extends Table>(table: T, given: Partly<Values<T>> = {} as Partly<Values<T>>, name = 'settings'): Values<T> {
  return fillTable(table, given, name) as unknown as Values<T>;
}
