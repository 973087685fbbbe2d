/** A controller as a file that scenarios take by `from:`; every setting written out, in documented units. */
import { controllerTable, type ControllerSettings } from '../controller/parameters.js';
import type { Curve, Row, Table } from '../parameter/table.js';
import { documented } from '../scenario/leaves.js';
import { shownUnit } from '../scenario/table.js';
import { comments, quoted } from './yaml-text.js';

type Loose = Readonly<Record<string, unknown>>;

function* lines(rows: Table, settings: Loose, indent: string, air: '%' | 'step'): Generator<string> {
  for (const [key, row] of Object.entries(rows)) {
    const value = settings[row.as ?? key];
    if (value === null || value === undefined) continue; // not given is not written
    yield* line(key, row, value, indent, air);
  }
}

function* line(key: string, row: Row, value: unknown, indent: string, air: '%' | 'step'): Generator<string> {
  const number = (of: { readonly unit: Parameters<typeof shownUnit>[0]; readonly stored: 'si' | 'unit' }, v: number): string => String(documented(of, v));
  switch (row.kind) {
    case 'group':
      yield `${indent}${key}:`;
      yield* lines(row.rows, value as Loose, `${indent}  `, air);
      return;
    case 'list': {
      const items = value as readonly Loose[];
      if (items.length === 0) return;
      yield `${indent}${key}:`;
      for (const item of items) {
        const [first, ...rest] = lines((row.of as { rows: Table }).rows, item, `${indent}    `, air);
        yield `${indent}  - ${first!.trimStart()}`;
        yield* rest;
      }
      return;
    }
    case 'curve': {
      const { x, y } = value as Curve;
      const pairs = x.map((at, i) => `[${number({ unit: row.x.unit, stored: row.stored }, at)}, ${number({ unit: row.y.unit, stored: row.stored }, y[i]!)}]`);
      yield `${indent}${key}: [${pairs.join(', ')}]  # ${shownUnit(row.x.unit, air)}, ${shownUnit(row.y.unit, air)}`;
      return;
    }
    case 'quantity': {
      const unit = shownUnit(row.unit, air);
      yield `${indent}${key}: ${number(row, value as number)}${unit === '' ? '' : `  # ${unit}`}`;
      return;
    }
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

/**
 * Lines of the file.
 *
 * @param head what it is and where it comes from; printed as comments, whatever is in it
 */
export function controllerFile(controller: ControllerSettings, air: '%' | 'step', head: readonly string[]): readonly string[] {
  const { range: _range, ...rows } = controllerTable; // the range is the valve's: it follows the valve beside which the file is used
  return [
    ...comments(head),
    ...lines(rows, controller as unknown as Loose, '', air),
  ];
}
