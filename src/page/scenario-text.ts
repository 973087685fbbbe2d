/** A scenario as the text of a file that `run` takes: what differs from its default, in documented units. */
import { stored } from '../parameter/fill.js';
import type { Curve, CurveRow, Quantity, Row, Table } from '../parameter/table.js';
import { clean } from '../report/text.js';
import { quoted } from '../report/yaml-text.js';
import { axisRow, documented } from '../scenario/leaves.js';
import { rowsUnder, type Scenario, scenarioTableFor, shownUnit, valveRange } from '../scenario/table.js';

type Loose = Readonly<Record<string, unknown>>;
type Air = '%' | 'step';

const withComment = (text: string, ...units: readonly string[]): string => (units.every((unit) => unit === '') ? text : `${text}  # ${units.filter((unit) => unit !== '').join(', ')}`);

const curveText = (row: CurveRow, { x, y }: Curve): string =>
  `[${x.map((at, i) => `[${documented(axisRow(row, 'x'), at)}, ${documented(axisRow(row, 'y'), y[i]!)}]`).join(', ')}]`;

/** Whether a value is what comes out when nothing is said. A group, a variant or a list is looked at inside. */
function isDefault(row: Row, value: unknown): boolean {
  switch (row.kind) {
    case 'quantity':
      return row.default === 'required' ? false : row.default === null ? value === null : value === stored(row, row.default);
    case 'curve': {
      const { x, y } = value as Curve;
      const of = (axis: 'x' | 'y', v: number): number => stored(axisRow(row, axis), v);
      return row.default.length === x.length && row.default.every(([dx, dy], i) => of('x', dx) === x[i] && of('y', dy) === y[i]);
    }
    case 'flag':
    case 'choice':
    case 'text':
      return value === row.default;
    default:
      return false;
  }
}

function* lines(rows: Table, settings: Loose, indent: string, air: Air): Generator<string> {
  for (const [key, row] of Object.entries(rows)) yield* line(key, row, settings[row.as ?? key], indent, air);
}

const numberOf = (row: Quantity, value: number): string => String(documented(row, value));

function* line(key: string, row: Row, value: unknown, indent: string, air: Air): Generator<string> {
  if (value === undefined || isDefault(row, value)) return;
  const inner = `${indent}  `;
  switch (row.kind) {
    case 'group': {
      const under = [...lines(row.rows, value as Loose, inner, air)];
      if (under.length > 0) yield* [`${indent}${key}:`, ...under];
      return;
    }
    case 'variant':
      yield `${indent}${key}:`;
      yield* variantLines(row.tag, rowsUnder(row, String((value as Loose)[row.tag])), value as Loose, inner, air);
      return;
    case 'list': {
      const items = value as readonly unknown[];
      if (items.length === 0) return;
      yield `${indent}${key}:`;
      for (const item of items) yield* itemLines(row.of, item, inner, air);
      return;
    }
    case 'curve':
      yield `${indent}${key}: ${withComment(curveText(row, value as Curve), shownUnit(row.x.unit, air), shownUnit(row.y.unit, air))}`;
      return;
    case 'quantity':
      yield `${indent}${key}: ${withComment(numberOf(row, value as number), shownUnit(row.unit, air))}`;
      return;
    case 'flag':
      yield `${indent}${key}: ${value === true ? 'yes' : 'no'}`;
      return;
    default:
      yield `${indent}${key}: ${quoted(String(value))}`;
  }
}

function* variantLines(tag: string, rows: Table, value: Loose, indent: string, air: Air): Generator<string> {
  yield `${indent}${tag}: ${quoted(String(value[tag]))}`;
  yield* lines(rows, value, indent, air);
}

function* itemLines(of: Row, item: unknown, indent: string, air: Air): Generator<string> {
  if (of.kind === 'quantity') {
    yield `${indent}- ${withComment(numberOf(of, item as number), shownUnit(of.unit, air))}`;
    return;
  }
  const inner = `${indent}  `;
  const under = of.kind === 'variant' ? variantLines(of.tag, rowsUnder(of, String((item as Loose)[of.tag])), item as Loose, inner, air) : lines(of.kind === 'group' ? of.rows : {}, item as Loose, inner, air);
  const [first, ...rest] = [...under];
  yield first === undefined ? `${indent}- {}` : `${indent}- ${first.trimStart()}`;
  yield* rest;
}

/**
 * The file's text.
 *
 * @param head comments on top, a line each
 */
export function scenarioText(scenario: Scenario, head: readonly string[]): string {
  const range = valveRange(scenario.valve);
  const table = scenarioTableFor(range);
  const controller = scenario.controller.airFull === range.full ? { ...scenario.controller, airFull: null } : scenario.controller;
  const comments = head.map((text) => `# ${clean(text).replace(/[\u2028\u2029\ufeff]/g, ' ')}`);
  return `${[...comments, ...lines(table, { ...scenario, controller } as unknown as Loose, '', range.unit)].join('\n')}\n`;
}
