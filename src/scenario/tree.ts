/**
 * A YAML document as a tree of texts, mappings and lists with positions. What a text means is left to the row that reads
 * it: YAML's own ideas of numbers (012, 0x1F, .inf) never apply.
 */
import { type Document, isAlias, isMap, isScalar, isSeq, LineCounter, type Node, parseDocument, type YAMLError } from 'yaml';
import { type Place, type Problem, quote } from './problem.js';

export interface TextNode {
  readonly kind: 'text';
  readonly text: string;
  readonly place: Place;
}

/** Nothing, `null` or `~`. */
export interface NothingNode {
  readonly kind: 'nothing';
  readonly place: Place;
}

/** A number of a curve that stands as its default has it: beside points that were set singly. */
export interface DefaultNode {
  readonly kind: 'default';
  readonly place: Place;
}

export interface Field {
  readonly key: Place;
  readonly value: Tree;
}

export interface MappingNode {
  readonly kind: 'mapping';
  readonly fields: ReadonlyMap<string, Field>;
  readonly place: Place;
}

export interface ListNode {
  readonly kind: 'list';
  readonly items: readonly Tree[];
  readonly place: Place;
}

export type Tree = TextNode | NothingNode | DefaultNode | MappingNode | ListNode;

/** What the tree's parts are called in messages. */
export const kindName = (tree: Tree): string =>
  tree.kind === 'text'
    ? quote(tree.text)
    : { nothing: 'nothing', default: 'a default', mapping: 'a mapping', list: 'a list' }[tree.kind];

/** Longest file, characters; a scenario with 200 events and every key spelt out has a twentieth of that. */
export const LONGEST_FILE = 1_000_000;
/** Most nodes after aliases are followed, and how deep they may nest. */
const MOST_NODES = 50_000;
const DEEPEST = 40;

/** What the reader of YAML says may hold a piece of the file. */
const LONGEST_REASON = 160;

const NO_TAGS = 'tags (!…) are not understood here';

const WORDS: Partial<Record<YAMLError['code'], string>> = {
  TAB_AS_INDENT: 'a tab is used for indentation; use spaces',
  MULTIPLE_DOCS: 'a second document starts here; one file holds one',
  TAG_RESOLVE_FAILED: NO_TAGS,
};

class Refused extends Error {
  constructor(
    readonly place: Place,
    readonly path: string,
    message: string,
  ) {
    super(message);
  }
}

/** Reads a document. Text that is not YAML gives no tree; a key given twice gives one all the same, for the rest to be read. */
export function readTree(text: string, file: string): { readonly tree: Tree | null; readonly problems: readonly Problem[] } {
  const whole: Place = { file, line: 1, column: 1 };
  if (text.length > LONGEST_FILE) {
    return {
      tree: null,
      problems: [{ ...whole, path: '', message: `holds ${text.length} characters; at most ${LONGEST_FILE}` }],
    };
  }
  const lines = new LineCounter();
  const placeAt = (offset: number): Place => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(1, line), column: Math.max(1, col) };
  };
  const nul = text.indexOf('\0');
  if (nul >= 0) return { tree: null, problems: [{ ...startOf(text, nul, file), path: '', message: 'is not text: it holds a NUL byte' }] };
  let document: Document.Parsed;
  try {
    document = parseDocument(text, { lineCounter: lines, prettyErrors: false, schema: 'failsafe', uniqueKeys: false });
  } catch {
    return { tree: null, problems: [{ ...whole, path: '', message: 'is not YAML that can be read: nested too deeply' }] };
  }
  const problems: Problem[] = [...document.errors, ...document.warnings].map((error) => {
    const place = placeAt(error.pos[0]);
    const words = error.message.startsWith('Tabs are not allowed') ? WORDS.TAB_AS_INDENT : WORDS[error.code];
    return { ...place, path: '', message: words ?? `is not YAML: ${quote(error.message.split('\n')[0] ?? '', LONGEST_REASON)}` };
  });
  if (problems.length > 0) return { tree: null, problems };
  if (document.contents === null || (isScalar(document.contents) && (document.contents.source ?? '') === '')) {
    return { tree: null, problems: [{ ...whole, path: '', message: 'is empty; a mapping of keys is wanted' }] };
  }
  try {
    return { tree: convert(document, placeAt, whole, problems), problems };
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    return { tree: null, problems: [{ ...error.place, path: error.path, message: error.message }] };
  }
}

/** Line and column of a place in a text that is not parsed. */
function startOf(text: string, offset: number, file: string): Place {
  const before = text.slice(0, offset).split('\n');
  return { file, line: before.length, column: (before.at(-1) ?? '').length + 1 };
}

function convert(document: Document.Parsed, placeAt: (offset: number) => Place, whole: Place, problems: Problem[]): Tree {
  let count = 0;
  const open = new Set<unknown>(); // collections that the present node stands in
  const nodeOf = (node: unknown, path: string, depth: number, near: Place): Tree => {
    const place = placeOf(node, placeAt) ?? near;
    if (++count > MOST_NODES) throw new Refused(place, path, `more than ${MOST_NODES} values, aliases followed`);
    if (depth > DEEPEST) throw new Refused(place, path, `nested more than ${DEEPEST} deep`);
    if (isAlias(node)) {
      const meant = node.resolve(document);
      if (meant === undefined) throw new Refused(place, path, `*${quote(node.source)} names no anchor before it`);
      if (open.has(meant)) throw new Refused(place, path, `*${quote(node.source)} stands inside what it names`);
      return nodeOf(meant, path, depth + 1, place);
    }
    if ((node as Node | null)?.tag !== undefined) throw new Refused(place, path, NO_TAGS);
    if (isMap(node) || isSeq(node)) open.add(node);
    const tree = plainNodeOf(node, path, depth, place);
    open.delete(node);
    return tree;
  };
  const plainNodeOf = (node: unknown, path: string, depth: number, place: Place): Tree => {
    if (isMap(node)) {
      const fields = new Map<string, Field>();
      for (const { key, value } of node.items) {
        const at = placeOf(key, placeAt) ?? place;
        if (!isScalar(key)) throw new Refused(at, path, 'a key must be a plain word');
        const name = String(key.source ?? key.value ?? '');
        const keyPath = path === '' ? quote(name) : `${path}.${quote(name)}`;
        if (fields.has(name))
          problems.push({ ...at, path: keyPath, message: `given twice; first at line ${fields.get(name)!.key.line}` });
        fields.set(name, { key: at, value: nodeOf(value, keyPath, depth + 1, at) });
      }
      return { kind: 'mapping', fields, place };
    }
    if (isSeq(node)) {
      return { kind: 'list', items: node.items.map((item, i) => nodeOf(item, `${path}.${i}`, depth + 1, place)), place };
    }
    const text = isScalar(node) ? String(node.value ?? '') : '';
    const plain = !isScalar(node) || node.type === undefined || node.type === 'PLAIN';
    return plain && ['', '~', 'null'].includes(text) ? { kind: 'nothing', place } : { kind: 'text', text, place };
  };
  return nodeOf(document.contents, '', 0, whole);
}

const placeOf = (node: unknown, placeAt: (offset: number) => Place): Place | null => {
  const range = (node as Node | null)?.range;
  return range ? placeAt(range[0]) : null;
};
