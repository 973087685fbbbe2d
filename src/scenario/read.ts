/** Reads a tree against a row of the table: what is given, in stored units, and every problem with its place. */
import type { Row, Table } from '../parameter/table.js';
import { notMapping } from './files.js';
import { tagOf } from './merge.js';
import { note, type Reading, readCurve, readQuantity } from './numbers.js';
import { nearestName, quote } from './problem.js';
import { rowsUnder, scenarioTable } from './table.js';
import { kindName, type Tree } from './tree.js';

/** What is given at a row, ready for `fill`; undefined where nothing is, or where there is a problem. */
export function readRow(reading: Reading, row: Row, node: Tree, path: string): unknown {
  reading.places.set(path, node.place);
  switch (row.kind) {
    case 'quantity':
      return readQuantity(reading, row, node, path);
    case 'flag':
      if (node.kind === 'text' && ['true', 'yes'].includes(node.text)) return true;
      if (node.kind === 'text' && ['false', 'no'].includes(node.text)) return false;
      return note(reading, node.place, path, `yes or no is wanted, not ${kindName(node)}`);
    case 'choice': {
      if (node.kind === 'text' && row.options.includes(node.text)) return node.text;
      return note(reading, node.place, path, oneOf(node, row.options));
    }
    case 'text':
      if (node.kind === 'text') return node.text;
      if (node.kind === 'nothing' && row.default === '') return '';
      return note(reading, node.place, path, `text is wanted, not ${kindName(node)}`);
    case 'curve':
      return readCurve(reading, row, node, path);
    case 'group':
      return node.kind === 'mapping'
        ? readFields(reading, row.rows, node, path)
        : note(reading, node.place, path, notMapping(node));
    case 'variant':
      return readVariant(reading, row, node, path);
    case 'list':
      if (node.kind !== 'list') return note(reading, node.place, path, `a list is wanted, not ${kindName(node)}`);
      if (node.items.length > row.max) note(reading, node.place, path, `${node.items.length} items; at most ${row.max}`);
      return node.items.map((item, i) => readRow(reading, row.of, item, `${path}.${i}`));
  }
}

function oneOf(node: Tree, options: readonly string[]): string {
  const near = node.kind === 'text' ? nearestName(node.text, options) : null;
  return `${kindName(node)} is none of ${options.join(', ')}${near === null ? '' : `; did you mean ${near}?`}`;
}

function readVariant(reading: Reading, row: Extract<Row, { kind: 'variant' }>, node: Tree, path: string): unknown {
  if (node.kind !== 'mapping') return note(reading, node.place, path, notMapping(node));
  const tag = node.fields.get(row.tag);
  if (tag === undefined && row.default === 'required') {
    return note(reading, node.place, `${path}.${row.tag}`, `is missing; one of ${Object.keys(row.options).join(', ')} is wanted`);
  }
  if (tag !== undefined) {
    reading.places.set(`${path}.${row.tag}`, tag.value.place);
    const name = tag.value.kind === 'text' ? tag.value.text : '';
    if (!Object.hasOwn(row.options, name))
      return note(reading, tag.value.place, `${path}.${row.tag}`, oneOf(tag.value, Object.keys(row.options)));
  }
  const name = tagOf(row, node) ?? row.default;
  return { [row.tag]: name, ...readFields(reading, rowsUnder(row, name), node, path, { row, name }) };
}

/** A variant that keys are of. */
interface VariantName {
  readonly row: Extract<Row, { kind: 'variant' }>;
  readonly name: string;
}

/** Reads the keys of a mapping; what is returned is named as in resolved settings. */
function readFields(reading: Reading, rows: Table, node: Tree & { kind: 'mapping' }, path: string, variant?: VariantName) {
  const given: [string, unknown][] = [];
  for (const [key, { key: place, value }] of node.fields) {
    if (key === variant?.row.tag) continue;
    const at = path === '' ? quote(key) : `${path}.${quote(key)}`;
    if (!Object.hasOwn(rows, key)) note(reading, place, at, unknownKey(key, rows, variant));
    else given.push([rows[key]!.as ?? key, readRow(reading, rows[key]!, value, at)]);
  }
  for (const [key, row] of Object.entries(rows)) {
    const required = (row.kind === 'quantity' || row.kind === 'text' || row.kind === 'variant') && row.default === 'required';
    if (required && !node.fields.has(key)) note(reading, node.place, `${path}.${key}`, 'is missing');
  }
  return Object.fromEntries(given.filter(([, value]) => value !== undefined));
}

/** @param variant the variant whose keys these are, if they are one's */
export function unknownKey(key: string, rows: Table, variant?: VariantName): string {
  const names = [...Object.keys(rows), ...(variant ? [variant.row.tag] : [])];
  const of = variant && Object.keys(variant.row.options).length > 1 ? ` with ${variant.row.tag}: ${variant.name}` : '';
  const others = Object.entries(variant?.row.options ?? {}).filter(([, options]) => Object.hasOwn(options, key));
  if (variant && others.length > 0)
    return `unknown key${of}; it belongs to ${variant.row.tag}: ${others.map(([name]) => name).join(', ')}`;
  if (/[^\S ]|\p{Cf}/u.test(key)) {
    const bare = key.replace(/[\s\p{Cf}]/gu, '');
    return `unknown key${of}; it holds a character that looks like a space or like nothing${names.includes(bare) ? `; did you mean ${bare}?` : ''}`;
  }
  const near = nearestName(key, names) ?? pathOf(key, scenarioTable, '');
  return `unknown key${of}; ${near === null ? `known here: ${names.join(', ')}` : `did you mean ${near}?`}`;
}

/** Full path of the first key of this name anywhere in groups. */
function pathOf(name: string, rows: Table, path: string): string | null {
  for (const [key, row] of Object.entries(rows)) {
    if (key === name) return path + key;
    const under = pathOf(name, rowsUnder(row, undefined), `${path}${key}.`);
    if (under !== null) return under;
  }
  return null;
}
