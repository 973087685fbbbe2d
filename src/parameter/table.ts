/**
 * The language in which every parameter is declared, once.
 *
 * A table maps keys to rows. A row says the unit, the default, the allowed range, the meaning and the source; the reader
 * of scenario files, the JSON Schema, the help, the reference page and the error messages are all made from it, and
 * `Values<typeof table>` is the TypeScript type of what comes out.
 */
import type { Unit } from './unit.js';

interface Described {
  /** One line, in the reader's words. */
  readonly meaning: string;
  /** Where the default or the equation comes from: a publication, "common practice, no source", or "assumed". */
  readonly source?: string;
  /** Name in the resolved settings, where that differs from the key (unit suffixes at an edge). */
  readonly as?: string;
}

/** A number with a unit. `default: null` means absent unless given; `'required'` that a file must say it. */
export interface Quantity extends Described {
  readonly kind: 'quantity';
  readonly unit: Unit;
  readonly default: number | null | 'required';
  readonly min: number;
  readonly max: number;
  readonly integer?: boolean;
  /** Stored in SI (plant and loop) or as documented (controller, scoring). */
  readonly stored: 'si' | 'unit';
}

export interface Flag extends Described {
  readonly kind: 'flag';
  readonly default: boolean;
}

export interface Choice extends Described {
  readonly kind: 'choice';
  readonly options: readonly string[];
  readonly default: string;
}

export interface Text extends Described {
  readonly kind: 'text';
  readonly default: string | 'required';
}

/** A table of y against x, linear between points and held beyond the ends; written as a list of pairs. */
export interface CurveRow extends Described {
  readonly kind: 'curve';
  readonly x: { readonly name: string; readonly unit: Unit; readonly min: number; readonly max: number };
  readonly y: { readonly name: string; readonly unit: Unit; readonly min: number; readonly max: number };
  readonly default: readonly (readonly [number, number])[];
  readonly stored: 'si' | 'unit';
}

export interface Group extends Described {
  readonly kind: 'group';
  readonly rows: Table;
}

/** One of several tables, told apart by the text at `tag`: the extension point for valves, laws and events. */
export interface Variant extends Described {
  readonly kind: 'variant';
  readonly tag: string;
  readonly options: Readonly<Record<string, Table>>;
  readonly default: string | 'required';
}

export interface List extends Described {
  readonly kind: 'list';
  readonly of: Group | Variant | Quantity;
  readonly max: number;
}

export type Row = Quantity | Flag | Choice | Text | CurveRow | Group | Variant | List;
export type Table = { readonly [key: string]: Row };

/** Points of a curve, x ascending. */
export interface Curve {
  readonly x: readonly number[];
  readonly y: readonly number[];
}

/** The settings that a row resolves to. */
export type Value<R> = R extends { kind: 'quantity'; default: null }
  ? number | null
  : R extends { kind: 'quantity' }
    ? number
    : R extends { kind: 'flag' }
      ? boolean
      : R extends { kind: 'choice'; options: readonly (infer O)[] }
        ? O
        : R extends { kind: 'text' }
          ? string
          : R extends { kind: 'curve' }
            ? Curve
            : R extends { kind: 'group'; rows: infer T extends Table }
              ? Values<T>
              : R extends { kind: 'variant'; tag: infer G extends string; options: infer O }
                ? { [K in keyof O]: { readonly [P in G]: K } & (O[K] extends Table ? Values<O[K]> : never) }[keyof O]
                : R extends { kind: 'list'; of: infer I }
                  ? readonly Value<I>[]
                  : never;

type NameOf<K, R> = R extends { as: infer A extends string } ? A : K;

/** The settings that a table resolves to: one field a row, in stored units. */
export type Values<T extends Table> = { readonly [K in keyof T as NameOf<K, T[K]>]: Value<T[K]> };

type QuantityOf<T extends Omit<Quantity, 'kind' | 'stored'>, S extends 'si' | 'unit'> = T & { kind: 'quantity'; stored: S };

/** A number stored in SI. */
export const si = <const T extends Omit<Quantity, 'kind' | 'stored'>>(row: T): QuantityOf<T, 'si'> => ({ kind: 'quantity', stored: 'si', ...row });

/** A number stored in the unit it is documented in. */
export const own = <const T extends Omit<Quantity, 'kind' | 'stored'>>(row: T): QuantityOf<T, 'unit'> => ({
  kind: 'quantity',
  stored: 'unit',
  ...row,
});

export const flag = <const T extends Omit<Flag, 'kind'>>(row: T): T & { kind: 'flag' } => ({ kind: 'flag', ...row });
export const choice = <const T extends Omit<Choice, 'kind'>>(row: T): T & { kind: 'choice' } => ({ kind: 'choice', ...row });
export const text = <const T extends Omit<Text, 'kind'>>(row: T): T & { kind: 'text' } => ({ kind: 'text', ...row });
export const curve = <const T extends Omit<CurveRow, 'kind'>>(row: T): T & { kind: 'curve' } => ({ kind: 'curve', ...row });
export const group = <const T extends Omit<Group, 'kind'>>(row: T): T & { kind: 'group' } => ({ kind: 'group', ...row });
export const variant = <const T extends Omit<Variant, 'kind'>>(row: T): T & { kind: 'variant' } => ({ kind: 'variant', ...row });
export const list = <const T extends Omit<List, 'kind'>>(row: T): T & { kind: 'list' } => ({ kind: 'list', ...row });
