/** `--set key=value`, laid over what the files say. */
import { type Place, type Problem, quote, SET } from './problem.js';
import { readTree, type Tree } from './tree.js';

export interface Setting {
  readonly path: readonly string[];
  readonly value: Tree;
}

const atSet = (tree: Tree): Tree => {
  if (tree.kind === 'list') return { ...tree, place: SET, items: tree.items.map(atSet) };
  if (tree.kind !== 'mapping') return { ...tree, place: SET };
  return {
    ...tree,
    place: SET,
    fields: new Map([...tree.fields].map(([key, field]) => [key, { key: SET, value: atSet(field.value) }])),
  };
};

/** Reads `key=value` texts. A value in brackets is a list of YAML; anything else is taken as it stands. */
export function readSettings(texts: readonly string[]): {
  readonly settings: readonly Setting[];
  readonly problems: readonly Problem[];
} {
  const settings: Setting[] = [];
  const problems: Problem[] = [];
  for (const text of texts) {
    const equals = text.indexOf('=');
    const key = text.slice(0, Math.max(0, equals)).trim();
    const value = text.slice(equals + 1).trim();
    if (equals < 0 || key === '') {
      problems.push({ ...SET, path: '', message: `${quote(text)}: write key=value, such as engine.inertia=0.2` });
    } else if (/^\[.*\]$/s.test(value)) {
      const { tree, problems: found } = readTree(value, SET.file);
      problems.push(...found.map((p) => ({ ...p, ...SET, path: key })));
      if (tree !== null) settings.push({ path: key.split('.'), value: atSet(tree) });
    } else {
      const place: Place = SET;
      settings.push({
        path: key.split('.'),
        value: ['', '~', 'null'].includes(value) ? { kind: 'nothing', place } : { kind: 'text', text: value, place },
      });
    }
  }
  return { settings, problems };
}
