/** Laying one mapping over another, key by key, and setting single keys. */
import type { Row } from '../parameter/table.js';
import { type Place, SET } from './problem.js';
import { rowsUnder } from './table.js';
import type { Field, MappingNode, Tree } from './tree.js';

/** The variant that a mapping names, if it does. */
export function tagOf(row: Row | undefined, node: Tree | undefined): string | undefined {
  if (row?.kind !== 'variant' || node?.kind !== 'mapping') return undefined;
  const tag = node.fields.get(row.tag)?.value;
  return tag?.kind === 'text' ? tag.text : undefined;
}

/** The row of one key of a mapping. */
export function rowOf(row: Row | undefined, node: Tree | undefined, key: string): Row | undefined {
  if (row?.kind === 'list') return row.of;
  const rows = rowsUnder(row, tagOf(row, node));
  return Object.hasOwn(rows, key) ? rows[key] : undefined;
}

/**
 * The fields of a variant that survive a change of its tag: keys which only the old variant has are dropped where `mayDrop`
 * says so. Keys that neither has stay, to be reported.
 */
function survivors(
  row: Row | undefined,
  node: MappingNode,
  newTag: string | undefined,
  mayDrop: (field: Field) => boolean,
): Map<string, Field> {
  const fields = new Map(node.fields);
  if (row?.kind !== 'variant' || newTag === undefined || !Object.hasOwn(row.options, newTag)) return fields;
  const before = rowsUnder(row, tagOf(row, node));
  const after = rowsUnder(row, newTag);
  for (const [key, field] of fields) {
    if (Object.hasOwn(before, key) && !Object.hasOwn(after, key) && mayDrop(field)) fields.delete(key);
  }
  return fields;
}

/** `over` laid over `base`: mappings key by key at any depth; all else, lists and curves too, is replaced whole. */
export function merge(row: Row | undefined, base: Tree | undefined, over: Tree): Tree {
  if (base?.kind !== 'mapping' || over.kind !== 'mapping') return over;
  const fields = survivors(row, base, tagOf(row, over), () => true);
  const merged: MappingNode = { ...over, fields };
  const tags = { ...merged, fields: new Map([...base.fields, ...over.fields]) };
  for (const [key, { key: place, value }] of over.fields) {
    fields.set(key, { key: place, value: merge(rowOf(row, tags, key), fields.get(key)?.value, value) });
  }
  return merged;
}

/** Why a path cannot be set. */
export interface PutProblem {
  readonly problem: string;
}

/**
 * A tree with one value replaced. Keys on the way that are not there are made; items of lists and points of curves must
 * be there, those of a curve's default included.
 *
 * @param keep place of a field that must not be dropped by a change of variant: those that the main file says
 */
export function put(
  row: Row | undefined,
  node: Tree | undefined,
  path: readonly string[],
  value: Tree,
  keep: (place: Place) => boolean,
): Tree | PutProblem {
  const [key, ...rest] = path;
  if (key === undefined) return value;
  const list = node?.kind === 'list' ? node : node === undefined && row?.kind === 'curve' ? defaultCurve(row) : null;
  if (list !== null || row?.kind === 'list' || row?.kind === 'curve') {
    const items = [...(list?.items ?? [])];
    const index = /^(0|[1-9]\d*)$/.test(key) ? Number(key) : -1;
    if (items[index] === undefined) {
      return {
        problem: `${key} is none of its items; ${items.length === 0 ? 'it has none' : `it has 0 to ${items.length - 1}`}`,
      };
    }
    const item = put(rowOf(row, undefined, key), items[index], rest, value, keep);
    if ('problem' in item) return item;
    items[index] = item;
    return { kind: 'list', items, place: list?.place ?? SET };
  }
  if (node !== undefined && node.kind !== 'mapping') return { problem: `has no key ${key}` };
  const mapping: MappingNode = node ?? { kind: 'mapping', fields: new Map(), place: SET };
  const isTag = row?.kind === 'variant' && key === row.tag && rest.length === 0 && value.kind === 'text';
  const fields = survivors(row, mapping, isTag ? value.text : undefined, (field) => !keep(field.key));
  const child = put(rowOf(row, mapping, key), fields.get(key)?.value, rest, value, keep);
  if ('problem' in child) return child;
  fields.set(key, { key: SET, value: child });
  return { ...mapping, fields };
}

/** The points of a curve's default, left to its row: what they are may hang on the valve. */
function defaultCurve(row: Extract<Row, { kind: 'curve' }>): Tree & { kind: 'list' } {
  const asDefault: Tree = { kind: 'default', place: SET };
  return {
    kind: 'list',
    place: SET,
    items: row.default.map(() => ({ kind: 'list', place: SET, items: [asDefault, asDefault] })),
  };
}
