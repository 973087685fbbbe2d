/** Engine and valve as files that scenarios take by `from:`; every setting written out, in documented units. */
import type { Curve, Row, Table } from '../parameter/table.js';
import { modelTable, type ModelSettings } from '../plant/models.js';
import { type ValveSettings, valveTable } from '../plant/valves/index.js';
import { documented } from '../scenario/leaves.js';
import { rowsUnder, shownUnit } from '../scenario/table.js';
import { comments, quoted } from './yaml-text.js';

type Loose = Readonly<Record<string, unknown>>;

function* fields(rows: Table, settings: Loose, indent: string, air: '%' | 'step'): Generator<string> {
  for (const [key, row] of Object.entries(rows)) {
    const value = settings[row.as ?? key];
    if (value !== null && value !== undefined) yield* field(key, row, value, indent, air);
  }
}

/** What stands under a variant: its tag, then the rows of the option that it names. */
function* under(row: Row, settings: Loose, indent: string, air: '%' | 'step'): Generator<string> {
  const tag = row.kind === 'variant' ? row.tag : null;
  const named = tag === null ? undefined : String(settings[tag]);
  if (tag !== null) yield `${indent}${tag}: ${named}`;
  yield* fields(rowsUnder(row, named), settings, indent, air);
}

function* field(key: string, row: Row, value: unknown, indent: string, air: '%' | 'step'): Generator<string> {
  const number = (of: Parameters<typeof documented>[0], v: number): string => String(Number(documented(of, v).toPrecision(12)));
  const note = (unit: string): string => (unit === '' ? '' : `  # ${unit}`);
  switch (row.kind) {
    case 'group':
    case 'variant':
      yield `${indent}${key}:`;
      yield* under(row, value as Loose, `${indent}  `, air);
      return;
    case 'list': {
      const items = value as readonly unknown[];
      if (items.length === 0) return;
      yield `${indent}${key}:`;
      for (const item of items) {
        if (row.of.kind === 'quantity') yield `${indent}  - ${number(row.of, item as number)}${note(shownUnit(row.of.unit, air))}`;
        else {
          const [first, ...rest] = under(row.of, item as Loose, `${indent}    `, air);
          yield `${indent}  - ${first!.trimStart()}`;
          yield* rest;
        }
      }
      return;
    }
    case 'curve': {
      const { x, y } = value as Curve;
      const pairs = x.map((at, i) => `[${number({ unit: row.x.unit, stored: row.stored }, at)}, ${number({ unit: row.y.unit, stored: row.stored }, y[i]!)}]`);
      yield `${indent}${key}: [${pairs.join(', ')}]${note([row.x.unit, row.y.unit].map((u) => shownUnit(u, air) || '1').join(', '))}`;
      return;
    }
    case 'quantity':
      yield `${indent}${key}: ${number(row, value as number)}${note(shownUnit(row.unit, air))}`;
      return;
    case 'flag':
      yield `${indent}${key}: ${value === true ? 'yes' : 'no'}`;
      return;
    case 'text':
      yield `${indent}${key}: ${quoted(String(value))}`;
      return;
    default:
      yield `${indent}${key}: ${String(value)}`;
  }
}

/** @param head what it is and where it comes from; printed as comments, whatever is in it */
export const engineFile = (engine: ModelSettings, head: readonly string[]): readonly string[] => [...comments(head), ...under(modelTable, engine as unknown as Loose, '', '%')];
export const valveFile = (valve: ValveSettings, air: '%' | 'step', head: readonly string[]): readonly string[] => [...comments(head), ...under(valveTable, valve as unknown as Loose, '', air)];
