/** Reading a scenario's files: the main one and those that its sections come `from`. */
import type { Row } from '../parameter/table.js';
import { merge } from './merge.js';
import type { Place, Problem } from './problem.js';
import { kindName, readTree, type Tree } from './tree.js';

/** Gives the text of a file; throws when it cannot. */
export type ReadText = (path: string) => string;

/** A path written in `file`, seen from where `file` itself is seen from. */
export function beside(file: string, target: string): string {
  const folder = file.replace(/[^/\\]*$/, '');
  const joined = /^([/\\]|[A-Za-z]:[/\\])/.test(target) ? target : `${folder}${target}`;
  const parts: string[] = [];
  for (const part of joined.replace(/\\/g, '/').split('/')) {
    const last = parts.at(-1);
    if (part === '..' && last !== undefined && last !== '..' && last !== '') parts.pop();
    else if (part !== '.' && (part !== '' || parts.length === 0)) parts.push(part);
  }
  const path = parts.join('/');
  return path !== '' ? path : parts.length > 0 ? '/' : '.';
}

const WHY: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EISDIR: 'it is a directory',
  ENOTDIR: 'a part of its path is not a directory',
  EACCES: 'it may not be read',
  EPERM: 'it may not be read',
};

const whyUnreadable = (error: unknown): string =>
  WHY[String((error as { code?: unknown } | null)?.code)] ?? (error instanceof Error ? error.message : String(error));

export interface Files {
  /** The document at a path, or null when it has problems, which are then noted once. */
  open(path: string, asked: Place, key: string): Tree | null;
  /** A section with what it comes `from` laid under it; null where that could not be read. */
  assemble(row: Row, section: Tree, key: string, chain: readonly string[]): Tree | null;
  readonly problems: Problem[];
}

export function createFiles(read: ReadText): Files {
  const trees = new Map<string, Tree | null>();
  const problems: Problem[] = [];

  const open: Files['open'] = (path, asked, key) => {
    if (!trees.has(path)) {
      try {
        const { tree, problems: found } = readTree(read(path).replace(/^\ufeff/, ''), path);
        problems.push(...found);
        trees.set(path, tree);
      } catch (error) {
        problems.push({ ...asked, path: key, message: `${key === '' ? '' : `${path === '.' ? '. (the folder that this is run in)' : path} `}cannot be read: ${whyUnreadable(error)}` });
        return null;
      }
    }
    return trees.get(path) ?? null;
  };

  const assemble: Files['assemble'] = (row, section, key, chain) => {
    const from = section.kind === 'mapping' ? section.fields.get('from')?.value : undefined;
    if (section.kind !== 'mapping' || from === undefined) return section;
    const fields = new Map(section.fields);
    fields.delete('from');
    const own: Tree = { ...section, fields };
    const at = `${key}.from`;
    if (from.kind !== 'text' || from.text.trim() === '') {
      problems.push({ ...from.place, path: at, message: `the path of a file is wanted, not ${kindName(from)}` });
      return null;
    }
    const path = beside(from.place.file, from.text.trim());
    if (chain.includes(path)) {
      problems.push({ ...from.place, path: at, message: `goes in a circle: ${[...chain, path].join(' → ')}` });
      return null;
    }
    const tree = open(path, from.place, at);
    if (tree === null) return null;
    if (tree.kind !== 'mapping') {
      problems.push({ ...tree.place, path: key, message: notMapping(tree) });
      return null;
    }
    const base = assemble(row, tree, key, [...chain, path]);
    return base === null ? null : merge(row, base, own);
  };

  return { open, assemble, problems };
}

/** Why a node is no mapping of keys. */
export function notMapping(node: Tree): string {
  if (node.kind === 'nothing') return 'has nothing in it; a mapping of keys is wanted (leave the key out for the defaults)';
  const missingSpace = node.kind === 'text' && /^[\w-]+:\S/.test(node.text) ? '; a space is missing after the colon' : '';
  return `a mapping of keys is wanted, not ${kindName(node)}${missingSpace}`;
}
